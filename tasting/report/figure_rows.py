"""What is in both drinks of a session, figure by figure, and how sure their difference is."""

from dataclasses import dataclass
from math import sqrt

import numpy as np

from tasting.drink.change import ADDING_UP, changes
from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.drink.label import Reference, bands
from tasting.drink.mixture import NAMES, NOT_COMPUTABLE
from tasting.drink.uncertainty import PH_MODEL
from tasting.drink.words import likely
from tasting.insight.noticing.comparisons import difference_components
from tasting.insight.noticing.drivers import Driver, reading
from tasting.wording import UNKNOWN, interval

Drink = Version | Reference
_FIGURES = ("alcohol_percent_vol", "energy_kcal_per_l", "sugar_g_per_l", "ta_g_per_l", "ph")
_WIDE = 1.96
"""Standard deviations on each side of a 95 % interval."""


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One figure of both samples, each with what it may be; `difference`: B less A, with the half
    width of its 95 % interval where both are known."""

    name: str
    a: str
    b: str
    difference: str


def figure_rows(a: Drink, b: Drink) -> list[FigureRow]:
    """What is in both drinks, figure by figure: what their difference is made of."""
    return [_figure(name, a, b) for name in _FIGURES]


def _figure(name: str, a: Drink, b: Drink) -> FigureRow:
    figure = NAMES[name]
    unit = f", {figure.unit}" if figure.unit else ""
    title = f"{figure.name[:1].upper()}{figure.name[1:]}{unit}" if name != "ph" else "pH"
    return FigureRow(title, _value(name, a), _value(name, b), _difference(name, a, b))


def _difference(name: str, a: Drink, b: Drink) -> str:
    of_a, of_b = (_known(name, drink) for drink in (a, b))
    if of_a is not None and of_b is not None:
        return _written(name, of_b - of_a, _half_width(name, a, b))
    if name in ADDING_UP and isinstance(a, Version) and isinstance(b, Version):
        change = changes(b, a)[name]
        if change.value is not None:
            return _written(name, change.value, (change.high - change.low) / 2)
    return UNKNOWN


def _written(name: str, change: float, half_width: float) -> str:
    written, half = NAMES[name].change(change), NAMES[name].bare(half_width)
    return f"{written} ± {half}" if half.strip("0.") else written


def _half_width(figure: str, a: Drink, b: Drink) -> float:
    """Half the 95 % interval of B less A. What is wrong alike in both cancels: two versions share
    their ingredients, and the model of pH. 0 where nothing is known of how sure the figures are."""
    driver = Driver(figure, figure, figure, "", figure)
    parts = difference_components(reading(a, (driver,)), reading(b, (driver,))).values()
    squares = sum(float(np.sum(part**2)) for part in parts)
    alike = isinstance(a, Reference) == isinstance(b, Reference)
    model = 0.0 if alike or figure != "ph" else PH_MODEL
    return sqrt(_WIDE**2 * squares + model**2)


def _known(name: str, drink: Drink) -> float | None:
    known: float | None = getattr(drink if isinstance(drink, Reference) else compose(drink), name)
    return known


def _value(name: str, drink: Drink) -> str:
    """Computed with its likely range, or printed or measured with what that can mean."""
    figure = NAMES[name]
    if isinstance(drink, Reference):
        value, meant = figure.bare(getattr(drink, name)), bands(drink).get(name)
        return f"{value} ({interval(meant[0].low, meant[0].high, figure.bare)})" if meant else value
    made = compose(drink)
    if name in made.unknown:
        return f"{NOT_COMPUTABLE} ({likely(name, made.intervals[name])})"
    return f"{figure.bare(getattr(made, name))} ({likely(name, made.intervals[name])})"
