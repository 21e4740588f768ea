"""A change of a recipe beside the change that half of assessors would notice, where it is known."""

from sqlalchemy import Engine

from tasting.drink.change import LevelChange, changes
from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference
from tasting.errors import InputError
from tasting.insight.noticing.drivers import DEFAULT_DRIVERS, DRIVERS, Driver
from tasting.insight.noticing.model import ThresholdModel
from tasting.store import session_index
from tasting.ui.dashboard import cached
from tasting.ui.dashboard.choice import chosen
from tasting.wording import interval, signed, three_digits

_LEAST_SAID = 0.05
# In g/L or % vol: less is not worth a sentence.
_SAID = ("ta", "sugar", "alcohol")


def against_parent(
    engine: Engine,
    formula: Formula,
    reference: Reference | None,
    now: Version,
    before: Version,
) -> str:
    """As in "+1.0 g/L acid. Half of assessors would notice 0.96 g/L."; empty for no change."""
    model, found = noticing(engine, formula, reference), changes(now, before)
    said = [
        _sentence(driver, change, model)
        for driver, change in ((one, found[one.figure]) for one in map(DRIVERS.__getitem__, _SAID))
        if change.value is None or abs(change.value) >= _LEAST_SAID
    ]
    return " ".join(said)


def _sentence(driver: Driver, change: LevelChange, model: ThresholdModel | None) -> str:
    if change.value is None:
        between = interval(change.low, change.high, lambda end: signed(end, 1))
        return f"{driver.short.capitalize()} not known: {between} {driver.unit}."
    changed = f"{signed(change.value, 1)} {driver.unit} {driver.short}."
    step = model.step(driver.key) if model and driver.key in DEFAULT_DRIVERS else None
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
