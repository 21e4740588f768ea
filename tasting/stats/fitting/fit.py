"""A fit with everything that intervals need, the uncertainty of the compositions included.

It is propagated in components, one for each source: by the information matrix, what one standard
deviation of a source does to the predictors moves the parameters by so much (JCGM 100:2008, GUM,
5.1; from memory). The sources are independent of each other and of the answers, so their half-width
is added in quadrature to each side of the profile-likelihood interval.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tasting.stats.checks import Floats
from tasting.stats.fitting.barrier import MOST, Bounds
from tasting.stats.fitting.clusters import Clusters, inflation, scores_of_assessors
from tasting.stats.fitting.likelihood import Likelihood
from tasting.stats.fitting.maximise import NEARBY, Optimum, maximise, solve
from tasting.stats.fitting.profile import Quantity, linear, profile_interval
from tasting.stats.likelihood import chi_square_cut
from tasting.stats.results import Estimate, Interval

# Singular values below this share of the largest say that a direction was not explored: far below
# what differences in acid and sugar are known to (1 %), far above the rounding of a design (1e-15).
_FLAT: Final = 1e-6
# What moves no predictor by more than this (d-prime, or its square) is rounding, such as of a
# source that cancels between two versions; each source costs a row in every interval.
_UNFELT: Final = 1e-9
# The search stops a little inside its bound, by the last weight of the barrier: from here on the
# bound is what stopped it.
AT_EDGE: Final = 0.98

Started = Callable[[Likelihood], tuple[Bounds, Floats]]
"""Bounds of the parameters of a likelihood, and a point inside to start from."""


@dataclass(frozen=True)
class Fitted:
    """Parameters at the maximum.

    likelihood: pooled over like comparisons; each: with the rows of every session apart
    design: factors of each comparison; components: by source of uncertainty, what one standard
    deviation of it does to the predictor of each comparison
    clusters: who gave which answers, where the same assessors came to several comparisons
    """

    likelihood: Likelihood
    each: Likelihood
    bounds: Bounds
    summit: Optimum
    design: Floats
    components: Mapping[str, Floats]
    confidence: float
    clusters: Clusters | None = None

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
    def scores(self) -> Floats:
        """Slope of the log-likelihood that each assessor brings, a row each."""
        assert self.clusters
        return scores_of_assessors(self.each, self.theta, self.clusters)

    def inflation(self, gradients: Floats) -> Floats:
        """What assessors who come again and differ do to the cut of a likelihood ratio, for each
        quantity with these slopes in the parameters; 1 where nobody came again."""
        if self.clusters is None:
            return np.ones(len(gradients))
        return inflation(self.scores, self.covariance, gradients, self.confidence)

    @cached_property
    def propagated(self) -> dict[str, Floats]:
        """By source of uncertainty, what one standard deviation does to the parameters.

        A power stays as it is: the answers hardly tell it, so that it would give way to every
        source, and intervals hold every power that is likely enough already.
        """
        weights, slopes = self.each.weights(self.theta), self.each.slopes(self.theta)
        free = np.arange(self.likelihood.parameters) != self._power
        inverse = solve(
            self.summit.slopes.information[:, free][:, :, free], np.eye(free.sum())[None]
        )
        moved = np.zeros((self.likelihood.size, len(free)))
        moved[:, free] = inverse[0, : self.likelihood.size]
        return {
            source: -((weights * component) @ slopes[:, : len(moved)]) @ moved
            for source, component in self.components.items()
        }

    @property
    def _power(self) -> int:
        """Index of the power among the parameters, -1 where it is fixed."""
        return self.likelihood.size if self.likelihood.bends else -1

    def explored(self, factors: Floats) -> bool:
        """Whether the comparisons tell anything about this combination of parameters."""
        _, sizes, rows = np.linalg.svd(self.design, full_matrices=False)
        known = rows[sizes > _FLAT * sizes[0]] if sizes.size and sizes[0] > 0 else rows[:0]
        left = factors - (factors @ known.T) @ known
        return bool(np.abs(left).max() < _FLAT * max(1.0, float(np.abs(factors).max())))

    def explores(self, index: int) -> bool:
        """Whether the comparisons tell anything about one parameter."""
        return self.explored(np.eye(self.likelihood.size)[index])

    def unit(self, index: int) -> Floats:
        """The factors that pick one parameter."""
        return np.eye(self.likelihood.parameters)[index : index + 1]

    def interval(
        self,
        factors: Floats,
        direct: Sequence[Mapping[str, float]] | None = None,
        quantity: Quantity = linear,
        root: bool | NDArray[np.bool_] = False,
    ) -> Floats:
        """Value, low and high of a quantity for each row of factors.

        direct: components of the quantity's own uncertainty, by source, beside what they do to
        the parameters; root: of its square root, to which a difference is proportional
        """
        padded = np.zeros((len(factors), max(self.likelihood.parameters, factors.shape[1])))
        padded[:, : factors.shape[1]] = factors
        theta = np.repeat(self.summit.theta, len(padded), axis=0)
        values, gradients = quantity(theta, padded)
        plain = chi_square_cut(self.confidence)
        cuts = plain * self.inflation(gradients)
        ends = profile_interval(self.likelihood, self.bounds, self.summit, padded, cuts, quantity)
        composition = sqrt(plain) * self._combined(gradients, direct)
        table = np.column_stack([values, ends, values + composition])
        rooted = np.broadcast_to(root, len(factors))
        table[rooted] = np.sqrt(np.maximum(table[rooted], 0.0))
        value, low, high, moved = table.T
        below = np.hypot(np.maximum(value - low, 0.0), moved - value)
        above = np.hypot(np.maximum(high - value, 0.0), moved - value)
        least = np.where(rooted, 0.0, -np.inf)
        return np.column_stack([value, np.maximum(value - below, least), value + above])

    def _combined(self, gradients: Floats, direct: Sequence[Mapping[str, float]] | None) -> Floats:
        """Combined standard uncertainty that the compositions bring to quantities of these
        gradients."""
        own = direct or [{}] * len(gradients)
        sources = sorted({*self.propagated, *(source for each in own for source in each)})
        if not sources:
            return np.zeros(len(gradients))
        still = np.zeros(self.likelihood.parameters)
        moved = np.array([self.propagated.get(source, still) for source in sources])
        straight = np.array([[each.get(source, 0.0) for source in sources] for each in own])
        return np.asarray(np.sqrt(((gradients @ moved.T + straight) ** 2).sum(axis=1)))

    def likelihood_ratio(self, gone: Sequence[int], started: Started) -> float:
        """Twice the fall of the log-likelihood without some of the parameters, less where assessors
        who come again differ (by the first of these parameters)."""
        model = self.likelihood.without(gone)
        known = float(self.inflation(self.unit(gone[0]))[0])
        if not model.parameters:
            return 2 * (self.value - float(model(np.zeros((1, 0))).value[0])) / known
        bounds, _ = started(model)
        start = bounds.interior_point(np.delete(self.summit.theta, gone, axis=1))
        summit = maximise(model, bounds, start, NEARBY)
        return max(0.0, 2 * (self.value - float(summit.slopes.value[0]))) / known


def fit(
    likelihood: Likelihood,
    started: Started,
    design: Floats,
    confidence: float,
    clusters: Clusters | None = None,
    near: Floats | None = None,
) -> Fitted:
    """The maximum, compositions taken as known; see `with_composition_uncertainty`.

    near: parameters next to the maximum, if some are known
    """
    pooled = likelihood.pooled()
    bounds, start = started(pooled)
    if near is None:
        summit = maximise(pooled, bounds, start)
    else:
        summit = maximise(pooled, bounds, bounds.interior_point(near[None]), NEARBY)
    again = clusters if clusters and clusters.come_again else None
    return Fitted(pooled, likelihood, bounds, summit, design, {}, confidence, again)


def with_composition_uncertainty(
    fitted: Fitted, components: Sequence[Mapping[str, float]]
) -> Fitted:
    """The same fit, with the uncertainty of the compositions.

    components: for each comparison, what one standard deviation of each source does to its
    predictor
    """
    sources = sorted({source for each in components for source in each})
    table = {name: np.array([each.get(name, 0.0) for each in components]) for name in sources}
    felt = {name: row for name, row in table.items() if np.any(np.abs(row) > _UNFELT)}
    return replace(fitted, components=felt)


def endless(end: float) -> bool:
    """Whether an end of a parameter's interval is only the edge of what is looked at."""
    return bool(abs(end) > AT_EDGE * MOST)


def estimate(row: Floats, confidence: float) -> Estimate:
    """An estimate from value, low and high."""
    value, low, high = (float(number) for number in row)
    return Estimate(value, Interval(low, high, confidence))
