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
from numpy.typing import NDArray

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


@dataclass(frozen=True, slots=True)
class Variants:
    """One ingredient with one figure after another at the ends of its range: what a gram brings,
    and the density over the usual one. The lower ends come first, then the upper in like order."""

    contents: Floats
    density_ratio: Floats


def variants(ingredient: Ingredient) -> Variants:
    """The variants of an ingredient, remembered by its figures and ranges."""
    ranges = tuple(sorted(ingredient.ranges.items()))
    figures = tuple(getattr(ingredient, figure) for figure in INGREDIENT_FIGURES)
    return _variants(figures, ingredient.form == "solid", ranges)


@lru_cache(maxsize=4096)
def _variants(
    figures: tuple[float | None, ...],
    solid: bool,
    ranges: tuple[tuple[str, tuple[float, float]], ...],
) -> Variants:
    rows = np.tile(np.array(figures, dtype=float), (2 * len(ranges), 1))
    for row, (figure, (low, high)) in enumerate(ranges):
        place = INGREDIENT_FIGURES.index(figure)
        rows[row, place], rows[len(ranges) + row, place] = low, high
    density = rows[:, INGREDIENT_FIGURES.index("density_kg_per_l")]
    usual = figures[INGREDIENT_FIGURES.index("density_kg_per_l")]
    return Variants(content.contents(rows, np.full(len(rows), solid)), density / usual)


@dataclass(frozen=True, slots=True)
class Lot:
    """So much of an ingredient; poured by volume, a denser one would weigh more."""

    ingredient: Ingredient
    mass_g: float
    poured: bool


def spreads(
    lots: Sequence[Lot], totals: Floats, sugars_g_per_l: Floats
) -> tuple[Mapping[str, float], Mapping[str, Spread]]:
    """The figures of one mixture of lots, and a Spread for each.

    `totals` are the mixture's, in the columns of `content`.
    """
    rows, owners = _moved(lots, totals)
    mixture = mix(np.vstack([totals, rows]))
    table = np.array([getattr(mixture, figure) for figure in FIGURES])
    figures = dict(zip(FIGURES, table[:, 0].tolist(), strict=True))
    names = [lot.ingredient.name for lot in lots]
    squares = _squares(table[:, 1:] - table[:, :1], owners, len(names))
    models = _models(figures, sugars_g_per_l)
    found = {
        figure: _spread(figures[figure], down, up, names, models.get(figure, (0.0, 0.0)))
        for figure, (down, up) in zip(FIGURES, squares, strict=True)
    }
    return figures, found


def _moved(lots: Sequence[Lot], totals: Floats) -> tuple[Floats, NDArray[np.intp]]:
    """Totals with one figure of one lot moved, and whose figure it is; for each lot the lower
    ends, then the upper."""
    rows, counts = [np.empty((0, content.WIDTH))], []
    for lot in lots:
        moved = variants(lot.ingredient)
        masses = lot.mass_g * (moved.density_ratio if lot.poured else np.ones(len(moved.contents)))
        usual = lot.mass_g * content.content(lot.ingredient)
        rows.append(totals + moved.contents * masses[:, None] - usual)
        counts.append(len(masses))
    return np.vstack(rows), np.repeat(np.arange(len(lots)), counts)


def _squares(deviations: Floats, owners: NDArray[np.intp], count: int) -> Floats:
    """Squared deviations by figure, direction (down, up) and ingredient.

    Both ends of a range may move a figure the same way; the larger is taken.
    """
    out = np.zeros((len(deviations), 2, count))
    for place in range(count):
        own = deviations[:, owners == place]
        low, high = np.split(own, 2, axis=1)
        down = np.minimum(np.minimum(low, high), 0.0)
        up = np.maximum(np.maximum(low, high), 0.0)
        out[:, 0, place], out[:, 1, place] = (down**2).sum(axis=1), (up**2).sum(axis=1)
    return out


def _models(figures: Mapping[str, float], sugars_g_per_l: Floats) -> dict[str, tuple[float, float]]:
    """How far down and up the models themselves leave a figure open."""
    strength, sweet = figures["alcohol_percent_vol"], figures["sugar_g_per_l"]
    density = next(
        spread for most, sugars, spread in DENSITY_MODEL if strength <= most and sweet <= sugars
    )
    taken = sugars_g_per_l @ sugar.SWEETNESS
    return {
        "ph": (PH_MODEL, PH_MODEL),
        "density_kg_per_l": (density, density),
        "sweetness_g_per_l": (
            float(taken - sugars_g_per_l @ sugar.SWEETNESS_LOW),
            float(sugars_g_per_l @ sugar.SWEETNESS_HIGH - taken),
        ),
    }


def _spread(
    value: float, down: Floats, up: Floats, names: list[str], model: tuple[float, float]
) -> Spread:
    by_source = np.append(down + up, model[0] ** 2 + model[1] ** 2)
    total = float(by_source.sum())
    if total <= (1e-9 * abs(value)) ** 2:
        return Spread(value, value)
    largest = int(by_source.argmax())
    return Spread(
        low=value - float(np.sqrt(down.sum() + model[0] ** 2)),
        high=value + float(np.sqrt(up.sum() + model[1] ** 2)),
        main=[*names, MODEL][largest],
        share=float(by_source[largest]) / total,
    )
