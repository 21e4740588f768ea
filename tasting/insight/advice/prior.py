"""What is believed before the next tasting: estimates, their precision, and what they predict.

Where the answers so far say nothing, a wide normal prior stands in: variance 4 around a noticeable
step of 10 % of the level for each squared weight, 1 around none for q, 4 around 1 for the squared
gap; in liking, 4 around no slope and a curvature of 1, in units of 20 % of the level.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt
from typing import Final

import numpy as np

from tasting.insight.noticing.design import Distances
from tasting.insight.noticing.drivers import Reading, acid_and_sugar
from tasting.insight.noticing.model import ThresholdModel
from tasting.stats.checks import Floats

GUESSED_STEP: Final = 0.10
GUESSED_RANGE: Final = 0.20

Factors = Callable[[Reading, Reading, bool], Floats]
Shifts = Callable[[Reading, Reading], dict[str, float]]


@dataclass(frozen=True, slots=True)
class Posterior:
    """Parameters, their covariance, and the quantity that is asked for.

    gradient: slope of the quantity in the parameters; size: what its interval is relative to
    steps: noticeable step of each driver on the model's scale, guessed where not known
    """

    theta: Floats
    covariance: Floats
    gradient: Floats
    size: float
    steps: Floats
    squared: bool
    factors: Factors
    shifts: Shifts

    @property
    def relative_sd(self) -> float:
        """Standard deviation of the quantity, relative to it."""
        return sqrt(float(self.gradient @ self.covariance @ self.gradient)) / self.size

    def predict(self, a: Reading, b: Reading, with_reference: bool) -> tuple[Floats, float, float]:
        """Factors and expected predictor of a comparison, and its variance by composition."""
        factors = self.factors(a, b, with_reference)
        doubt = sum(shift**2 for shift in self.shifts(a, b).values())
        return factors, float(factors @ self.theta), doubt

    def narrowed(self, factors: Floats, information: float) -> float:
        """Variance of the quantity after so much information on a predictor, over that before."""
        spread = self.covariance @ factors
        along = float(self.gradient @ spread) ** 2
        own = float(self.gradient @ self.covariance @ self.gradient)
        return 1 - information * along / (1 + information * float(factors @ spread)) / own

    def d_prime(self, predictor: float) -> float:
        """Distance that belongs to a predictor."""
        return sqrt(max(predictor, 0.0)) if self.squared else abs(predictor)


def about_distance(noticing: ThresholdModel, key: str | None, levels: Floats) -> Posterior:
    """About the noticeable step of a driver, or about the character gap (None)."""
    keys = [driver.key for driver in noticing.drivers]
    steps = _steps(noticing, levels)
    layout = Distances(tuple(range(len(keys))), steps, acid_and_sugar(keys), True)
    prior, precision = _prior(layout)
    theta = _estimates(noticing, layout, prior)
    place = layout.size - 1 if key is None else keys.index(key)
    # Both the weight and the gap are roots of a parameter.
    return Posterior(
        theta=theta,
        covariance=_inverse(_information(noticing, layout) + np.diag(precision)),
        gradient=np.eye(layout.size)[place] / (2 * sqrt(theta[place])),
        size=sqrt(theta[place]),
        steps=steps,
        squared=True,
        factors=lambda a, b, reference: layout.factors(b.levels - a.levels, np.array(reference))[0],
        shifts=lambda a, b: layout.shifts(a, b, theta),
    )


def _steps(noticing: ThresholdModel, levels: Floats) -> Floats:
    guess = GUESSED_STEP * (np.abs(levels) if noticing.scale == "linear" else np.ones_like(levels))
    for place, driver in enumerate(noticing.drivers):
        known = noticing.step(driver.key)
        if known and known.weight.estimate.value > 0.2 / guess[place]:
            guess[place] = 1 / known.weight.estimate.value
    return np.maximum(guess, 1e-9)


def _prior(layout: Distances) -> tuple[Floats, Floats]:
    theta = np.ones(layout.size)
    precision = np.full(layout.size, 0.25)
    if layout.pair:
        theta[layout.q_place], precision[layout.q_place] = 0.0, 1.0
    return theta, precision


def _estimates(noticing: ThresholdModel, layout: Distances, prior: Floats) -> Floats:
    """Estimates in the units of this layout where they are known, else the prior."""
    theta = prior.copy()
    for place, driver in enumerate(noticing.drivers):
        known = noticing.step(driver.key)
        if known:
            scaled = known.weight.estimate.value * layout.scale[place]
            theta[place] = max(scaled**2, 0.04)
    if layout.pair and noticing.rho:
        a, s = layout.pair
        theta[layout.q_place] = noticing.rho.value * sqrt(theta[a] * theta[s])
    if noticing.character_gap:
        theta[-1] = max(noticing.character_gap.estimate.value**2, 0.04)
    return theta


def _information(noticing: ThresholdModel, layout: Distances) -> Floats:
    """What the answers so far tell, in the units of this layout."""
    distance = noticing.distance
    if distance is None:
        return np.zeros((layout.size, layout.size))
    deltas = np.array([one.delta for one in distance.compared])
    design = layout.factors(deltas, np.array([one.with_reference for one in distance.compared]))
    weights = distance.fitted.each.weights(distance.fitted.theta)
    doubts = [
        sum(
            shift**2
            for shift in distance.layout.shifts(one.a, one.b, distance.fitted.theta).values()
        )
        for one in distance.compared
    ]
    useful = weights / (1 + weights * np.array(doubts))
    return np.asarray((design * useful[:, None]).T @ design)


def _inverse(matrix: Floats) -> Floats:
    return np.asarray(np.linalg.inv(matrix), dtype=np.float64)


def about_liking(noticing: ThresholdModel, key: str, levels: Floats) -> Posterior:
    """About the best liked level of a driver."""
    place = [driver.key for driver in noticing.drivers].index(key)
    wide = np.ones_like(levels)
    unit = GUESSED_RANGE * (np.abs(levels) if noticing.scale == "linear" else wide)
    theta = _liking_estimates(noticing, key, place, levels, unit)
    straight, bent = theta[place], theta[len(levels) + place]
    gradient = np.zeros_like(theta)
    gradient[place], gradient[len(levels) + place] = 1 / bent, -straight / bent**2

    def factors(a: Reading, b: Reading, _reference: bool = False) -> Floats:
        x, y = (a.levels - levels) / unit, (b.levels - levels) / unit
        return np.concatenate([y - x, (x**2 - y**2) / 2])

    return Posterior(
        theta=theta,
        covariance=_inverse(_liking_information(noticing, factors, theta.size)),
        gradient=gradient,
        size=1 / GUESSED_RANGE,
        steps=_steps(noticing, levels),
        squared=False,
        factors=factors,
        shifts=lambda _a, _b: {},
    )


def _liking_estimates(
    noticing: ThresholdModel, key: str, place: int, levels: Floats, unit: Floats
) -> Floats:
    """No slope and a curvature of 1, unless the driver's ideal is known."""
    theta = np.concatenate([np.zeros_like(levels), np.ones_like(levels)])
    known = next((ideal for ideal in noticing.ideals if ideal.driver.key == key), None)
    if known:
        bent = 2 * known.curvature.value * unit[place] ** 2
        theta[len(levels) + place] = bent
        theta[place] = bent * (known.level.value - levels[place]) / unit[place]
    return theta


def _liking_information(
    noticing: ThresholdModel, factors: Callable[[Reading, Reading], Floats], size: int
) -> Floats:
    information = 0.25 * np.eye(size)
    if noticing.liking is None:
        return information
    weights = noticing.liking.fitted.each.weights(noticing.liking.fitted.theta)
    tasted = [one for one in noticing.compared if one.kind == "preference"]
    design = np.array([factors(one.a, one.b) for one in tasted])
    return np.asarray(information + (design * weights[:, None]).T @ design)
