"""The posterior before the next tasting: estimates, their covariance, and what they predict.

It is a normal prior times the likelihood of the answers so far, which is taken for normal too. The
prior is wide: variance 4 around a noticeable step of 10 % of the level for each squared weight, 1
around none for q, 4 around 1 for the squared gap; in liking, 4 around no slope and a curvature of
1, in units of 20 % of the level. So it decides only where the answers say nothing.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import sqrt
from typing import Final

import numpy as np

from tasting.insight.noticing.design import Distances, utility
from tasting.insight.noticing.drivers import Reading, acid_and_sugar
from tasting.insight.noticing.model import ThresholdModel
from tasting.stats.checks import Floats

# Prior means: a step at d-prime 1, which lies among published steps (see `next_session`), and how
# far from the ideal level liking has fallen by a half; both as shares of the level.
_GUESSED_STEP: Final = 0.10
_GUESSED_RANGE: Final = 0.20
# Prior precision, one over the variance: of what is 1 in its own unit, known to about ±2; of q,
# which lies within -1 to 1 then, to about ±1.
_PRECISION: Final = 0.25
_Q_PRECISION: Final = 1.0
# A weight estimated below a fifth of the prior's is mostly noise around zero. The design is local:
# at such a weight it would ask for steps many times those that the prior takes for noticeable.
_LEAST_WEIGHT: Final = 0.2
# Keeps the step at a level of 0 from being 0.
_LEAST_STEP: Final = 1e-9

Factors = Callable[[Reading, Reading, bool], Floats]
Components = Callable[[Reading, Reading], dict[str, float]]


@dataclass(frozen=True, slots=True)
class Posterior:
    """Mean and covariance of the parameters, and the quantity that is asked for.

    gradient: slope of the quantity in the parameters; size: what its interval is relative to
    steps: noticeable step of each driver on the model's scale; where it is not known the prior's,
    or the least that the answers allow if that is more
    components: of the uncertainty of a predictor by the compositions, by source
    """

    theta: Floats
    covariance: Floats
    gradient: Floats
    size: float
    steps: Floats
    squared: bool
    factors: Factors
    components: Components

    @property
    def relative_sd(self) -> float:
        """Standard deviation of the quantity, relative to it."""
        return sqrt(float(self.gradient @ self.covariance @ self.gradient)) / self.size

    def predict(self, a: Reading, b: Reading, with_reference: bool) -> tuple[Floats, float, float]:
        """Factors and expected predictor of a comparison, and its variance by composition."""
        factors = self.factors(a, b, with_reference)
        return factors, float(factors @ self.theta), _variance(self.components(a, b))

    def variance_ratio(self, factors: Floats, information: float) -> float:
        """Posterior variance of the quantity after so much information on a predictor, over that
        before."""
        spread = self.covariance @ factors
        along = float(self.gradient @ spread) ** 2
        own = float(self.gradient @ self.covariance @ self.gradient)
        return 1 - information * along / (1 + information * float(factors @ spread)) / own

    def d_prime(self, predictor: float) -> float:
        """Distance that belongs to a predictor."""
        return sqrt(max(predictor, 0.0)) if self.squared else abs(predictor)


def _variance(components: Mapping[str, float]) -> float:
    return sum(component**2 for component in components.values())


def _inverse(matrix: Floats) -> Floats:
    return np.asarray(np.linalg.inv(matrix), dtype=np.float64)


def about_distance(noticing: ThresholdModel, key: str | None, levels: Floats) -> Posterior:
    """Posterior of the noticeable step of a driver, or of the character gap (None)."""
    keys = [driver.key for driver in noticing.drivers]
    steps = _steps(noticing, levels)
    power = noticing.distance.layout.power if noticing.distance else 1.0
    layout = Distances(tuple(range(len(keys))), steps, acid_and_sugar(keys), True, power)
    prior, precision = _prior(layout)
    theta = _estimates(noticing, layout, prior)
    index = layout.size - 1 if key is None else keys.index(key)
    # Both the weight and the gap are roots of a parameter.
    return Posterior(
        theta=theta,
        covariance=_inverse(_information(noticing, layout) + np.diag(precision)),
        gradient=np.eye(layout.size)[index] / (2 * sqrt(theta[index])),
        size=sqrt(theta[index]),
        steps=steps,
        squared=True,
        factors=lambda a, b, reference: layout.factors(b.levels - a.levels, np.array(reference))[0],
        components=lambda a, b: layout.components(a, b, theta),
    )


def _steps(noticing: ThresholdModel, levels: Floats) -> Floats:
    guess = _GUESSED_STEP * (np.abs(levels) if noticing.scale == "linear" else np.ones_like(levels))
    for index, driver in enumerate(noticing.drivers):
        known, bound = noticing.step(driver.key), noticing.bound(driver.key)
        if known and known.weight.felt(guess[index]).value > _LEAST_WEIGHT:
            guess[index] = known.weight.step(1.0, known.weight.estimate.value)
        if bound:
            least = bound.weight.step(1.0, bound.weight.estimate.high)
            guess[index] = max(guess[index], least)
    return np.maximum(guess, _LEAST_STEP)


def _prior(layout: Distances) -> tuple[Floats, Floats]:
    theta = np.ones(layout.size)
    precision = np.full(layout.size, _PRECISION)
    if layout.pair:
        theta[layout.q_index], precision[layout.q_index] = 0.0, _Q_PRECISION
    return theta, precision


def _estimates(noticing: ThresholdModel, layout: Distances, prior: Floats) -> Floats:
    """Estimates in the units of this layout where they are known, else the prior."""
    theta = prior.copy()
    for index, driver in enumerate(noticing.drivers):
        known = noticing.step(driver.key)
        if known:
            theta[index] = max(known.weight.felt(layout.scale[index]).value, _LEAST_WEIGHT) ** 2
    if layout.pair and noticing.rho:
        a, s = layout.pair
        theta[layout.q_index] = noticing.rho.value * sqrt(theta[a] * theta[s])
    if noticing.character_gap:
        theta[-1] = max(noticing.character_gap.estimate.value, _LEAST_WEIGHT) ** 2
    return theta


def _information(noticing: ThresholdModel, layout: Distances) -> Floats:
    """What the answers so far tell, in the units of this layout."""
    distance = noticing.distance
    if distance is None:
        return np.zeros((layout.size, layout.size))
    deltas = np.array([one.delta for one in distance.compared])
    design = layout.factors(deltas, np.array([one.with_reference for one in distance.compared]))
    weights = distance.fitted.each.weights(distance.fitted.theta)
    by_composition = [
        _variance(distance.layout.components(one.a, one.b, distance.fitted.theta))
        for one in distance.compared
    ]
    useful = weights / (1 + weights * np.array(by_composition))
    return np.asarray((design * useful[:, None]).T @ design)


def about_liking(noticing: ThresholdModel, key: str, levels: Floats) -> Posterior:
    """Posterior of the best liked level of a driver."""
    index = [driver.key for driver in noticing.drivers].index(key)
    wide = np.ones_like(levels)
    unit = _GUESSED_RANGE * (np.abs(levels) if noticing.scale == "linear" else wide)
    theta = _liking_estimates(noticing, key, index, levels, unit)
    straight, bent = theta[index], theta[len(levels) + index]
    gradient = np.zeros_like(theta)
    gradient[index], gradient[len(levels) + index] = 1 / bent, -straight / bent**2

    def factors(a: Reading, b: Reading, _reference: bool = False) -> Floats:
        return utility((a.levels - levels) / unit, (b.levels - levels) / unit)

    return Posterior(
        theta=theta,
        covariance=_inverse(_liking_information(noticing, factors, theta.size)),
        gradient=gradient,
        size=1 / _GUESSED_RANGE,
        steps=_steps(noticing, levels),
        squared=False,
        factors=factors,
        components=lambda _a, _b: {},
    )


def _liking_estimates(
    noticing: ThresholdModel, key: str, index: int, levels: Floats, unit: Floats
) -> Floats:
    """No slope and a curvature of 1, unless the driver's ideal is known."""
    theta = np.concatenate([np.zeros_like(levels), np.ones_like(levels)])
    known = next((ideal for ideal in noticing.ideals if ideal.driver.key == key), None)
    if known:
        bent = 2 * known.curvature.value * unit[index] ** 2
        theta[len(levels) + index] = bent
        theta[index] = bent * (known.level.value - levels[index]) / unit[index]
    return theta


def _liking_information(
    noticing: ThresholdModel, factors: Callable[[Reading, Reading], Floats], size: int
) -> Floats:
    information = _PRECISION * np.eye(size)
    if noticing.liking is None:
        return information
    weights = noticing.liking.fitted.each.weights(noticing.liking.fitted.theta)
    design = np.array([factors(one.a, one.b) for one in noticing.liking.compared])
    return np.asarray(information + (design * weights[:, None]).T @ design)
