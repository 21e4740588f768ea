"""The best combination of ingredients, by linear programmes around the last answer.

The figures of a mixture are nearly linear in the amounts, so a few rounds suffice. In each, the
programme lets goals and held figures be missed at a price: held figures at a high one, goals at a
lower one, and any change of an amount at a very low one. So it first keeps what is held, then comes
as near to the goals as it can, then changes as little as it can.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.optimize import OptimizeResult, linprog

from tasting.drink.arrays import Floats
from tasting.drink.response import Response
from tasting.errors import TastingError

# Prices of a miss, and of a change by the whole batch: so far apart that none of the higher is ever
# traded for all of the lower, and so near that the solver's tolerance (1e-7) tells them.
_HELD_PRICE: Final = 1e3
_GOAL_PRICE: Final = 1.0
_CHANGE_PRICE: Final = 1e-5
# A limit binds when moving it would bring the goals nearer, not only make the change smaller.
_BINDS: Final = 1e-4
# Rounds until the amounts stand still, as shares of the batch: five are usual.
_ROUNDS: Final = 30
_STILL: Final = 1e-10
# Misses below this, relative to the figure, are the linearisation's and not a failure.
_NEGLIGIBLE: Final = 1e-7
# A round that makes it worse goes half as far, down to a hundredth.
_LENGTHS: Final = 0.5 ** np.arange(8)
# Figures that are 0, before and as a goal, are scaled as if they were this.
_LEAST_SCALE: Final = 1e-3


@dataclass(frozen=True, slots=True)
class Band:
    """From low to high, both allowed."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Solution:
    """Amounts in g for the batch, and what would have to give for the goals to come nearer:
    ingredients (by index) at their upper and lower limits, and figures at the edge of their band.
    """

    amounts_g: Floats
    at_most: tuple[int, ...]
    at_least: tuple[int, ...]
    held: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Program:
    """Everything in relative units: amounts as shares of the batch, figures of their own size."""

    response: Response
    names: tuple[str, ...]
    low: Floats
    high: Floats
    scales: Floats
    prices: Floats

    def miss(self, shares: Floats) -> float:
        """The price of what is missed with such amounts."""
        amounts = shares[None, :] * self.response.batch_g
        figures = self.response.figures(amounts, self.names)[0] / self.scales
        beyond = np.maximum(self.low - figures, 0) + np.maximum(figures - self.high, 0)
        return float(self.prices @ beyond)

    def solved(self, shares: Floats) -> OptimizeResult:
        """The linear programme around such amounts. Unknowns: what is added, what is taken out,
        and how far each figure lies above its upper and below its lower edge."""
        count, rows, batch = len(shares), len(self.names), self.response.batch_g
        figures, slopes = self.response.linear(shares * batch, self.names)
        slopes = slopes * batch / self.scales[:, None]
        base = figures / self.scales - slopes @ shares
        above, none = np.eye(rows), np.zeros((rows, rows))
        limits = [*self.response.most / batch, *-self.response.least / batch]
        solution = linprog(
            np.concatenate([np.full(2 * count, _CHANGE_PRICE), self.prices, self.prices]),
            A_ub=np.block([[slopes, -slopes, -above, none], [-slopes, slopes, none, -above]]),
            b_ub=np.concatenate([self.high - base, base - self.low]),
            bounds=[(0.0, limit) for limit in limits] + [(0.0, None)] * (2 * rows),
            method="highs",
        )
        if solution.x is None:
            raise TastingError(f"no combination could be computed ({solution.message})")
        return solution


def best_combination(
    response: Response, goals: Mapping[str, float], bands: Mapping[str, Band]
) -> Solution:
    """The smallest change that reaches the goals within the bands, or comes nearest to them."""
    task = _task(response, goals, bands)
    count = len(response.shelf)
    shares = np.zeros(count)
    for _ in range(_ROUNDS):
        programme = task.solved(shares)
        step = programme.x[:count] - programme.x[count : 2 * count] - shares
        step = step * _length(task, shares, step)
        shares = shares + step
        if np.abs(step).max() < _STILL:
            break
    return _solution(programme, shares * response.batch_g, tuple(goals), tuple(bands))


def _task(response: Response, goals: Mapping[str, float], bands: Mapping[str, Band]) -> _Program:
    names = (*goals, *bands)
    low = np.array([*goals.values(), *(band.low for band in bands.values())])
    high = np.array([*goals.values(), *(band.high for band in bands.values())])
    now = response.figures(np.zeros((1, len(response.shelf))), names)[0]
    scales = np.maximum(np.maximum(np.abs(now), np.abs(high)), _LEAST_SCALE)
    prices = np.array([_GOAL_PRICE] * len(goals) + [_HELD_PRICE] * len(bands))
    return _Program(response, names, low / scales, high / scales, scales, prices)


def _length(task: _Program, shares: Floats, step: Floats) -> float:
    """The longest of a few step lengths that does not make the true figures miss by more."""
    now = max(task.miss(shares), _NEGLIGIBLE)
    return next((float(t) for t in _LENGTHS if task.miss(shares + t * step) <= now), 0.0)


def _solution(
    programme: OptimizeResult, amounts_g: Floats, goals: tuple[str, ...], bands: tuple[str, ...]
) -> Solution:
    count, rows = len(amounts_g), len(goals) + len(bands)
    limits = np.abs(programme.upper.marginals[: 2 * count]) > _BINDS
    edges = np.abs(programme.ineqlin.marginals).reshape(2, rows).max(axis=0) > _BINDS
    return Solution(
        amounts_g=amounts_g,
        at_most=tuple(np.flatnonzero(limits[:count]).tolist()),
        at_least=tuple(np.flatnonzero(limits[count:]).tolist()),
        held=tuple(name for name, edge in zip(bands, edges[len(goals) :], strict=True) if edge),
    )
