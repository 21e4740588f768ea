"""What a finding can come to, and the form in which each of its numbers is shown."""

from dataclasses import dataclass
from enum import Enum

from tasting.stats.binomial import TIE

CONFIDENCE = 0.95
FAR_BELOW = 0.05
"""A score below guessing whose lower tail is at most this is one to look at key and cups for."""


class Verdict(Enum):
    """What is shown: a difference, similarity, both (a small difference) or neither."""

    DIFFERENCE = "difference"
    SIMILARITY = "similarity"
    SMALL = "small difference"
    NEITHER = "neither"

    @property
    def difference(self) -> bool:
        """Whether a difference is shown."""
        return self in (Verdict.DIFFERENCE, Verdict.SMALL)

    @property
    def similarity(self) -> bool:
        """Whether similarity at the planned p_d is shown."""
        return self in (Verdict.SIMILARITY, Verdict.SMALL)

    @classmethod
    def at(cls, p_value: float, alpha: float) -> "Verdict":
        """A difference where p is at most alpha."""
        return cls.DIFFERENCE if p_value <= alpha * TIE else cls.NEITHER


@dataclass(frozen=True, slots=True)
class Number:
    """A number of a finding as it is shown, its interval if it has one, and how it was reached."""

    quantity: str
    value: str
    how: str
    interval: str = "–"
