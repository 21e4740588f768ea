"""What every kind of question says alike of its evidence."""

from collections.abc import Iterator
from dataclasses import dataclass

from tasting.insight.findings import words
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import FAR_BELOW, Verdict


@dataclass(frozen=True, slots=True)
class Weighed:
    """What the answers show.

    lower_tail: probability of a result as low as this one or lower if nobody notices; None where
        neither sample was expected
    """

    verdict: Verdict
    lower_tail: float | None

    @property
    def low(self) -> bool:
        """Whether the score is far below what guessing gives."""
        return self.lower_tail is not None and self.lower_tail <= FAR_BELOW

    def open_direction(self, tally: Tally) -> bool:
        """Whether something is noticed, but people may each hold to a direction of their own."""
        return False

    def headline(self, tally: Tally) -> str:
        """The finding in one line; a direction only where a common one is shown."""
        if self.open_direction(tally):
            return words.noticed_by_asking(tally, self.verdict)
        return words.headline(tally, self.verdict)

    def cautions(self, tally: Tally) -> Iterator[str]:
        """That a score is so far below guessing that key and cups come first."""
        if self.low and self.lower_tail is not None:
            yield words.low_score(tally, self.lower_tail)
