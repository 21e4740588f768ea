"""Which demands exclude each other, and by how much.

Smallest sets first: a demand that these ingredients cannot keep at all, then two that cannot be
kept together, then a larger set of which none can be left out. That a set excludes itself is
`proven` where the inequalities of `relaxation` have no solution; else no recipe was found.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import inf, isfinite
from typing import Final

import numpy as np

from tasting.drink import content
from tasting.drink.arrays import Floats
from tasting.drink.demands import Demand, Limits
from tasting.drink.feasible import KEPT, Found, Problem, middle
from tasting.drink.mixture import NAMES
from tasting.drink.relaxation import Room, closer, relaxed
from tasting.drink.response import Response

# More pairs than this say no more to anybody.
_MOST_TOLD: Final = 3

Side = Demand | Limits


@dataclass(frozen=True, slots=True)
class Task:
    """What is asked: a shelf (rows of `content`), limits in g and what each amount could be without
    them, and demands, the volume among them."""

    limits: tuple[Limits, ...]
    shelf: Floats
    low_g: Floats
    high_g: Floats
    widest_g: Floats
    demands: tuple[Demand, ...]

    @property
    def volume(self) -> Demand:
        """How much there is to be."""
        return next(one for one in self.demands if one.figure == "volume_ml")

    @property
    def sides(self) -> tuple[Side, ...]:
        """What may stand in the way of something else; the volume is always held."""
        limited = (one for one in self.limits if one.least is not None or one.most is not None)
        return (*(one for one in self.demands if one.figure != "volume_ml"), *limited)

    def room(self, sides: Sequence[Side] | None = None) -> Room:
        """The ends of all amounts, of those limits that are among some sides."""
        kept = [sides is None or any(one is side for side in sides) for one in self.limits]
        low = np.where(kept, self.low_g, 0.0)
        high = np.where(kept, self.high_g, self.widest_g)
        return Room(self.shelf, low, high, (self.volume.low, self.volume.high))

    def problem(self, room: Room, held: Sequence[Side], soft: Sequence[Side] = ()) -> Problem:
        """Those demands in a room: some held, of some as much margin as there is."""
        eased = [(one, 1.0) for one in soft if isinstance(one, Demand)]
        eased += [(one, 0.0) for one in held if isinstance(one, Demand)]
        demands, ease = zip(*eased, (self.volume, 0.0 if soft else 1.0), strict=True)
        batch = self.volume.high
        empty = np.zeros(content.WIDTH)
        return Problem(Response(empty, room.shelf, room.low_g, room.high_g, batch), demands, ease)


@dataclass(frozen=True, slots=True)
class Shortfall:
    """How near a figure comes to its demand while the rest is held: its value at best, and by how
    much that is too high (below 0: too low), in the figure's unit."""

    figure: str
    at_best: float
    by: float

    @property
    def called(self) -> str:
        """The name of the figure."""
        return NAMES[self.figure].name

    def __str__(self) -> str:
        known = NAMES[self.figure]
        side = "too high" if self.by > 0 else "too low"
        return f"{known.write(self.at_best)} at best, {known.bare(abs(self.by))} {side}"


@dataclass(frozen=True, slots=True)
class Conflict:
    """Demands and limits that cannot be kept together, and how near each demand comes to being
    kept while the others are. Not `proven`: no recipe was found, and there may be one."""

    sides: tuple[str, ...]
    misses: tuple[Shortfall, ...]
    proven: bool

    @property
    def says(self) -> str:
        """What cannot be kept together, as a sentence without its stop."""
        if len(self.sides) == 1:
            said = f"These ingredients do not give {self.sides[0]}"
        elif self.proven:
            said = f"{_listed(self.sides)} exclude each other"
        else:
            said = f"No recipe was found with {_listed(self.sides)}"
        return f"{said[0].upper()}{said[1:]}"

    def __str__(self) -> str:
        found = "; ".join(f"{miss.called} {miss}" for miss in self.misses)
        return f"{self.says}: {found}." if found else f"{self.says}."


