"""From a step in g/L to what the hand does: grams or millilitres in one serving."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.drink.pantry import by_hand, ingredient
from tasting.drink.response import grams_to_reach
from tasting.insight.noticing.drivers import Driver
from tasting.stats.results import Estimate, Interval


@dataclass(frozen=True, slots=True)
class Pinch:
    """So much of an ingredient, in g of a solid or mL of a liquid, makes a step in one serving."""

    key: str
    name: str
    unit: str
    amount: Estimate
    serving_ml: float


def pinches(
    version: Version, driver: Driver, steps: Sequence[Estimate]
) -> tuple[tuple[Pinch, ...], ...]:
    """What makes each step of the driver (in its own unit), by each ingredient that is usual for
    it; an end that no amount reaches is infinite."""
    made = compose(version)
    sizes = np.array([[step.value, step.low, step.high] for step in steps])
    targets = getattr(made, driver.figure) + sizes.ravel()
    pinched: list[list[Pinch]] = [[] for _ in steps]
    for item in map(ingredient, driver.practice):
        unit, each = by_hand(item, 1.0)
        grams = grams_to_reach(version, item, driver.figure, targets)
        amounts = (each * grams / version.servings).reshape(sizes.shape)
        for step, own, ends in zip(steps, pinched, amounts, strict=True):
            value, low, high = ends.tolist()
            if np.isfinite(value):
                amount = Estimate(value, Interval(low, high, step.interval.confidence))
                serving_ml = made.serving().volume_ml
                own.append(Pinch(item.key, item.name, unit, amount, serving_ml))
    return tuple(map(tuple, pinched))
