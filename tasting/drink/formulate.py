"""From the label to a recipe: amounts with which a drink has every figure that a bottle states.

First inequalities that every such recipe keeps (`relaxation`): where they have no solution, there
is none. Then amounts by the true figures (`feasible`): the least and the greatest of each
ingredient, and a recipe in the middle, which the scale can weigh (`whole_steps`). Where there is
none, what excludes what (`exclusion`). Ingredients count as their usual figures say; how sure the
recipe is stands in its composition.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import hypot, inf
from typing import Final

import numpy as np

from tasting.drink import content
from tasting.drink.arrays import Floats
from tasting.drink.composition import Composition, compose
from tasting.drink.demands import Demand, Limits, demands_of, model_half, read_limits
from tasting.drink.exclusion import Conflict, Shortfall, Task, exclusions
from tasting.drink.feasible import KEPT, Found, Problem, furthest, middle
from tasting.drink.formula import Amount, Part
from tasting.drink.ice import WATER_KG_PER_L, served_style
from tasting.drink.label import MEASURABLE, Reference, repeatability
from tasting.drink.pantry import Ingredient, by_hand, ingredient
from tasting.drink.relaxation import Relaxed, closer, relaxed
from tasting.drink.weighable import USUAL_STEP_G, checked_step
from tasting.drink.whole_steps import WeighedRecipe, as_version, composed, missed, parts_of, weighed
from tasting.errors import InputError
from tasting.units import grams

# A mL of anything in a drink weighs no more than this, g; of a solid less than its volume goes in.
_HEAVIEST: Final = 1.6
_MOST_SOLID: Final = 0.9
# An amount between ends nearer than this, in g, is settled.
_WIDE_G: Final = 1e-3
# A measurement is worth its while where its interval is so much narrower than what is known, and
# narrows the amounts by more than this share.
_NARROWER, _WORTH = 0.9, 0.01


@dataclass(frozen=True, slots=True)
class AmountRange:
    """The least and the greatest amount of an ingredient over all recipes that were found, and that
    of the recipe in the middle, in mL of a liquid or g of a solid; below `proven_least` and above
    `proven_most` it is proven that there is none."""

    key: str
    name: str
    unit: str
    least: float
    middle: float
    most: float
    proven_least: float
    proven_most: float


@dataclass(frozen=True, slots=True)
class Narrowing:
    """A measurement of the bottle that would narrow the amounts: by what share on average, if it
    read as the recipe in the middle does, to so much either way."""

    figure: str
    half: float
    narrows: float


@dataclass(frozen=True, slots=True)
class Formulation:
    """What keeps the demands. `impossible`: it is proven that nothing does; `exclusions` then say
    what excludes what, also where merely nothing was found.

    `parts` and `composition` are the recipe in the middle, or, where there is none, what misses
    least, with its `misses`; `weighed` is the same in amounts that the scale shows.
    """

    demands: tuple[Demand, ...]
    found: bool
    impossible: bool
    ranges: tuple[AmountRange, ...]
    parts: tuple[Part, ...]
    composition: Composition
    misses: tuple[Shortfall, ...]
    weighed: WeighedRecipe | None
    exclusions: tuple[Conflict, ...]
    measure_next: tuple[Narrowing, ...]


def _quiet(_done: float) -> None:
    """Whoever does not ask how far it is is not told."""


# How far it is, as shares of the time that a recipe of six ingredients takes (measured).
_BEFORE_RANGES, _AFTER_RANGES = 0.3, 0.7


def formulate(
    reference: Reference | None,
    limits: Sequence[Limits | str],
    *,
    demands: Sequence[Demand] = (),
    step_g: float = USUAL_STEP_G,
    served: str = "",
    progress: Callable[[float], None] = _quiet,
) -> Formulation:
    """Amounts for one serving of a drink that keeps everything a reference states, and more.

    limits: what may go in and how much of it (see `demands.read_limits` for text). demands: in
    place of, or beside, what the reference says; without a reference there must be one of the
    volume. step_g: step of the scale. served: "stirred", "shaken" or "on ice" counts the water
    that usually melts in (see `ice`): the drink as it is tasted keeps the demands. progress: is
    told the share of the work that is done. Raises InputError for nothing to go on, for a figure
    that the ingredients' data cannot tell, and for a step that no scale has.
    """
    read = tuple(read_limits(one) if isinstance(one, str) else one for one in limits)
    asked = _demanded(reference, demands)
    task = _task((*read, *_melted(served, asked[0])), asked)
    room, step = task.room(), checked_step(step_g)
    drawn = relaxed(room, task.demands)
    drawn = drawn and closer(drawn, task.demands)
    progress(0.2)
    central = _middle(task, drawn)
    progress(_BEFORE_RANGES)
    kept = central.slack >= -KEPT
    ranges = _ranges(task, drawn, central, progress) if drawn and kept else ()
    problem = task.problem(drawn.room if drawn else room, (), task.demands[1:])
    made = weighed(task.limits, problem, room, central.amounts_g, step) if kept else None
    progress(0.9)
    return Formulation(
        demands=task.demands,
        found=kept,
        impossible=drawn is None,
        ranges=ranges,
        parts=parts_of(task.limits, central.amounts_g),
        composition=composed(task.limits, central.amounts_g),
        misses=() if kept else _misses(task, central.amounts_g),
        weighed=made,
        exclusions=() if kept else exclusions(task, central.amounts_g),
        measure_next=_narrowings(task, drawn, central) if drawn and kept else (),
    )


def _demanded(reference: Reference | None, more: Sequence[Demand]) -> tuple[Demand, ...]:
    """All demands, the volume first; what is given beats what the reference says."""
    given = {one.figure: one for one in more}
    known = {one.figure: one for one in demands_of(reference)} if reference else {}
    asked = known | given
    if "volume_ml" not in asked:
        raise InputError("the amount to make is missing; give a volume, such as 200 mL")
    if len(asked) < 2:
        raise InputError("only a volume is asked for; complete the reference, or ask for a figure")
    return (asked.pop("volume_ml"), *asked.values())


def _melted(style: str, volume: Demand) -> tuple[Limits, ...]:
    """The ice that has melted in so much of the drink."""
    if not style:
        return ()
    share = served_style(style).usual / (100 + served_style(style).usual)
    water = share * (volume.low + volume.high) / 2 * WATER_KG_PER_L
    amount = Amount(quantity=water, unit="g")
    return (Limits(ingredient("ice"), amount, amount),)


def _task(limits: Sequence[Limits], demands: tuple[Demand, ...]) -> Task:
    if not limits:
        raise InputError("a recipe needs ingredients; name at least one")
    keys = [one.ingredient.key for one in limits]
    for one in limits:
        if keys.count(one.ingredient.key) > 1:
            raise InputError(f"{one.ingredient.name} is named twice; name it once")
        _check_computable(one.ingredient, demands)
    volume = demands[0]
    most = volume.high if volume.high < inf else 0.0
    if not (0 < most < inf and volume.low > 0):
        raise InputError("the volume needs both ends, above zero; give it as in 195-205 mL")
    widest = np.array(
        [most * (_HEAVIEST if i.form == "liquid" else _MOST_SOLID) for i in _items(limits)]
    )
    low, high = (np.array([_grams(one, end) for one in limits]) for end in ("least", "most"))
    return Task(
        limits=tuple(limits),
        shelf=np.array([content.content(item) for item in _items(limits)]),
        low_g=np.nan_to_num(low),
        high_g=np.where(np.isnan(high), np.maximum(widest, np.nan_to_num(low)), high),
        widest_g=np.maximum(widest, np.nan_to_num(np.maximum(low, high))),
        demands=demands,
    )


def _items(limits: Sequence[Limits]) -> list[Ingredient]:
    return [one.ingredient for one in limits]


def _grams(one: Limits, end: str) -> float:
    amount: Amount | None = getattr(one, end)
    if amount is None:
        return float("nan")
    return grams(amount.quantity, amount.unit, one.ingredient.density_kg_per_l)


def _check_computable(item: Ingredient, demands: Sequence[Demand]) -> None:
    """What is demanded can be computed, whatever is mixed."""
    alone = compose(as_version([Part(ingredient=item, amount=Amount(quantity=1.0, unit="g"))]))
    for one in demands:
        alone.known(one.figure)


def _middle(task: Task, drawn: Relaxed | None) -> Found:
    """In the middle of what is possible; where nothing is, what misses least."""
    if drawn is None:
        room = task.room()
        even = np.clip(task.volume.low / len(task.limits), room.low_g, room.high_g)
        problem = task.problem(room, (), task.demands[1:])
        return middle(problem, [even], inward=False)
    room, count = drawn.room, len(task.limits)
    problem = task.problem(room, (), task.demands[1:])
    corners = [drawn.extreme(sign * np.eye(count + 1)[i]) for i in range(count) for sign in (1, -1)]
    points = [corner[:-1] for corner in corners if corner is not None]
    return middle(problem, [np.mean(points, axis=0), *points[:2]])


def _ranges(
    task: Task, drawn: Relaxed, central: Found, progress: Callable[[float], None]
) -> tuple[AmountRange, ...]:
    problem = task.problem(drawn.room, task.demands[1:])
    found, whole = [], _AFTER_RANGES - _BEFORE_RANGES
    for index, one in enumerate(task.limits):
        found.append(_range(one.ingredient, drawn, central, problem, index))
        progress(_BEFORE_RANGES + whole * len(found) / len(task.limits))
    return tuple(found)


def _range(
    item: Ingredient, drawn: Relaxed, central: Found, problem: Problem, index: int
) -> AmountRange:
    count = len(central.amounts_g)
    axis, ends, proven = np.eye(count + 1)[index], [], []
    for sign in (-1.0, 1.0):
        corner = drawn.extreme(-sign * axis)
        start = central.amounts_g if corner is None else corner[:-1]
        proven.append(float(start[index]))
        best = furthest(problem, sign * axis[:-1], [start], central.amounts_g)
        ends.append(float(best[index]) if best[index] > _WIDE_G else 0.0)
    unit, each = by_hand(item, 1.0)
    least, most, low, high = (each * grams for grams in (*ends, *proven))
    between = each * float(central.amounts_g[index])
    return AmountRange(
        item.key, item.name, unit, least, between, most, min(low, least), max(high, most)
    )


def _misses(task: Task, amounts_g: Floats) -> tuple[Shortfall, ...]:
    """Which demands these amounts do not keep."""
    names = [one.figure for one in task.demands]
    problem = task.problem(task.room(), (), task.demands[1:])
    values = problem.response.figures(amounts_g[None, :], names)[0].tolist()
    return missed(task.demands, values)


def _narrowings(task: Task, drawn: Relaxed, central: Found) -> tuple[Narrowing, ...]:
    """Measurements that narrow the amounts by more than a hundredth, the best first."""
    drink = composed(task.limits, central.amounts_g)
    count = len(task.limits)
    before = np.array([drawn.ends(np.eye(count + 1)[index]) for index in range(count)])
    wide = np.flatnonzero(before[:, 1] - before[:, 0] > _WIDE_G)
    told = []
    for figure in MEASURABLE:
        half = _half(task, drink, figure)
        if not half or not wide.size:
            continue
        value = drink.known(figure)
        after = drawn.also(Demand(figure, value - half, value + half))
        ends = np.array([after.ends(np.eye(count + 1)[index]) for index in wide])
        left = (ends[:, 1] - ends[:, 0]) / (before[wide, 1] - before[wide, 0])
        told.append(Narrowing(figure, half, float(1 - left.mean())))
    return tuple(
        sorted((one for one in told if one.narrows > _WORTH), key=lambda one: -one.narrows)
    )


def _half(task: Task, drink: Composition, figure: str) -> float:
    """To how much a measurement tells a figure, what the model leaves open included; 0 where it is
    known as well already, or cannot be computed."""
    if figure in drink.unknown:
        return 0.0
    strength, sugars = drink.alcohol_percent_vol or 0.0, drink.sugar_g_per_l or 0.0
    half = hypot(repeatability(figure, drink.known(figure)), model_half(figure, strength, sugars))
    known = next((one.half for one in task.demands if one.figure == figure), np.inf)
    return half if half < _NARROWER * known else 0.0