def _listed(names: Sequence[str]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}"


def exclusions(task: Task, nearest_g: Floats) -> tuple[Conflict, ...]:
    """The smallest sets that exclude themselves, those first that miss by most half widths;
    `nearest_g` are amounts from which to look."""
    for size in (1, 2):
        found = [
            (worst, told)
            for sides in combinations(task.sides, size)
            if (worst_told := _excluded(task, sides, nearest_g))
            for worst, told in [worst_told]
        ]
        if found:
            ordered = sorted(found, key=lambda pair: pair[0], reverse=True)
            return tuple(told for _, told in ordered[:_MOST_TOLD])
    return _larger(task, nearest_g)


def _larger(task: Task, nearest_g: Floats) -> tuple[Conflict, ...]:
    """Leaves out one side after another as long as the rest still excludes itself."""
    sides = list(task.sides)
    for side in task.sides:
        rest = [one for one in sides if one is not side]
        if not _keeps(task, rest, nearest_g)[0]:
            sides = rest
    excluded = _excluded(task, sides, nearest_g)
    return (excluded[1],) if excluded else ()


def _keeps(task: Task, sides: Sequence[Side], nearest_g: Floats) -> tuple[bool, bool]:
    """Whether a recipe keeps all of some sides, and, where none was found, whether that there is
    none is proven."""
    room, demands = task.room(sides), [one for one in sides if isinstance(one, Demand)]
    problem = task.problem(room, (), demands or [task.volume])
    inside = np.clip(nearest_g, room.low_g, room.high_g)
    if middle(problem, [inside], inward=False).slack >= -KEPT:
        return True, False
    drawn = relaxed(room, demands)
    drawn = drawn and closer(drawn, demands)
    if drawn is None:
        return False, True
    start = drawn.extreme(np.zeros(len(room.bounds)))
    starts = [] if start is None else [start[:-1]]
    return middle(problem, [inside, *starts], inward=False).slack >= -KEPT, False


def _excluded(
    task: Task, sides: Sequence[Side], nearest_g: Floats
) -> tuple[float, Conflict] | None:
    """The set with its misses, and the greatest of them in half widths; None where it is kept."""
    kept, proven = _keeps(task, sides, nearest_g)
    if kept:
        return None
    room, misses, worst = task.room(sides), [], 0.0
    names = [str(side) for side in sides]
    soft_sides = [side for side in sides if isinstance(side, Demand)]
    if not soft_sides:
        soft_sides, names = [task.volume], [*names, str(task.volume)]
    for soft in soft_sides:
        found = _nearest(task, room, soft, sides, nearest_g)
        if isfinite(found.slack):
            misses.append(_miss(soft, found, task.problem(room, (), [soft])))
            worst = max(worst, -found.slack)
    return worst, Conflict(tuple(names), tuple(misses), proven)


def _nearest(
    task: Task, room: Room, soft: Demand, sides: Sequence[Side], nearest_g: Floats
) -> Found:
    """The amounts that come nearest to one demand while the others are held."""
    held = [side for side in sides if side is not soft]
    if soft is task.volume:
        return middle(
            task.problem(room, ()), [np.clip(nearest_g, room.low_g, room.high_g)], inward=False
        )
    hold = [one for one in held if isinstance(one, Demand)]
    problem = task.problem(room, hold, [soft])
    starts = [np.clip(nearest_g, room.low_g, room.high_g)]
    drawn = relaxed(room, hold)
    point = None if drawn is None else drawn.extreme(np.zeros(len(room.bounds)))
    if point is not None:
        starts.append(point[:-1])
    return middle(problem, starts, inward=False)


def _miss(soft: Demand, nearest: Found, problem: Problem) -> Shortfall:
    value = float(problem.response.figures(nearest.amounts_g[None, :], [soft.figure])[0, 0])
    by = min(value - soft.low, 0.0) if soft.low > -inf else 0.0
    return Shortfall(soft.figure, value, by or max(value - soft.high, 0.0))
