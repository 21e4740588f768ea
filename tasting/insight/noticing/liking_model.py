"""What is liked best: an ideal point for each driver, from preference tests.

Thurstone utility U = sum l_k x_k - m_k x_k^2 / 2 with m_k at or above 0; the lead of B is
U(B) - U(A) (Thurstone 1927). The ideal level of a driver is l/m. It is reported only where the
answers bracket it: curvature m shown to be above 0, and the ideal inside the levels tasted.

Levels are those that are computed, as they are for the version that will aim at the ideal: what all
versions have wrong alike does no harm there, so the intervals hold the uncertainty of the answers
alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from tasting.insight.noticing import identifiability
from tasting.insight.noticing.comparisons import Compared, PooledPair, pooled
from tasting.insight.noticing.design import INSIDE, clusters, likelihood, signed, utility
from tasting.insight.noticing.drivers import Driver, Scale
from tasting.insight.noticing.identifiability import NotIdentified
from tasting.stats.checks import Floats
from tasting.stats.fitting.barrier import Bounds
from tasting.stats.fitting.fit import Fitted, endless, estimate, fit
from tasting.stats.fitting.likelihood import Likelihood
from tasting.stats.results import Estimate

# A curvature whose interval goes down to here bends liking by a thousandth of a d-prime over the
# levels tasted: the search for its lower end stops short of 0 by about as much.
_STRAIGHT: Final = 1e-3


@dataclass(frozen=True, slots=True)
class Ideal:
    """Best liked level of a driver, on the model's scale, and how fast liking falls beside it.

    curvature: utility (in d-prime) lost one unit away from the ideal
    """

    driver: Driver
    level: Estimate
    curvature: Estimate


@dataclass(frozen=True, slots=True)
class Liking:
    """The fitted utility. `moving`: indices of its drivers; `middle`, `unit`: how their levels are
    scaled; parameters: l of each, then m of each. `ideals` only holds what is bracketed."""

    fitted: Fitted
    compared: tuple[PooledPair, ...]
    moving: tuple[int, ...]
    middle: Floats
    unit: Floats
    ideals: tuple[Ideal, ...]
    sessions: int
    n: int

    def factors(self, a: Floats, b: Floats) -> Floats:
        """What the parameters are multiplied with in the lead of B over A."""
        return utility(*(self._scaled(np.atleast_2d(levels)) for levels in (a, b)))

    def _scaled(self, levels: Floats) -> Floats:
        return np.asarray((levels[:, self.moving] - self.middle) / self.unit)

    def lead(self, pairs: Sequence[tuple[Floats, Floats]]) -> Floats:
        """Value, low and high of how much better B is liked, for each pair of levels."""
        return self.fitted.interval(np.concatenate([self.factors(a, b) for a, b in pairs]))


def fit_liking(
    compared: Sequence[Compared], drivers: Sequence[Driver], scale: Scale, confidence: float
) -> tuple[Liking | None, list[NotIdentified]]:
    """The utility from all preference tests, and what they cannot tell."""
    pairs = pooled(compared)
    moving, refused = identifiability.varied(pairs, drivers, scale, "preference")
    if not moving:
        return None, refused
    liking = _fit(pairs, moving, confidence)
    ideals = [_ideal(liking, at, drivers[owner], refused) for at, owner in enumerate(moving)]
    return replace(liking, ideals=tuple(ideal for ideal in ideals if ideal)), refused


def _fit(compared: tuple[PooledPair, ...], moving: Sequence[int], confidence: float) -> Liking:
    a = np.array([one.a.levels for one in compared])
    b = np.array([one.b.levels for one in compared])
    tasted = np.concatenate([a, b])[:, moving]
    middle = (tasted.max(axis=0) + tasted.min(axis=0)) / 2
    unit = (tasted.max(axis=0) - tasted.min(axis=0)) / 2
    design = utility((a[:, moving] - middle) / unit, (b[:, moving] - middle) / unit)
    fitted = fit(likelihood(compared, design), _bent, design, confidence, clusters(compared))
    answers = sum(one.n for one in compared)
    tests = sum(one.sessions for one in compared)
    return Liking(fitted, compared, tuple(moving), middle, unit, (), tests, answers)


def _bent(model: Likelihood) -> tuple[Bounds, Floats]:
    """Slopes of either sign, curvatures above 0."""
    bounds, start = signed(model)
    curvatures = tuple(range(model.size // 2, model.size))
    start[:, curvatures] = INSIDE
    return replace(bounds, positive=curvatures), start


def _ideal(
    liking: Liking, index: int, driver: Driver, refused: list[NotIdentified]
) -> Ideal | None:
    fitted, count = liking.fitted, len(liking.moving)
    middle, unit = float(liking.middle[index]), float(liking.unit[index])
    known = fitted.explores(index) and fitted.explores(count + index)
    curvature = fitted.interval(fitted.unit(count + index))[0]
    steep = curvature[1] > _STRAIGHT and not endless(curvature[2])
    inside = abs(fitted.theta[index]) <= fitted.theta[count + index]
    if not (known and steep and inside):
        refused.append(identifiability.not_bracketed(driver, middle - unit, middle + unit))
        return None
    row = fitted.interval(fitted.unit(index), quantity=_Ratio(index, count + index))[0]
    return Ideal(
        driver,
        estimate(middle + unit * row, fitted.confidence),
        estimate(curvature / 2 / unit**2, fitted.confidence),
    )


@dataclass(frozen=True, slots=True)
class _Ratio:
    """theta[top] / theta[bottom] times the factor of the top: a quantity for `ends`."""

    top: int
    bottom: int

    def __call__(self, theta: Floats, factors: Floats) -> tuple[Floats, Floats]:
        sign, below = factors[:, self.top], theta[:, self.bottom]
        ratio = theta[:, self.top] / below
        slopes = np.zeros_like(theta)
        slopes[:, self.top], slopes[:, self.bottom] = sign / below, -sign * ratio / below
        return sign * ratio, slopes
