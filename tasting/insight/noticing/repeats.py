"""How many more of the same pinch, until half of assessors would notice it beside the start.

Steps are those of `steps`: a size with its interval, or only a bound. Each driver is looked at
alone, because a step is one of that driver with all else alike.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from tasting.drink.composition import compose, part_grams
from tasting.drink.formula import Part, Version
from tasting.drink.response import Response
from tasting.insight.noticing.drivers import Driver
from tasting.insight.noticing.model import ThresholdModel
from tasting.insight.noticing.steps import DriverStep, Noticed, SmallestPossible
from tasting.insight.noticing.words import extrapolated_in_words, more_than
from tasting.stats.checks import Floats
from tasting.wording import signed, with_interval

# More of the same than anybody adds one by one.
MOST: Final = 99


@dataclass(frozen=True, slots=True)
class Repeats:
    """A driver that a glass has moved, or that its last pinch moves.

    change: so far, in the driver's unit; known: its step, or the bound
    more: how many more of that pinch until the step (or the bound) is reached; None for more than
        MOST; at_least, at_most: the same at the ends of the step's interval
    """

    driver: Driver
    change: float
    known: Noticed
    more: int | None
    at_least: int | None
    at_most: int | None

    @property
    def reached(self) -> bool:
        """Whether the change is as large as the step, or as the bound."""
        return self.more == 0

    @property
    def only_bound(self) -> bool:
        """Whether no step is shown, so that all is open beyond the bound."""
        return not isinstance(self.known, DriverStep)


def repeats(
    model: ThresholdModel, start: Version, glass: Version, pinch: Part
) -> tuple[Repeats, ...]:
    """For each driver with a step or a bound, of which the glass or the pinch has moved it by more
    than a MOSTth; what is reached first in front. Nothing where a level is not known."""
    before, now = compose(start), compose(glass)
    told = []
    for known in model.noticed:
        figure = known.driver.figure
        if figure in before.unknown or figure in now.unknown:
            continue
        changes = _levels(glass, pinch, figure) - getattr(before, figure)
        if np.abs([changes[0], changes[1] - changes[0]]).max() >= _size(known) / MOST:
            told.append(_repeats(known, changes))
    return tuple(sorted(told, key=_first))


def _size(known: Noticed) -> float:
    """The step, or its bound, in the driver's unit."""
    half = known.difference_threshold
    return half.amount if isinstance(half, SmallestPossible) else half.amount.value


def _levels(glass: Version, pinch: Part, figure: str) -> Floats:
    """The figure as it is, and after each more of the pinch."""
    grams = part_grams(pinch)
    most = np.array([MOST * grams])
    response = Response.of(glass, [pinch.ingredient], np.zeros(1), most)
    return response.alone(0, grams * np.arange(MOST + 1.0), figure)


def _repeats(known: Noticed, changes: Floats) -> Repeats:
    if isinstance(known, DriverStep):
        size = known.difference_threshold.amount
        more = tuple(_count(changes, end) for end in (size.value, size.low, size.high))
        return Repeats(known.driver, float(changes[0]), known, *more)
    least = _count(changes, _size(known))
    return Repeats(known.driver, float(changes[0]), known, least, least, None)


def _count(changes: Floats, size: float) -> int | None:
    """The first count at which the change is as large as this, either way."""
    there = np.flatnonzero(np.abs(changes) >= size)
    return int(there[0]) if there.size else None


def _first(one: Repeats) -> tuple[bool, int]:
    """Steps before bounds, and what is reached first in front."""
    return one.only_bound, MOST + 1 if one.more is None else one.more


def headline(told: Sequence[Repeats]) -> str:
    """The answer first, as in "About 3 more of these before half of assessors would notice."."""
    if not told:
        return ""
    first = told[0]
    count = first.more
    if first.only_bound:
        return _bound_headline(count)
    if count == 0:
        return "About half of assessors would notice this."
    if count is None:
        return "Far from what half of assessors would notice."
    return f"About {count} more of these before half of assessors would notice."


def _bound_headline(count: int | None) -> str:
    if count == 0:
        return "Half of assessors might notice this; only a blind tasting can tell."
    if count is None:
        return "Far from what half of assessors could notice."
    return f"At least {count} more of these before half of assessors could notice."


def evidence(one: Repeats, start: str) -> str:
    """What the answer rests on, as in "+0.6 g/L acid since v12. Half of assessors notice 0.96 g/L
    (0.62–1.9): 1–8 more of these."."""
    unit = one.driver.unit
    changed = f"{signed(one.change, 2)} {unit} {one.driver.short} since {start}."
    if not isinstance(one.known, DriverStep):
        return f"{changed} Half of assessors notice {more_than(one.known)}."
    half = one.known.difference_threshold
    step = f"{changed} Half of assessors notice {with_interval(half.amount, unit)}"
    return f"{step}{_range(one)}.{extrapolated_in_words(half, unit)}"


def _range(one: Repeats) -> str:
    """How many more at both ends of the interval; empty where that says nothing new."""
    if one.at_least == one.at_most or one.reached:
        return ""
    least = one.at_least or 0
    if one.at_most is None:
        return f": from {least} to over {MOST} more of these"
    return f": {least}–{one.at_most} more of these"
