"""Amounts that keep demands, by the true figures: sequential quadratic programmes (SLSQP) from
several starts, each answer verified on the mixture itself."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np
from scipy.optimize import OptimizeResult, minimize

from tasting.drink.arrays import Floats
from tasting.drink.demands import Demand
from tasting.drink.response import Response

# What counts as kept, as a share of half a demand's width; more than the solver leaves.
KEPT: Final = 1e-4
_STEPS, _SETTLED = 60, 1e-9
_HALVINGS: Final = 20
# A room narrower than this, in g, is a given amount.
_GIVEN_G: Final = 1e-9
# Of nothing at all no level can be computed.
_TRACE_G: Final = 1e-9
# Nothing is so bad that the solver has to see more of it.
_MOST_SLACK: Final = 1e4


@dataclass(frozen=True, slots=True)
class Problem:
    """A shelf with the least and the greatest amounts in g (in `response`), and what is demanded.

    `ease` says of each demand how many of its half widths it moves per unit of slack: 1 asks for
    as much margin as there is, 0 only keeps it.
    """

    response: Response
    demands: tuple[Demand, ...]
    ease: tuple[float, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The demanded figures."""
        return tuple(one.figure for one in self.demands)

    @property
    def widths(self) -> Floats:
        """The room of each amount in g, 1 for one that is given."""
        room = self.response.most - self.response.least
        return np.where(room > _GIVEN_G, room, 1.0)

    def margins(self, amounts_g: Floats) -> Floats:
        """How far inside both ends of each demand each row of amounts lies, in half widths: 1 in
        the middle, below 0 outside. A row for each, the lower ends first; inf for an open end."""
        return self._inside(self.response.figures(np.atleast_2d(amounts_g), self.names))

    def kept(self, amounts_g: Floats) -> bool:
        """Whether amounts keep all demands."""
        return bool(self.margins(amounts_g).min() >= -KEPT)

    def _inside(self, figures: Floats) -> Floats:
        low, high, half = np.array([(d.floor, d.high, d.half) for d in self.demands]).T
        return np.hstack([(figures - low) / half, (high - figures) / half])


@dataclass(frozen=True, slots=True)
class Found:
    """Amounts in g, and the least slack: margin in half widths, below 0 how much is missing."""

    amounts_g: Floats
    slack: float


def middle(problem: Problem, starts: Iterable[Floats], *, inward: bool = True) -> Found:
    """The amounts whose least margin is greatest; with `inward`, the amounts' distance from their
    own ends, in half rooms, counts, too. Where the demands cannot be kept, the least miss."""
    best = None
    for start in starts:
        amounts = _solved(problem, np.zeros(len(start)), -1.0, start, inward=inward)
        slack = _slack(problem, amounts)
        if best is None or slack > best.slack:
            best = Found(amounts, slack)
    assert best is not None
    return best


def furthest(
    problem: Problem, direction: Floats, starts: Sequence[Floats], inside: Floats
) -> Floats:
    """The amounts furthest in a direction that keep all demands, at least as far as those `inside`
    and as far as the line from there to each start goes."""
    best = inside
    for start in starts:
        solved = _solved(problem, -direction, 0.0, start, inward=False)
        for end in (solved, start):
            reached = _along(problem, inside, end)
            if direction @ reached > direction @ best:
                best = reached
    return best


def _along(problem: Problem, inside: Floats, end: Floats) -> Floats:
    """The last point of the line that keeps all demands, as far as halving it finds."""
    if problem.kept(end):
        return end
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        share = (low + high) / 2
        if problem.kept(inside + share * (end - inside)):
            low = share
        else:
            high = share
    return np.asarray(inside + low * (end - inside))


def _slack(problem: Problem, amounts_g: Floats) -> float:
    """The slack that the demands with an ease leave; those without count when they are broken."""
    margins, ease = problem.margins(amounts_g)[0], np.array(2 * problem.ease)
    held = margins[ease == 0]
    if held.size and held.min() < -KEPT:
        return -inf
    open_ends = np.isfinite(margins) & (ease > 0)
    return float((margins[open_ends] / ease[open_ends]).min()) if open_ends.any() else inf


def _solved(
    problem: Problem, weights: Floats, slack_weight: float, start: Floats, *, inward: bool
) -> Floats:
    """SLSQP on the amounts in units of their rooms and on the slack, from where it stands."""
    response, unit = problem.response, problem.widths
    count = len(start)
    free = (response.most - response.least) > _GIVEN_G
    ease, used = np.array(2 * problem.ease), np.isfinite(problem.margins(start)[0])
    half = np.array([1 / one.half for one in problem.demands])

    def amounts(point: Floats) -> Floats:
        inside = np.clip(response.least + point[:count] * unit, response.least, response.most)
        return np.maximum(inside, _TRACE_G)

    def margins(point: Floats) -> Floats:
        inside = problem.margins(amounts(point))[0] - ease * point[-1]
        ends = np.concatenate([point[:count], 1 - point[:count]])[np.tile(free, 2)]
        return np.concatenate([inside[used], 2 * ends - point[-1] * inward])

    def slopes(point: Floats) -> Floats:
        rise = response.linear(amounts(point), problem.names)[1] * unit * half[:, None]
        inside = np.column_stack([np.vstack([rise, -rise]), -ease])
        own = np.vstack([np.eye(count), -np.eye(count)])[np.tile(free, 2)]
        ends = np.column_stack([2 * own, np.full(len(own), -float(inward))])
        return np.vstack([inside[used], ends])

    goal = np.append(weights * unit, slack_weight)
    first = np.where(free, (start - response.least) / unit, 0.0)
    slack = max(_slack_at(margins(np.append(first, 0.0)), ease, used), -_MOST_SLACK)
    found: OptimizeResult = minimize(  # type: ignore[call-overload]  # the stubs want one shape
        lambda point: float(goal @ point),
        np.append(first, slack if slack_weight else 0.0),
        jac=lambda _point: goal,
        bounds=[(0.0, float(may)) for may in free] + [(-_MOST_SLACK, 1.0 if slack_weight else 0.0)],
        constraints=[{"type": "ineq", "fun": margins, "jac": slopes}],
        method="SLSQP",
        options={"maxiter": _STEPS, "ftol": _SETTLED},
    )
    return amounts(np.nan_to_num(found.x))


def _slack_at(margins: Floats, ease: Floats, used: Floats) -> float:
    soft = margins[: int(used.sum())][ease[used.astype(bool)] > 0]
    return float(min(soft.min(), 1.0)) if soft.size else 0.0
