"""How sure the figures are: the ranges of the ingredients carried through the mixture.

One figure of one ingredient at a time is moved to the ends of its range. The deviations are taken
as independent and added in quadrature, upward and downward apart; what the models themselves leave
open is added likewise. The result is a likely interval, not a bound.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from tasting.drink import content, sugar
from tasting.drink.arrays import Floats
from tasting.drink.mixture import FIGURES, mix
from tasting.drink.pantry import FIGURES as INGREDIENT_FIGURES
from tasting.drink.pantry import Ingredient
from tasting.wording import percent

MODEL: Final = "the model itself"

# pH computed for juice drinks is good to 0.2 to 0.3 against published juices (a judgement).
_PH_MODEL: Final = 0.2
# Density in kg/L, up to this strength (% vol) and sugar (g/L); a judgement around the limits that
# Hackbarth found for the additive rule (J. Am. Soc. Brew. Chem. 69:39, 2011).
_DENSITY_MODEL: Final = ((12.0, 150.0, 0.0003), (20.0, 300.0, 0.001), (np.inf, np.inf, 0.003))


@dataclass(frozen=True, slots=True)
class Spread:
    """A likely interval, the ingredient (or the model) that widens it most, and its share of the
    squared width, 0 to 1. Nothing widens it where no ingredient carries a range: main is None."""

    low: float
    high: float
    main: str | None = None
    share: float = 0.0

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high


# What to measure on the ingredient that leaves a figure open.
_MEASURE: Final = {
    "ta_g_per_l": "Titrate",
    "ph": "Measure the pH of",
    "sugar_g_per_l": "Measure the °Brix of",
    "sweetness_g_per_l": "Measure the °Brix of",
    "brix": "Measure the °Brix of",
    "refractometer_brix": "Measure the °Brix of",
    "density_kg_per_l": "Measure the density of",
    "co2_g_per_l": "Measure the carbonation of",
    "alcohol_percent_vol": "Measure the strength of",
    "alcohol_g_per_l": "Measure the strength of",
    "energy_kcal_per_l": "Measure the °Brix of",
    "energy_kj_per_l": "Measure the °Brix of",
}


def advice(figure: str, spread: Spread) -> str:
    """What would narrow a figure most, in a sentence; empty where no ingredient leaves it open.

    >>> advice("ta_g_per_l", Spread(4.7, 7.0, "rhubarb juice", 0.87))
    'Titrate your rhubarb juice: 87 % of what is unsure here comes from it.'
    """
    if spread.main is None or spread.main == MODEL or figure not in _MEASURE:
        return ""
    share = percent(spread.share)
    return f"{_MEASURE[figure]} your {spread.main}: {share} of what is unsure here comes from it."


@dataclass(frozen=True, slots=True)
class Lot:
    """So much of an ingredient; poured by volume, a denser one would weigh more."""

    ingredient: Ingredient
    mass_g: float
    poured: bool


@dataclass(frozen=True, slots=True)
class Propagated:
    """The figures of a mixture of lots, and what an ingredient's figure does to them at either end
    of its range.

    usual: a value for each of mixture.FIGURES; low, high: deviations from it, a row a figure and a
    column a source; sources: the index of its lot, and the ingredient's figure
    """

    lots: tuple[Lot, ...]
    usual: Floats
    low: Floats
    high: Floats
    sources: tuple[tuple[int, str], ...]


def propagate(lots: Sequence[Lot]) -> Propagated:
    """Each figure of each lot that has a range, moved alone to both ends of it."""
    own = [lot.mass_g * content.content(lot.ingredient) for lot in lots]
    totals = np.sum(own, axis=0)
    moved = np.concatenate(
        [totals - usual + _ends(lot) for lot, usual in zip(lots, own, strict=True)], axis=1
    )
    mixture = mix(np.vstack([totals, *moved]))
    table = np.array([getattr(mixture, figure) for figure in FIGURES])
    low, high = np.split(table[:, 1:] - table[:, :1], 2, axis=1)
    sources = tuple(
        (index, figure)
        for index, lot in enumerate(lots)
        for figure in sorted(lot.ingredient.ranges)
    )
    return Propagated(tuple(lots), table[:, 0], low, high, sources)


def _ends(lot: Lot) -> Floats:
    """What a lot brings with one figure after another at the lower (0) and the upper end (1)."""
    item, ranges = lot.ingredient, tuple(sorted(lot.ingredient.ranges.items()))
    solid = item.form == "solid"
    return lot.mass_g * _gram_ends(content.figures_of(item), solid, ranges, lot.poured)


@lru_cache(maxsize=4096)
def _gram_ends(
    figures: tuple[float | None, ...],
    solid: bool,
    ranges: tuple[tuple[str, tuple[float, float]], ...],
    poured: bool,
) -> Floats:
    """The same of one gram of the usual ingredient; where it is poured, of as many mL."""
    rows = np.tile(np.array(figures, dtype=float), (2, len(ranges), 1))
    for index, (figure, ends) in enumerate(ranges):
        rows[:, index, INGREDIENT_FIGURES.index(figure)] = ends
    flat = rows.reshape(-1, len(figures))
    contents = content.contents(flat, np.full(len(flat), solid))
    # An end of a range at which acidity and pH cannot both be true says nothing: the usual stays.
    usual = content.contents(np.array([figures], dtype=float), np.array([solid]))
    contents = np.where(np.isnan(contents.sum(axis=1, keepdims=True)), usual, contents)
    density = INGREDIENT_FIGURES.index("density_kg_per_l")
    ratio = rows[:, :, density, None] / figures[density] if poured else 1.0
    return np.asarray(ratio * contents.reshape(2, len(ranges), content.WIDTH))


def spreads(mixture: Propagated, sugars_g_per_l: Floats) -> dict[str, Spread]:
    """A Spread for each figure of a mixture; the sugars apart say how sure its sweetness is."""
    figures = dict(zip(FIGURES, mixture.usual.tolist(), strict=True))
    squares = np.concatenate([_squares(mixture), _models(figures, sugars_g_per_l)], axis=2)
    return _spreads(mixture.usual, squares, [*(lot.ingredient.name for lot in mixture.lots), MODEL])


def _squares(mixture: Propagated) -> Floats:
    """Squared deviations by figure, direction (down, up) and lot.

    Both ends of a range may move a figure the same way; the larger is taken.
    """
    owners = np.eye(len(mixture.lots))[[index for index, _ in mixture.sources]]
    down = np.minimum(np.minimum(mixture.low, mixture.high), 0.0) ** 2
    up = np.maximum(np.maximum(mixture.low, mixture.high), 0.0) ** 2
    return np.stack([down @ owners, up @ owners], axis=1)


def _models(figures: Mapping[str, float], sugars_g_per_l: Floats) -> Floats:
    """Squares of how far down and up the models themselves leave each figure open."""
    strength, sweet = figures["alcohol_percent_vol"], figures["sugar_g_per_l"]
    density = next(
        spread for most, sugars, spread in _DENSITY_MODEL if strength <= most and sweet <= sugars
    )
    taken, less, more = (
        float(sugars_g_per_l @ factors)
        for factors in (sugar.SWEETNESS, sugar.SWEETNESS_LOW, sugar.SWEETNESS_HIGH)
    )
    open_ends = {
        "ph": (_PH_MODEL, _PH_MODEL),
        "density_kg_per_l": (density, density),
        "sweetness_g_per_l": (taken - less, more - taken),
    }
    return np.array([open_ends.get(name, (0.0, 0.0)) for name in FIGURES])[..., None] ** 2


def _spreads(values: Floats, squares: Floats, names: list[str]) -> dict[str, Spread]:
    """From squares by figure, direction and source to one Spread a figure."""
    down, up = np.sqrt(squares.sum(axis=2)).T
    by_source = squares.sum(axis=1)
    largest, total = by_source.argmax(axis=1), by_source.sum(axis=1)
    known = total > (1e-9 * values) ** 2
    shares = by_source.max(axis=1) / np.where(known, total, 1.0)
    columns = zip(FIGURES, known, values - down, values + up, largest, shares, values, strict=True)
    return {
        figure: Spread(float(low), float(high), names[main], float(share))
        if some
        else Spread(float(value), float(value))
        for figure, some, low, high, main, share, value in columns
    }
