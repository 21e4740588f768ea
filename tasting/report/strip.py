"""A strip of answers: what was counted, what was needed, and where guesses would fall."""

from dataclasses import dataclass

import numpy as np

from tasting.insight.advice.question import version_name
from tasting.insight.findings.finding import Finding
from tasting.insight.findings.kinds.counted import CountedEvidence
from tasting.insight.findings.kinds.preference import PreferenceEvidence
from tasting.insight.findings.tally import Tally
from tasting.panel.design import TestDesign
from tasting.report.printing import page
from tasting.stats.binomial import lower_tail, upper_tail
from tasting.wording import percent

_WIDTH, _LEFT = 640.0, 20.0
_SIGN = 6.8
"""About how wide a letter is."""
_GUESSING = 0.95
"""Share of sessions without a difference whose count lies in the band, where α asks for no less."""


@dataclass(frozen=True, slots=True)
class Strip:
    """Counts on a scale from 0 to n.

    band: least and most of so many answers in the share `held` of sessions without a difference;
    None where the test counts assessors, to whom a band of answers says nothing
    by_chance: what makes such a session; needed: the count from which a difference is shown, None
    where there is none; width: of the picture, in its own units
    """

    n: int
    count: int
    counted: str
    band: tuple[int, int] | None
    needed: int | None = None
    held: float = _GUESSING
    by_chance: str = "everybody guesses"
    width: float = _WIDTH

    def at(self, count: float) -> float:
        """Where a count stands, in pixels from the left."""
        return _LEFT + (self.width - 2 * _LEFT) * count / self.n

    def inside(self, count: float, text: str) -> float:
        """The middle of a text at a count, moved so far that all of it can be read."""
        half = min(_SIGN * len(text) / 2, self.width / 2)
        return min(max(self.at(count), half), self.width - half)

    @property
    def threshold(self) -> str:
        """What was needed; empty where there is no such number."""
        return f"{self.needed} needed" if self.needed else ""

    @property
    def threshold_x(self) -> float:
        """The middle of that, beside its line where it would lie across that of the count."""
        half, needed = _SIGN * len(self.threshold) / 2 + 5, self.needed or 0
        if abs(self.at(needed) - self.at(self.count)) > half:
            return self.inside(needed, self.threshold)
        aside = self.at(needed) + (half if needed > self.count else -half)
        return min(max(aside, half), self.width - half)

    @property
    def label(self) -> str:
        """What was counted."""
        return f"{self.count} {self.counted}"

    @property
    def below(self) -> tuple[str, str]:
        """What stands below the scale, in two lines."""
        if self.band is None:
            return "The test counts assessors, not answers:", "guessing cannot be marked here"
        low, high = self.band
        return f"{low}–{high}: {percent(self.held)} of sessions", f"where {self.by_chance}"

    @property
    def middle(self) -> float:
        """The count in the middle of the band, or of the scale."""
        return sum(self.band) / 2 if self.band else self.n / 2

    @property
    def text(self) -> str:
        """The same in one sentence, for those who listen."""
        said = f", {self.threshold}" if self.threshold else ""
        first, second = self.below
        return f"{self.count} of {self.n} {self.counted}{said}. {first} {second}."

    @property
    def svg(self) -> str:
        """The strip as SVG, which takes its colours from the page."""
        return page("strip.svg", strip=self, width=self.width)


def strip_of(finding: Finding) -> Strip | None:
    """The strip of a finding; None for a question without a chance of guessing."""
    tally = finding.tally
    if not tally.design.has_chance:
        return None
    people = tally.clustered and tally.method.two_choices and not tally.design.sequential
    held = min(_GUESSING, 1 - tally.design.alpha)
    return Strip(
        tally.n,
        tally.extreme,
        "correct" if tally.method.has_right_answer else f"chose {_called(tally)}",
        None if people else _band(tally.n, tally.design, held),
        _needed(finding),
        held,
        "everybody guesses" if tally.method.measures_distance else "neither is preferred",
    )


def _called(tally: Tally) -> str:
    """The sample that was expected or chosen more often; within one formula by its version."""
    chosen, other = tally.favoured
    references = () if tally.reference is None else ({"A": tally.a, "B": tally.b}[tally.reference],)
    formulas = {one.partition(", ")[0] for one in (chosen, other) if one not in references}
    if chosen in references or len(formulas) != 1:
        return chosen
    return version_name(chosen.partition(", ")[2] or chosen)


def _needed(finding: Finding) -> int | None:
    evidence = finding.evidence
    if not isinstance(evidence, CountedEvidence | PreferenceEvidence) or not evidence.critical:
        return None
    value = evidence.critical.value
    return value if value <= finding.tally.n else None


def _band(n: int, design: TestDesign, held: float) -> tuple[int, int]:
    """Counts that hold this share: with equal tails, or one-sided the narrowest band below the
    lowest count that would show a difference at so high a risk."""
    counts, total, rest = np.arange(n + 1), np.int64(n), 1 - held
    below = lower_tail(counts, total, design.chance)
    if design.sides == 2:
        usual = np.minimum(below, upper_tail(counts, total, design.chance)) > rest / 2
        inside = np.flatnonzero(usual)
        return int(inside[0]), int(inside[-1])
    high = int(np.flatnonzero(below >= held)[0])
    least = np.flatnonzero(below <= below[high] - held)
    return (int(least[-1]) + 1 if least.size else 0), high
