"""A change of a recipe beside the change that half of assessors would notice, where it is known."""

from collections.abc import Iterator

from sqlalchemy import Engine

from tasting.drink.composition import Composition
from tasting.drink.formula import Formula
from tasting.drink.label import Reference
from tasting.errors import InputError
from tasting.insight.noticing.drivers import DEFAULT_DRIVERS, Driver, drivers_named
from tasting.insight.noticing.model import ThresholdModel
from tasting.store import session_index
from tasting.ui.dashboard import cached
from tasting.ui.dashboard.choice import chosen
from tasting.wording import signed, three_digits

_LEAST_SAID = 0.05
# In g/L: less is not worth a sentence.


def against_parent(
    engine: Engine,
    formula: Formula,
    reference: Reference | None,
    made: Composition,
    parent: Composition,
) -> str:
    """As in "+1.0 g/L acid. Half of assessors would notice 0.96 g/L."; empty for no change."""
    model = noticing(engine, formula, reference)
    said = [
        _sentence(driver, change, model)
        for driver, change in _changes(made, parent)
        if abs(change) >= _LEAST_SAID
    ]
    return " ".join(said)


def _changes(made: Composition, parent: Composition) -> Iterator[tuple[Driver, float]]:
    for driver in drivers_named(DEFAULT_DRIVERS):
        now, before = getattr(made, driver.figure), getattr(parent, driver.figure)
        if now is not None and before is not None:
            yield driver, now - before


def _sentence(driver: Driver, change: float, model: ThresholdModel | None) -> str:
    changed = f"{signed(change, 1)} {driver.unit} {driver.short}."
    step = model.step(driver.key) if model else None
    if step is None:
        return changed
    half = three_digits(step.difference_threshold.amount.value)
    return f"{changed} Half of assessors would notice {half} {driver.unit}."


def noticing(
    engine: Engine, formula: Formula, reference: Reference | None
) -> ThresholdModel | None:
    """What closed sessions of the formula say; None where they say nothing."""
    index = session_index.index(engine, chosen(formula, reference))
    if not index.count:
        return None
    try:
        return cached.load(engine, index, DEFAULT_DRIVERS, formula, reference).thresholds
    except InputError:  # too few answers; the dashboard says which
        return None
