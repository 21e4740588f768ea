"""A fit with everything that intervals need, the doubts of the compositions included.

What is not sure about a composition moves the estimates: by the information matrix, a shift of the
predictors by one standard deviation of a source shifts the parameters by so much. The sources are
independent of each other and of the answers, so their half-width is added in quadrature to each
side of the profile-likelihood interval.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import sqrt

import numpy as np

from tasting.stats.checks import Floats
from tasting.stats.fitting.barrier import MOST, Bounds
from tasting.stats.fitting.likelihood import Likelihood
from tasting.stats.fitting.maximise import Optimum, maximise, solve
from tasting.stats.fitting.profile import Quantity, linear, profile_interval
from tasting.stats.likelihood import chi_square_cut
from tasting.stats.results import Estimate, Interval

# Singular values below this share of the largest say that a direction was not explored.
_FLAT = 1e-6


@dataclass(frozen=True)
class Fitted:
    """Parameters at the maximum.

    likelihood: pooled over like comparisons; each: with the rows of every session apart
    design: factors of each comparison; shifts: by source of doubt, what one standard deviation of
    it does to the predictor of each comparison
    """

    likelihood: Likelihood
    each: Likelihood
    bounds: Bounds
    summit: Optimum
    design: Floats
    shifts: Mapping[str, Floats]
    confidence: float

    @property
    def theta(self) -> Floats:
        """The parameters; the spread between assessors, if there is one, is the last."""
        return np.asarray(self.summit.theta[0])

    @property
    def spread(self) -> float:
        """Spread between assessors, 0 where nobody tasted twice."""
        return float(self.theta[-1]) if self.likelihood.spread else 0.0

    @property
    def value(self) -> float:
        """Log-likelihood at the maximum."""
        return float(self.summit.slopes.value[0])

    @cached_property
    def covariance(self) -> Floats:
        """Inverse of the expected information, bounds left aside."""
        size = self.likelihood.parameters
        return np.asarray(solve(self.summit.slopes.information, np.eye(size)[None])[0])

    @cached_property
    def moved(self) -> dict[str, Floats]:
        """By source of doubt, what one standard deviation of it does to the parameters."""
        weights = self.each.weights(self.theta)
        size = self.likelihood.size
        return {
            source: -((weights * shift) @ self.design) @ self.covariance[:size]
            for source, shift in self.shifts.items()
        }

    def explored(self, factors: Floats) -> bool:
        """Whether the comparisons tell anything about this combination of parameters."""
        _, sizes, rows = np.linalg.svd(self.design, full_matrices=False)
        known = rows[sizes > _FLAT * sizes[0]] if sizes.size and sizes[0] > 0 else rows[:0]
        left = factors - (factors @ known.T) @ known
        return bool(np.abs(left).max() < 1e-6 * max(1.0, float(np.abs(factors).max())))

    def unit(self, place: int) -> Floats:
        """The factors that pick one parameter."""
        return np.eye(self.likelihood.parameters)[place : place + 1]

    def interval(
        self,
        factors: Floats,
        direct: Sequence[Mapping[str, float]] | None = None,
        quantity: Quantity = linear,
        root: bool = False,
    ) -> Floats:
        """Value, low and high of a quantity for each row of factors.

        direct: by source of doubt, what it does to the quantity beside what it does to the
        parameters; root: of its square root, to which a difference is proportional
        """
        padded = np.zeros((len(factors), self.likelihood.parameters))
        padded[:, : factors.shape[1]] = factors
        theta = np.repeat(self.summit.theta, len(padded), axis=0)
        values, gradients = quantity(theta, padded)
        cuts = np.full(len(padded), chi_square_cut(self.confidence))
        found = profile_interval(self.likelihood, self.bounds, self.summit, padded, cuts, quantity)
        doubt = sqrt(cuts[0]) * self._doubt(gradients, direct)
        table = np.column_stack([values, found, values + doubt])
        value, low, high, moved = np.sqrt(np.maximum(table, 0.0)).T if root else table.T
        below = np.hypot(np.maximum(value - low, 0.0), moved - value)
        above = np.hypot(np.maximum(high - value, 0.0), moved - value)
        least = 0.0 if root else -np.inf
        return np.column_stack([value, np.maximum(value - below, least), value + above])

    def _doubt(self, gradients: Floats, direct: Sequence[Mapping[str, float]] | None) -> Floats:
        """Standard deviation that the compositions bring to a quantity of these gradients."""
        at = direct or [{}] * len(gradients)
        sources = sorted({*self.moved, *(source for shifts in at for source in shifts)})
        if not sources:
            return np.zeros(len(gradients))
        still = np.zeros(self.likelihood.parameters)
        moved = np.array([self.moved.get(source, still) for source in sources])
        straight = np.array([[shifts.get(source, 0.0) for source in sources] for shifts in at])
        return np.asarray(np.sqrt(((gradients @ moved.T + straight) ** 2).sum(axis=1)))


def fit(
    likelihood: Likelihood,
    bounds: Bounds,
    start: Floats,
    design: Floats,
    confidence: float,
) -> Fitted:
    """The maximum, without doubts of the compositions; see `doubting`."""
    pooled = likelihood.pooled()
    summit = maximise(pooled, bounds, start)
    return Fitted(pooled, likelihood, bounds, summit, design, {}, confidence)


def with_composition_uncertainty(fitted: Fitted, shifts: Sequence[Mapping[str, float]]) -> Fitted:
    """The same fit, with the doubts of the compositions.

    shifts: for each comparison, what one standard deviation of each source does to its predictor
    """
    sources = sorted({source for shift in shifts for source in shift})
    table = {source: np.array([shift.get(source, 0.0) for shift in shifts]) for source in sources}
    kept = {source: row for source, row in table.items() if np.any(np.abs(row) > 1e-9)}
    return replace(fitted, shifts=kept)


def endless(end: float) -> bool:
    """Whether an end of a parameter's interval is only the edge of what is looked at."""
    return bool(abs(end) > 0.98 * MOST)


def estimate(row: Floats, confidence: float) -> Estimate:
    """An estimate from value, low and high."""
    value, low, high = (float(number) for number in row)
    return Estimate(value, Interval(low, high, confidence))
