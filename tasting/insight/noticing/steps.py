"""How large a step of each driver people notice: a size where the answers show one, else a bound.

A step is where a distance is reached, so a weight that may be 0 has no largest step and its
estimate means nothing: only that the step is larger than the least that the answers allow is known.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from tasting.drink.formula import Version
from tasting.insight.noticing.distance_model import Distance, Weight
from tasting.insight.noticing.drivers import Driver, Scale
from tasting.insight.noticing.pinches import Pinch, pinches
from tasting.stats.checks import Floats
from tasting.stats.fitting.fit import estimate
from tasting.stats.psychometric import Psychometric
from tasting.stats.results import Estimate

# A step beyond the largest tasted by less than a twentieth is that step, poured a little off.
_BEYOND: Final = 1.05
NEXT_TO_NOTHING: Final = 0.25
"""A distance (d-prime) that fewer than 1 % of triangle tests notice: to tell it from none takes
tens of thousands of tastings, so it counts as none."""


def beyond(size: float, largest_tasted: float) -> bool:
    """Whether a step is larger than any that was tasted, so that only the model speaks for it."""
    return size > _BEYOND * largest_tasted


@dataclass(frozen=True, slots=True)
class StepSize:
    """A step of a driver: in its unit, in % of the drink's level, and in practice.

    largest_tasted: the largest step that any difference test tried, in the driver's unit
    """

    amount: Estimate
    percent: Estimate
    practice: tuple[Pinch, ...]
    largest_tasted: float

    @property
    def extrapolated(self) -> Mapping[str, bool]:
        """Whether estimate, low and high end lie beyond every step that was tasted."""
        ends = {"value": self.amount.value, "low": self.amount.low, "high": self.amount.high}
        return {name: beyond(end, self.largest_tasted) for name, end in ends.items()}


@dataclass(frozen=True, slots=True)
class DriverStep:
    """How strongly one driver is noticed, where the answers show that it is.

    weight: d-prime at the largest step tasted, for each unit of the driver (on the log scale: for
    each natural logarithm)
    largest_tasted: the largest step that any difference test tried, in the driver's unit
    step_at_d_prime_1: the difference at d-prime 1
    difference_threshold: the one that half of assessors detect, the other half guessing (p_d =
        1/2 in the test that `fit_thresholds` was told, a triangle test by default)
    """

    driver: Driver
    level: float
    weight: Weight
    largest_tasted: float
    step_at_d_prime_1: StepSize
    difference_threshold: StepSize


@dataclass(frozen=True, slots=True)
class SmallestPossible:
    """A step that is larger than `amount`, in the driver's unit, if there is one at all."""

    amount: float
    largest_tasted: float

    @property
    def extrapolated(self) -> bool:
        """Whether even that is more than any step that was tasted."""
        return beyond(self.amount, self.largest_tasted)


@dataclass(frozen=True, slots=True)
class StepBound:
    """All that is known of a driver that may not be noticed at all: its steps are larger than this.

    The fields are those of `DriverStep`; weight holds 0, so its estimate is no basis for a step.
    """

    driver: Driver
    level: float
    weight: Weight
    largest_tasted: float
    step_at_d_prime_1: SmallestPossible
    difference_threshold: SmallestPossible

    def matters(self, change: float) -> bool:
        """Whether a change, on the model's scale, could be noticed for all that is known."""
        return self.weight.felt(change).high > NEXT_TO_NOTHING


Noticed = DriverStep | StepBound


@dataclass(frozen=True, slots=True)
class StepsIn:
    """What steps are expressed in.

    levels: of each driver, in its unit; at: the version that an amount goes into, if there is one
    half_by: the test in which half of assessors detect the half step
    """

    levels: Floats
    scale: Scale
    at: Version | None
    half_by: Psychometric

    @property
    def distances(self) -> tuple[float, float]:
        """d-prime 1, and where as many are right as if half detect and half guess."""
        return 1.0, float(self.half_by.d_prime((1 + self.half_by.chance) / 2))

    def size(self, distances: Floats | float, level: float) -> Floats:
        """From the model's scale to the driver's unit: an upward step on the log scale."""
        with np.errstate(over="ignore"):
            return np.asarray(level * np.expm1(distances) if self.scale == "log" else distances)


def noticed_steps(
    distance: Distance | None, drivers: Sequence[Driver], shown: StepsIn
) -> tuple[Noticed, ...]:
    """A step, or a bound, for each driver whose weight is not refused, in the order of drivers."""
    if distance is None:
        return ()
    steps = distance.steps(shown.distances)
    return tuple(
        _noticed(distance.weights[key], steps[place], drivers[index], shown, index)
        for place, index in enumerate(distance.layout.drivers)
        if (key := drivers[index].key) in distance.weights
    )


def _noticed(weight: Weight, steps: Floats, driver: Driver, shown: StepsIn, index: int) -> Noticed:
    """steps: at each of the two distances, value, low and high on the model's scale"""
    level = float(shown.levels[index])
    tasted = float(shown.size(weight.largest, level))
    sizes = shown.size(steps, level)
    if _may_be_nothing(weight):
        bounds = [SmallestPossible(end, tasted) for end in sizes[:, 1].tolist()]
        return StepBound(driver, level, weight, tasted, *bounds)
    amounts = [estimate(row, weight.estimate.interval.confidence) for row in sizes]
    practice = pinches(shown.at, driver, amounts) if shown.at else ((), ())
    made = zip(amounts, practice, strict=True)
    told = [StepSize(size, _percent(size, level), how, tasted) for size, how in made]
    return DriverStep(driver, level, weight, tasted, *told)


def _may_be_nothing(weight: Weight) -> bool:
    """Whether the interval reaches 0 as far as any panel can tell, or the test against 0 fails."""
    confidence = weight.estimate.interval.confidence
    reaches_zero = weight.estimate.low * weight.largest < NEXT_TO_NOTHING
    return reaches_zero or weight.p_value > 1 - confidence


def _percent(size: Estimate, level: float) -> Estimate:
    ends = np.array([size.value, size.low, size.high])
    shares = 100 * ends / level if level else np.full(3, np.inf)
    return estimate(shares, size.interval.confidence)
