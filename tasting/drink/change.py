"""By how much two recipes differ in what adds up: titratable acidity, sugar and alcohol.

What is unsure or unknown of an ingredient is the same in both recipes. It cancels as far as both
hold as much of it in a litre, and only what is left makes the difference unsure.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from tasting.drink import acidity, computable
from tasting.drink.arrays import Floats
from tasting.drink.composition import propagated
from tasting.drink.formula import Version
from tasting.drink.mixture import FIGURES
from tasting.drink.pantry import Ingredient
from tasting.drink.uncertainty import Propagated, open_ranges
from tasting.units import CUSTOMARY

ADDING_UP: Final = ("ta_g_per_l", "sugar_g_per_l", "alcohol_percent_vol")
_ROWS: Final = [FIGURES.index(figure) for figure in ADDING_UP]
# What is not known may leave so large a share of a difference open, or so much of it in its unit,
# before it counts as not known: no more than sure figures leave open (a judgement).
_SHARE: Final = 0.1
_LEAST: Final = 0.05


@dataclass(frozen=True, slots=True)
class LevelChange:
    """A difference and its likely interval, in the unit of the figure; `value` is None where too
    much of it comes from what is not known of an ingredient."""

    value: float | None
    low: float
    high: float


@dataclass(slots=True)
class _Moved:
    """What one figure of one ingredient does to the difference at either end of its range."""

    ingredient: Ingredient
    figure: str
    ends: Floats

    @property
    def known(self) -> bool:
        """Whether somebody gave the figure, or the measure, its range."""
        return self.figure in self.ingredient.ranges or self.figure in CUSTOMARY


def changes(now: Version, before: Version) -> Mapping[str, LevelChange]:
    """`now` less `before`, for each of ADDING_UP."""
    after, first = map(propagated, _as_known(now, before))
    values = (after.usual - first.usual)[_ROWS]
    moved = _moved(after, first)
    low, high = _reach([one.ends for one in moved])
    below, above = _reach([one.ends for one in moved if not one.known])
    held = abs(after.buffer_g_per_l - first.buffer_g_per_l) * computable.BUFFER_EQ_PER_G
    model = np.array([held * acidity.CITRIC_G_PER_EQ, 0.0, 0.0])
    sure = np.maximum(below, above) + model <= np.maximum(_SHARE * np.abs(values), _LEAST)
    rows = zip(values, sure, np.hypot(low, model), np.hypot(high, model), strict=True)
    return {
        figure: LevelChange(float(value) if known else None, float(value - down), float(value + up))
        for figure, (value, known, down, up) in zip(ADDING_UP, rows, strict=True)
    }


def _as_known(now: Version, before: Version) -> tuple[Version, Version]:
    """Both with the figures of whichever knows more of an ingredient: that one of them was
    completed since changes nothing in the recipe."""
    best: dict[str, Ingredient] = {}
    for part in (*before.parts, *now.parts):
        item = part.ingredient
        if item.key not in best or _unknown(item) < _unknown(best[item.key]):
            best[item.key] = item
    return _with(now, best), _with(before, best)


def _with(version: Version, best: Mapping[str, Ingredient]) -> Version:
    parts = tuple(
        part.model_copy(update={"ingredient": best[part.ingredient.key]})
        if _unknown(best[part.ingredient.key]) < _unknown(part.ingredient)
        else part
        for part in version.parts
    )
    return version.model_copy(update={"parts": parts})


def _unknown(item: Ingredient) -> int:
    return len(open_ranges(item).keys() - item.ranges.keys())


def _moved(after: Propagated, first: Propagated) -> list[_Moved]:
    """Each source once, whichever recipe holds it, poured or weighed."""
    found: list[_Moved] = []
    for mixture, sign in ((after, 1.0), (first, -1.0)):
        ends = sign * np.stack([mixture.low, mixture.high])[:, _ROWS]
        for place, (lot, figure) in enumerate(mixture.sources):
            item = mixture.lots[lot].ingredient
            same = next(
                (one for one in found if one.figure == figure and _same(one.ingredient, item)), None
            )
            if same is None:
                found.append(_Moved(item, figure, ends[:, :, place]))
            else:
                same.ends = same.ends + ends[:, :, place]
    return found


def _same(one: Ingredient, other: Ingredient) -> bool:
    return one.key == other.key and one == other


def _reach(ends: list[Floats]) -> tuple[Floats, Floats]:
    """How far down and up independent sources move each figure together."""
    both = np.array(ends).reshape(-1, 2, len(ADDING_UP))
    down = np.minimum(both.min(axis=1), 0.0) ** 2
    up = np.maximum(both.max(axis=1), 0.0) ** 2
    return np.sqrt(down.sum(axis=0)), np.sqrt(up.sum(axis=0))
