"""Results that several modules share."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Interval:
    """A two-sided interval and the share of repetitions in which it covers the truth."""

    low: float
    high: float
    confidence: float


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its interval."""

    value: float
    interval: Interval

    @property
    def low(self) -> float:
        """Lower end of the interval."""
        return self.interval.low

    @property
    def high(self) -> float:
        """Upper end of the interval."""
        return self.interval.high
