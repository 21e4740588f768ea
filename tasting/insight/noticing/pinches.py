"""From a step in g/L to what the hand does: grams or millilitres in one serving."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tasting.drink import content
from tasting.drink.composition import compose, part_grams
from tasting.drink.formula import Version
from tasting.drink.mixture import mix
from tasting.drink.pantry import Ingredient, ingredient
from tasting.insight.noticing.drivers import Driver
from tasting.stats.checks import Floats
from tasting.stats.results import Estimate, Interval
from tasting.wording import number


@dataclass(frozen=True, slots=True)
class Pinch:
    """So much of an ingredient, in g of a solid or mL of a liquid, makes a step in one serving."""

    key: str
    name: str
    unit: str
    amount: Estimate
    serving_ml: float

    def __str__(self) -> str:
        return f"{number(self.amount.value)} {self.unit} {self.name}"


def pinches(
    version: Version, driver: Driver, steps: Sequence[Estimate]
) -> tuple[tuple[Pinch, ...], ...]:
    """What makes each step of the driver (in its own unit), by each ingredient that is usual for
    it; an end that no amount reaches is infinite."""
    serving = compose(version).serving().volume_ml
    sizes = np.array([[step.value, step.low, step.high] for step in steps])
    targets = level_of(version, driver) + sizes.ravel()
    found: list[list[Pinch]] = [[] for _ in steps]
    for key in driver.practice:
        item = ingredient(key)
        unit, each = ("g", 1.0) if item.form == "solid" else ("mL", item.density_kg_per_l)
        amounts = grams_for(version, driver, item, targets) / version.servings / each
        for place in range(len(steps)):
            value, low, high = (float(end) for end in amounts[3 * place : 3 * place + 3])
            if np.isfinite(value):
                amount = Estimate(value, Interval(low, high, steps[place].interval.confidence))
                found[place].append(Pinch(item.key, item.name, unit, amount, serving))
    return tuple(tuple(pinched) for pinched in found)


def level_of(version: Version, driver: Driver) -> float:
    """Level of a driver in a version, in the driver's unit."""
    return float(_levels(version, driver, ingredient("water"), np.zeros(1))[0])


def in_words(pinches: Sequence[Pinch]) -> str:
    """Such as "0.21 g citric acid, anhydrous, or 4.4 mL lemon juice, in a 330 mL serving"."""
    if not pinches:
        return ""
    return f"{', or '.join(map(str, pinches))}, in a {pinches[0].serving_ml:.0f} mL serving"


def grams_for(version: Version, driver: Driver, item: Ingredient, targets: Floats) -> Floats:
    """Grams of an ingredient, added to the batch, that bring the driver to each target: secant
    steps on the true mass balance. Infinite where the ingredient does not reach it."""
    batch = sum(map(part_grams, version.parts))
    amounts = np.full(targets.shape, 1e-4 * batch)
    before, last = np.zeros_like(amounts), _levels(version, driver, item, np.zeros_like(amounts))
    for _ in range(12):
        levels = _levels(version, driver, item, np.clip(amounts, 0, 50 * batch))
        slope = (levels - last) / np.where(amounts == before, np.inf, amounts - before)
        with np.errstate(divide="ignore", invalid="ignore"):
            further = np.where(slope > 1e-12, (targets - levels) / slope, 0.0)
            further = np.nan_to_num(further, posinf=np.inf)
        before, last, amounts = amounts, levels, np.clip(amounts + further, 0, 50 * batch)
        if np.all((np.abs(amounts - before) < 1e-7 * batch) | (amounts >= 50 * batch)):
            break
    there = np.abs(_levels(version, driver, item, amounts) - targets) < 1e-6 * (1 + np.abs(targets))
    return np.where(there & np.isfinite(targets), amounts, np.inf)


def _levels(version: Version, driver: Driver, item: Ingredient, amounts_g: Floats) -> Floats:
    totals = np.sum(
        [part_grams(part) * content.content(part.ingredient) for part in version.parts], axis=0
    )
    mixture = mix(totals + np.nan_to_num(amounts_g)[:, None] * content.content(item))
    return np.asarray(getattr(mixture, driver.figure))
