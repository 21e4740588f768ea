"""A strip of answers against guessing: what was counted, what was needed, what guessing gives."""

from dataclasses import dataclass

import numpy as np

from tasting.insight.findings.finding import Finding
from tasting.insight.findings.kinds.counted import CountedEvidence
from tasting.insight.findings.kinds.preference import PreferenceEvidence
from tasting.report.printing import page
from tasting.stats.binomial import lower_tail, upper_tail

_WIDTH, _LEFT = 640.0, 20.0
_NEAR_END = 0.15
_GUESSING = 0.95
"""Share of sessions without a difference whose count lies in the band."""


@dataclass(frozen=True, slots=True)
class Strip:
    """Counts on a scale from 0 to n.

    band: least and most that guessing gives in 95 % of sessions; needed: the counts from which a
    difference is shown, one for each side of the test; width: of the picture, in its own units
    """

    n: int
    count: int
    counted: str
    band: tuple[int, int]
    needed: tuple[int, ...]
    width: float = _WIDTH

    def at(self, count: float) -> float:
        """Where a count stands, in pixels from the left."""
        return _LEFT + (self.width - 2 * _LEFT) * count / self.n

    @property
    def anchor(self) -> str:
        """Which end of the count's label stands at its place, so that it stays inside."""
        share = self.count / self.n
        return "start" if share < _NEAR_END else "end" if share > 1 - _NEAR_END else "middle"

    @property
    def band_x(self) -> float:
        """The middle of the words under the band, far enough from both ends of the scale."""
        return min(max(self.at(sum(self.band) / 2), self.width * 0.2), self.width * 0.8)

    @property
    def text(self) -> str:
        """The same in one sentence, for those who listen."""
        low, high = self.band
        needed = " or ".join(str(one) for one in sorted(self.needed, reverse=True))
        said = f", {needed} needed" if needed else ""
        return (
            f"{self.count} of {self.n} {self.counted}{said}; guessing gives {low}–{high} in "
            "95 % of sessions."
        )

    @property
    def svg(self) -> str:
        """The strip as SVG, which takes its colours from the page."""
        return page("strip.svg", strip=self, width=self.width)


def strip_of(finding: Finding) -> Strip | None:
    """The strip of a finding; None for a question without a chance of guessing."""
    tally = finding.tally
    if not tally.design.has_chance:
        return None
    counted = "correct"
    if tally.design.sides == 2:
        counted = f"chose {tally.b}"
    elif not tally.method.has_right_answer:
        counted = f"chose {tally.favoured[0]}"
    band = _band(tally.n, tally.design.chance)
    return Strip(tally.n, tally.count, counted, band, _needed(finding))


def _needed(finding: Finding) -> tuple[int, ...]:
    evidence, n = finding.evidence, finding.tally.n
    if not isinstance(evidence, CountedEvidence | PreferenceEvidence) or not evidence.critical:
        return ()
    value = evidence.critical.value
    if value > n:
        return ()
    return (value,) if finding.tally.design.sides == 1 else (n - value, value)


def _band(n: int, chance: float) -> tuple[int, int]:
    counts, total, rest = np.arange(n + 1), np.int64(n), (1 - _GUESSING) / 2
    usual = (lower_tail(counts, total, chance) > rest) & (upper_tail(counts, total, chance) > rest)
    inside = np.flatnonzero(usual)
    return int(inside[0]), int(inside[-1])
