"""How sure the figures are: the ranges of the ingredients carried through the mixture.

One figure of one ingredient at a time is moved to the ends of its range. The deviations are taken
as independent and added in quadrature, upward and downward apart; what the models themselves leave
open is added likewise. The result is a likely interval, not a bound.
"""

from __future__ import annotations

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

MODEL: Final = "the model itself"

# pH computed for juice drinks is good to 0.2 to 0.3 against published juices (a judgement).
PH_MODEL: Final = 0.2
# Density in kg/L, up to this strength (% vol) and sugar (g/L); a judgement around the limits that
# Hackbarth found for the additive rule (J. Am. Soc. Brew. Chem. 69:39, 2011).
DENSITY_MODEL: Final = ((12.0, 150.0, 0.0003), (20.0, 300.0, 0.001), (np.inf, np.inf, 0.003))


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
    share = f"{100 * spread.share:.0f} %"
    return f"{_MEASURE[figure]} your {spread.main}: {share} of what is unsure here comes from it."


@dataclass(frozen=True, slots=True)
class Lot:
    """So much of an ingredient; poured by volume, a denser one would weigh more."""

    ingredient: Ingredient
    mass_g: float
    poured: bool


@dataclass(frozen=True, slots=True)
class Variants:
    """One ingredient with one figure after another at the lower (0) and the upper end (1) of its
    range: what a gram then brings, and its density over the usual one."""

    contents: Floats
    density_ratio: Floats


def variants(ingredient: Ingredient) -> Variants:
    """The variants of an ingredient, remembered by its figures and ranges."""
    ranges = tuple(sorted(ingredient.ranges.items()))
    return _variants(content.figures_of(ingredient), ingredient.form == "solid", ranges)


@lru_cache(maxsize=4096)
def _variants(
    figures: tuple[float | None, ...],
    solid: bool,
    ranges: tuple[tuple[str, tuple[float, float]], ...],
) -> Variants:
    rows = np.tile(np.array(figures, dtype=float), (2, len(ranges), 1))
    for place, (figure, ends) in enumerate(ranges):
        rows[:, place, INGREDIENT_FIGURES.index(figure)] = ends
    flat = rows.reshape(-1, len(figures))
    contents = content.contents(flat, np.full(len(flat), solid))
    # An end of a range at which acidity and pH cannot both be true says nothing: the usual stays.
    usual = content.contents(np.array([figures], dtype=float), np.array([solid]))
    contents = np.where(np.isnan(contents.sum(axis=1, keepdims=True)), usual, contents)
    place = INGREDIENT_FIGURES.index("density_kg_per_l")
    return Variants(
        contents.reshape(2, len(ranges), content.WIDTH), rows[:, :, place] / figures[place]
    )


def spreads(
    lots: Sequence[Lot], totals: Floats, sugars_g_per_l: Floats
) -> tuple[dict[str, float], dict[str, Spread]]:
    """The figures of one mixture of lots, and a Spread for each.

    `totals` are the mixture's, in the columns of `content`.
    """
    moved, owners = _moved(lots, totals)
    mixture = mix(np.vstack([totals, moved]))
    table = np.array([getattr(mixture, figure) for figure in FIGURES])
    figures = dict(zip(FIGURES, table[:, 0].tolist(), strict=True))
    squares = np.concatenate(
        [_squares(table[:, 1:] - table[:, :1], owners), _models(figures, sugars_g_per_l)], axis=2
    )
    names = [*(lot.ingredient.name for lot in lots), MODEL]
    return figures, _spreads(table[:, 0], squares, names)


def _moved(lots: Sequence[Lot], totals: Floats) -> tuple[Floats, Floats]:
    """Totals with one figure of one lot moved, all lower ends and then all upper; and, a row each
    of these figures, a 1 in the column of the lot that it belongs to."""
    changes, counts = [], []
    for lot in lots:
        moved = variants(lot.ingredient)
        ratio = moved.density_ratio[..., None] if lot.poured else 1.0
        changes.append(lot.mass_g * (ratio * moved.contents - content.content(lot.ingredient)))
        counts.append(moved.contents.shape[1])
    rows = np.concatenate(changes, axis=1).reshape(-1, content.WIDTH)
    return totals + rows, np.repeat(np.eye(len(lots)), counts, axis=0)


def _squares(deviations: Floats, owners: Floats) -> Floats:
    """Squared deviations by figure, direction (down, up) and lot.

    Both ends of a range may move a figure the same way; the larger is taken.
    """
    low, high = np.split(deviations, 2, axis=1)
    down = np.minimum(np.minimum(low, high), 0.0) ** 2
    up = np.maximum(np.maximum(low, high), 0.0) ** 2
    return np.stack([down @ owners, up @ owners], axis=1)


def _models(figures: Mapping[str, float], sugars_g_per_l: Floats) -> Floats:
    """Squares of how far down and up the models themselves leave each figure open."""
    strength, sweet = figures["alcohol_percent_vol"], figures["sugar_g_per_l"]
    density = next(
        spread for most, sugars, spread in DENSITY_MODEL if strength <= most and sweet <= sugars
    )
    taken, less, more = (
        float(sugars_g_per_l @ factors)
        for factors in (sugar.SWEETNESS, sugar.SWEETNESS_LOW, sugar.SWEETNESS_HIGH)
    )
    open_ends = {
        "ph": (PH_MODEL, PH_MODEL),
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
        figure: Spread(float(low), float(high), names[place], float(share))
        if some
        else Spread(float(value), float(value))
        for figure, some, low, high, place, share, value in columns
    }
