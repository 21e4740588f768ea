"""Results that several modules share."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray


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

    def through(self, rising: Callable[[NDArray[np.float64]], ArrayLike]) -> "Estimate":
        """The same on another scale, by a function that never falls."""
        ends = np.asarray(rising(np.array([self.value, self.low, self.high])), dtype=np.float64)
        value, low, high = ends.tolist()
        return Estimate(value, Interval(low, high, self.interval.confidence))
