"""How sure the figures are: the ranges of the ingredients carried through the mixture.

One figure of one ingredient at a time is moved to the ends of its range, and so is the size of each
measure that is only customary, such as a dash. The deviations are taken as independent and added in
quadrature, upward and downward apart; what the models themselves leave open is added likewise. The
result is a likely interval, not a bound.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from tasting.drink import acidity, computable, content, sugar
from tasting.drink.arrays import Floats
from tasting.drink.mixture import FIGURES, mix
from tasting.drink.pantry import ACID_FIGURES, SUGAR_FIGURES, Ingredient
from tasting.drink.pantry import FIGURES as INGREDIENT_FIGURES
from tasting.units import CUSTOMARY
from tasting.wording import percent

MODEL: Final = "the model itself"
_AMOUNT_OF: Final = "amount of "

# pH computed for juice drinks is good to 0.2 to 0.3 against published juices (a judgement).
PH_MODEL: Final = 0.2
# Alcohol and sugar together read a little otherwise than one after the other: so large a share of
# what the alcohol reads (a judgement).
REFRACTOMETER_MODEL: Final = 0.1
_NEUTRAL_PH: Final = 7.0
# Density in kg/L, up to this strength (% vol) and sugar (g/L); a judgement around the limits that
# Hackbarth found for the additive rule (J. Am. Soc. Brew. Chem. 69:39, 2011).
_DENSITY_MODEL: Final = ((12.0, 150.0, 0.0003), (20.0, 300.0, 0.001), (np.inf, np.inf, 0.003))


@dataclass(frozen=True, slots=True)
class Spread:
    """A likely interval, the ingredient (or the model) that widens it most, its share of the
    squared width, 0 to 1, and what to do about it ("Titrate"), empty where nothing narrows it that
    a kitchen can measure. Nothing widens it where no ingredient carries a range: main is None."""

    low: float
    high: float
    main: str | None = None
    share: float = 0.0
    measure: str = ""

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high


# What shows a figure of an ingredient. Only acid can be titrated, only a liquid has °Brix, and what
# is spooned is better weighed.
_TITRATE: Final = "Titrate"
_READ: Final = "Measure the °Brix of"
_STRENGTH: Final = "Measure the strength of"
_SHOWN_BY: Final = {
    **dict.fromkeys((*ACID_FIGURES, "ta_citric_g_per_100g"), _TITRATE),
    **dict.fromkeys((*SUGAR_FIGURES, "water_g_per_100g"), _READ),
    **dict.fromkeys(
        ("ph", "potassium_mg_per_100g", "other_cations_meq_per_100g"), "Measure the pH of"
    ),
    "density_kg_per_l": "Measure the density of",
    "alcohol_percent_vol": _STRENGTH,
    "co2_g_per_l": "Measure the carbonation of",
}
_SPOONED: Final = {"density_kg_per_l": "Weigh"}
# From here alcohol shows in a refractometer, g per 100 g.
_MISLEADING_ETHANOL: Final = 0.4
# An interval narrower than this share of its figure needs no advice.
_NARROW: Final = 0.005


def _way(ingredient: Ingredient, figure: str) -> str:
    """What shows this figure of an ingredient; empty for what a kitchen cannot measure."""
    if ingredient.form == "solid":
        return _SPOONED.get(figure, "")
    way = _SHOWN_BY.get(figure, "")
    if way == _READ and ingredient.ethanol_g_per_100g > _MISLEADING_ETHANOL:
        return ""
    return way


def advice(spread: Spread, figure: str = "") -> str:
    """What would narrow a figure most, in a sentence that may name the figure; empty where nothing
    that can be measured on an ingredient leaves it open.

    >>> advice(Spread(4.7, 7.0, "rhubarb juice", 0.87, "Titrate"), "TA")
    'Titrate your rhubarb juice: it causes 87 % of the uncertainty in TA.'
    """
    if not spread.measure:
        return ""
    share = f"{percent(spread.share)} of the uncertainty{f' in {figure}' if figure else ''}"
    if spread.main and spread.main.startswith(_AMOUNT_OF):
        return f"Weigh the {spread.main}: how it is measured causes {share}."
    return f"{spread.measure} your {spread.main}: it causes {share}."


@dataclass(frozen=True, slots=True)
class Lot:
    """So much of an ingredient; poured by volume, a denser one would weigh more.

    `customary` says which grams of it were counted out in which measures without a definition.
    """

    ingredient: Ingredient
    mass_g: float
    poured: bool
    customary: tuple[tuple[str, float], ...] = ()

    def with_more(self, other: "Lot") -> "Lot":
        """Both together, of the same ingredient."""
        together = dict(self.customary)
        for unit, grams in other.customary:
            together[unit] = together.get(unit, 0.0) + grams
        return Lot(
            self.ingredient, self.mass_g + other.mass_g, self.poured, tuple(together.items())
        )


@dataclass(frozen=True, slots=True)
class Propagated:
    """The figures of a mixture of lots, and what an ingredient's figure does to them at either end
    of its range.

    usual: a value for each of mixture.FIGURES; low, high: deviations from it, a row a figure and a
    column a source; sources: the index of its lot, and the ingredient's figure, or the customary
    measure that it was counted out in; unknown: the figures that cannot be computed, whose usual
    value counts what is not known as none; buffer_g_per_l: protein that holds the pH
    """

    lots: tuple[Lot, ...]
    usual: Floats
    low: Floats
    high: Floats
    sources: tuple[tuple[int, str], ...]
    unknown: frozenset[str]
    buffer_g_per_l: float


def propagate(lots: Sequence[Lot]) -> Propagated:
    """Each figure of each lot that has a range, moved alone to both ends of it; so the size of
    each customary measure."""
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
        for figure in (*sorted(open_ranges(lot.ingredient)), *(unit for unit, _ in lot.customary))
    )
    volume = float(mixture.volume_ml[0])
    unknown = computable.unknown_of(totals, volume)
    held = float(computable.buffer_g_per_l(totals, volume))
    return Propagated(tuple(lots), table[:, 0], low, high, sources, unknown, held)


# How far what is not known may reach: the sourest juices, the sweetest syrups, rectified spirit,
# and CO2 as in sparkling wine (a judgement).
_UNKNOWN_RANGES: Final = (
    (ACID_FIGURES, "citric_g_per_100g", (0.0, 8.0)),
    (SUGAR_FIGURES, "sucrose_g_per_100g", (0.0, 80.0)),
    (("alcohol_percent_vol",), "alcohol_percent_vol", (0.0, 96.0)),
    (("co2_g_per_l",), "co2_g_per_l", (0.0, 12.0)),
)


def open_ranges(item: Ingredient) -> dict[str, tuple[float, float]]:
    """The ranges of an ingredient, those of what is not known of it included."""
    ranges = dict(item.ranges)
    for figures, stands_for, span in _UNKNOWN_RANGES:
        titrated = figures is ACID_FIGURES and item.ta_citric_g_per_100g is not None
        if not titrated and any(getattr(item, figure) is None for figure in figures):
            ranges.setdefault(stands_for, span)
    return ranges


def _ends(lot: Lot) -> Floats:
    """What a lot brings with one figure after another at the lower (0) and the upper end (1)."""
    item, ranges = lot.ingredient, tuple(sorted(open_ranges(lot.ingredient).items()))
    kind = (item.form == "solid", item.holds_ph)
    figures = lot.mass_g * _gram_ends(content.figures_of(item), kind, ranges, lot.poured)
    if not lot.customary:
        return figures
    sizes = np.array([_size_ends(unit, grams) for unit, grams in lot.customary]).T
    whole = (lot.mass_g + sizes)[..., None] * content.content(item)
    return np.concatenate([figures, whole], axis=1)


def _size_ends(unit: str, grams: float) -> tuple[float, float]:
    """How many grams less and more it is if the measure is as small or as large as it may be."""
    size = CUSTOMARY[unit]
    return grams * (size.low_ml / size.ml - 1), grams * (size.high_ml / size.ml - 1)


@lru_cache(maxsize=4096)
def _gram_ends(
    figures: tuple[float | None, ...],
    kind: tuple[bool, bool],
    ranges: tuple[tuple[str, tuple[float, float]], ...],
    poured: bool,
) -> Floats:
    """The same of one gram of the usual ingredient; where it is poured, of as many mL."""
    rows = np.tile(np.array(figures, dtype=float), (2, len(ranges), 1))
    for index, (figure, ends) in enumerate(ranges):
        rows[:, index, INGREDIENT_FIGURES.index(figure)] = ends
    contents, usual = _along(rows.reshape(-1, len(figures)), figures, kind, dict(ranges))
    # An end of a range at which acidity and pH cannot both be true says nothing: the usual stays.
    contents = np.where(np.isnan(contents.sum(axis=1, keepdims=True)), usual, contents)
    density = INGREDIENT_FIGURES.index("density_kg_per_l")
    ratio = rows[:, :, density, None] / figures[density] if poured else 1.0
    return np.asarray(ratio * contents.reshape(2, len(ranges), content.WIDTH))


def _along(
    rows: Floats,
    figures: tuple[float | None, ...],
    kind: tuple[bool, bool],
    ranges: Mapping[str, tuple[float, float]],
) -> tuple[Floats, Floats]:
    """The contents of rows of figures and of the usual ones. An energy from a table or a label that
    has no range of its own moves with the sugar, acid and alcohol that it comes from."""
    energy = INGREDIENT_FIGURES.index("energy_kcal_per_100g")
    usual = np.array([figures], dtype=float)
    moving = rows.copy()
    if "energy_kcal_per_100g" not in ranges:
        moving[:, energy] = np.nan
    contents, before, declared = (
        content.contents(table, *(np.full(len(table), flag) for flag in kind))
        for table in (moving, _without(usual, energy, ranges), usual)
    )
    both = [content.KCAL, content.KJ]
    contents[:, both] += declared[:, both] - before[:, both]
    return contents, declared


def _without(usual: Floats, energy: int, ranges: Mapping[str, tuple[float, float]]) -> Floats:
    if "energy_kcal_per_100g" in ranges:
        return usual
    table = usual.copy()
    table[:, energy] = np.nan
    return table


def spreads(mixture: Propagated, sugars_g_per_l: Floats) -> dict[str, Spread]:
    """A Spread for each figure of a mixture; the sugars apart say how sure its sweetness is."""
    figures = dict(zip(FIGURES, mixture.usual.tolist(), strict=True))
    models = _models(figures, sugars_g_per_l, mixture.buffer_g_per_l)
    squares = np.concatenate([_squares(mixture), models], axis=2)
    names = [lot.ingredient.name for lot in mixture.lots]
    sources = [*names, *(_AMOUNT_OF + name for name in names), MODEL]
    return _spreads(mixture.usual, squares, sources, _ways(mixture))


def _ways(mixture: Propagated) -> list[list[str]]:
    """For each figure and each lot, what shows that which leaves the figure open most; then what
    shows the amount of each lot, and nothing for the model."""
    sizes = np.maximum(np.abs(mixture.low), np.abs(mixture.high))
    shown = [_way(mixture.lots[index].ingredient, figure) for index, figure in mixture.sources]
    count = len(mixture.lots)
    ways = [[""] * count + ["Weigh"] * count + [""] for _ in FIGURES]
    for at in range(count):
        own = [
            place
            for place, (index, figure) in enumerate(mixture.sources)
            if index == at and figure not in CUSTOMARY
        ]
        if own:
            for row, best in enumerate(sizes[:, own].argmax(axis=1)):
                ways[row][at] = shown[own[best]]
    return ways


def _squares(mixture: Propagated) -> Floats:
    """Squared deviations by figure, direction (down, up) and who is to blame: each lot, then the
    amount of each lot.

    Both ends of a range may move a figure the same way; the larger is taken.
    """
    count = len(mixture.lots)
    places = [index + count * (figure in CUSTOMARY) for index, figure in mixture.sources]
    owners = np.eye(2 * count)[places]
    down = np.minimum(np.minimum(mixture.low, mixture.high), 0.0) ** 2
    up = np.maximum(np.maximum(mixture.low, mixture.high), 0.0) ** 2
    return np.stack([down @ owners, up @ owners], axis=1)


def _models(figures: Mapping[str, float], sugars_g_per_l: Floats, buffer_g_per_l: float) -> Floats:
    """Squares of how far down and up the models themselves leave each figure open. Protein that
    holds the pH can hold it at any value up to neutral."""
    strength, sweet = figures["alcohol_percent_vol"], figures["sugar_g_per_l"]
    taken, less, more = (
        float(sugars_g_per_l @ factors)
        for factors in (sugar.SWEETNESS, sugar.SWEETNESS_LOW, sugar.SWEETNESS_HIGH)
    )
    reading = REFRACTOMETER_MODEL * float(sugar.alcohol_reads(strength))
    held = computable.BUFFER_EQ_PER_G * buffer_g_per_l * acidity.CITRIC_G_PER_EQ
    open_ends = {
        "ph": (PH_MODEL, _ph_above(figures["ph"], buffer_g_per_l)),
        "ta_g_per_l": (held, held),
        "refractometer_brix": (reading, reading),
        "density_kg_per_l": 2 * (density_model_kg_per_l(strength, sweet),),
        "sweetness_g_per_l": (taken - less, more - taken),
    }
    return np.array([open_ends.get(name, (0.0, 0.0)) for name in FIGURES])[..., None] ** 2


def density_model_kg_per_l(percent_vol: float, sugar_g_per_l: float) -> float:
    """How far the density of the model may lie from the true one, either way."""
    return next(
        spread
        for most, sugars, spread in _DENSITY_MODEL
        if percent_vol <= most and sugar_g_per_l <= sugars
    )


def _ph_above(ph: float, buffer_g_per_l: float) -> float:
    """How far the pH may lie above the computed one."""
    if buffer_g_per_l <= computable.MOST_BUFFER_G_PER_L:
        return PH_MODEL
    return max(_NEUTRAL_PH - ph, PH_MODEL)


def _spreads(
    values: Floats, squares: Floats, names: list[str], ways: list[list[str]]
) -> dict[str, Spread]:
    """From squares by figure, direction and source to one Spread a figure."""
    down, up = np.sqrt(squares.sum(axis=2)).T
    by_source = squares.sum(axis=1)
    largest, total = by_source.argmax(axis=1), by_source.sum(axis=1)
    known = total > (1e-9 * values) ** 2
    shares = by_source.max(axis=1) / np.where(known, total, 1.0)
    wide = down + up > 2 * _NARROW * np.abs(values)
    columns = zip(FIGURES, known, values - down, values + up, largest, shares, strict=True)
    return {
        figure: Spread(
            float(low),
            float(high),
            names[main],
            float(share),
            ways[row][main] if wide[row] else "",
        )
        if some
        else Spread(float(values[row]), float(values[row]))
        for row, (figure, some, low, high, main, share) in enumerate(columns)
    }
