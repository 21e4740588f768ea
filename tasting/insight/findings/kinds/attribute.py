"""Which of several cups has more of something: 3-AFC and the tetrad with its attribute named.

More correct answers than guessing gives show that people notice something. They do not show a
common direction: where half of the people find A stronger and half B, B is chosen in up to half of
the tastings, far above the chance of 1/3 or 1/6. A direction is claimed only if whole assessors,
turned round, favour B too: people who disagree do so as often one way as the other.
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields

from tasting.insight.findings import words
from tasting.insight.findings.kinds.counted import CountedEvidence, weigh_counts
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import Number
from tasting.stats.binomial import TIE
from tasting.stats.replicates import sign_change_p_value
from tasting.wording import p_cell, p_value


@dataclass(frozen=True, slots=True)
class AttributeEvidence(CountedEvidence):
    """The weight of a count for which one direction was expected.

    direction_p_value: one-sided, of more choices of B than people give who differ without a common
        direction, turning round whole assessors; of one person, that of the count
    """

    direction_p_value: float

    def open_direction(self, tally: Tally) -> bool:
        """Whether something is noticed, but no common direction."""
        return self.verdict.difference and self.direction_p_value > tally.design.alpha * TIE

    def sentences(self, tally: Tally) -> Iterator[str]:
        """The direction's own test comes behind that of the count."""
        first, *rest = CountedEvidence.sentences(self, tally)
        yield first
        if self.verdict.difference and tally.assessors > 1:
            chosen, _ = tally.favoured
            yield (
                f"Assessors who disagree on the direction would choose {chosen} in up to half of "
                f"tastings; against one half, one-sided p {p_value(self.direction_p_value)} (α = "
                f"{tally.design.alpha:g}; {words.over_assessors(tally)})."
            )
        yield from rest

    def numbers(self, tally: Tally) -> Iterator[Number]:
        """With the direction's p."""
        first, *rest = CountedEvidence.numbers(self, tally)
        yield first
        if tally.assessors > 1:
            how = f"one-sided, against one half; {words.over_assessors(tally)}"
            yield Number("p of the direction", p_cell(self.direction_p_value), how)
        yield from rest


def weigh_attribute(tally: Tally) -> AttributeEvidence:
    """The evidence in counts, and in whole assessors for the direction."""
    counted = weigh_counts(tally)
    excesses = [2 * own - tastings for own, tastings in tally.scores]
    alone = tally.assessors == 1
    return AttributeEvidence(
        **{field.name: getattr(counted, field.name) for field in fields(counted)},
        direction_p_value=counted.p_value if alone else sign_change_p_value(excesses, sides=1),
    )
