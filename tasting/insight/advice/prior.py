"""The posterior before the next tasting: estimates, their covariance, and what they predict.

It is a normal prior times the likelihood of the answers so far, which is taken for normal too. The
prior is wide: variance 4 around a noticeable step of 10 % of the level for each squared weight, 1
around none for q, 4 around 1 for the squared gap; in liking, 4 around no slope and a curvature of
1, in units of 20 % of the level. So it decides only where the answers say nothing.
"""

from collections.abc import Callable, Mapping, Sequence
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

Pairs = Sequence[tuple[Reading, Reading]]
Factors = Callable[[Pairs, Sequence[bool]], Floats]
Components = Callable[[Pairs], Sequence[Mapping[str, float]]]


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

    def predict(
        self, pairs: Pairs, with_reference: Sequence[bool]
    ) -> tuple[Floats, Floats, Floats]:
        """For each comparison its factors, the expected predictor, and its variance by
        composition."""
        factors = self.factors(pairs, with_reference)
        by_composition = np.array([_variance(one) for one in self.components(pairs)])
        return factors, factors @ self.theta, by_composition

    def variance_ratio(self, factors: Floats, information: Floats) -> Floats:
        """For each comparison the posterior variance of the quantity after so much information on
        its predictor, over that before."""
        spread = factors @ self.covariance
        along = (spread @ self.gradient) ** 2
        own = float(self.gradient @ self.covariance @ self.gradient)
        known = 1 + information * (factors * spread).sum(axis=1)
        return np.asarray(1 - information * along / known / own)

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
        factors=lambda pairs, references: layout.factors(
            np.array([b.levels - a.levels for a, b in pairs]), np.array(references)
        ),
        components=lambda pairs: layout.components(pairs, theta),
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
    pairs = [(one.a, one.b) for one in distance.compared]
    known = distance.layout.components(pairs, distance.fitted.theta)
    useful = weights / (1 + weights * np.array([_variance(one) for one in known]))
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

    def factors(pairs: Pairs, _with_reference: Sequence[bool] = ()) -> Floats:
        a, b = (np.array([pair[side].levels for pair in pairs]) for side in (0, 1))
        return utility((a - levels) / unit, (b - levels) / unit)

    return Posterior(
        theta=theta,
        covariance=_inverse(_liking_information(noticing, factors, theta.size)),
        gradient=gradient,
        size=1 / _GUESSED_RANGE,
        steps=_steps(noticing, levels),
        squared=False,
        factors=factors,
        components=lambda pairs: [{} for _ in pairs],
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
    noticing: ThresholdModel, factors: Callable[[Pairs], Floats], size: int
) -> Floats:
    information = _PRECISION * np.eye(size)
    if noticing.liking is None:
        return information
    weights = noticing.liking.fitted.each.weights(noticing.liking.fitted.theta)
    design = factors([(one.a, one.b) for one in noticing.liking.compared])
    return np.asarray(information + (design * weights[:, None]).T @ design)
