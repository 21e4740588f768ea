"""When a sequential test looks at the score, so that its stop does not tell which way it decided.

Whoever hears only that the test has stopped may still guess the direction from when it stopped:
after four answers it cannot be a difference, if that takes five. Looks are chosen so that this
guess is poor, as counted by how often it is right if nobody notices and if the planned share does,
each taken as equally likely beforehand. Our own measure; no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from scipy.stats import binom

from tasting.stats.checks import Floats
from tasting.stats.sequential import Looks, WaldTest, look_by_look

_TELLING = 0.75
"""The guess may be right this often, and not more, at any look of `balanced_looks`."""
_RARE = 1e-3
"""A look at which fewer tests stop than this is left out of account."""
_UNDECIDED = 1e-6
_WIDEST = 300
"""Where the earliest first look is later, no session is long enough, and nothing is searched."""
_FARTHEST = 100_000
"""Answers after which no more looks are counted."""
_FIRSTS, _STEPS = 3, 8
_LATEST = 16  # times the earliest first look
_TOUCH = 1e-9


@dataclass(frozen=True, slots=True)
class LookCost:
    """What looks cost and spend, if nobody notices and if the planned share does.

    alpha, beta: the actual risks, if tastings go on until it has decided
    tastings: mean numbers of them
    telling: how often a guess of the direction from the look of the stop is right, at worst
    """

    alpha: float
    beta: float
    tastings: tuple[float, float]
    telling: float


@lru_cache(maxsize=256)
def look_cost(test: WaldTest) -> LookCost:
    """The actual risks, the mean numbers of tastings, and what the moment of the stop tells.

    Exact, as far as so many tests stop within 100,000 answers.
    """
    (none, n_none), (some, n_some) = _stops(test, 0.0), _stops(test, test.p_d)
    looks = max(len(none), len(some))
    ways = np.zeros((looks, 2))
    for stops in (none, some):
        ways[: len(stops)] += stops / 2
    stopping = ways.sum(axis=1)
    known = ways[stopping >= min(_RARE, stopping.max())]
    return LookCost(
        alpha=float(none[:, 0].sum()),
        beta=float(some[:, 1].sum()),
        tastings=(float(none.sum(axis=1) @ n_none), float(some.sum(axis=1) @ n_some)),
        telling=float((known.max(axis=1) / known.sum(axis=1)).max()),
    )


def _stops(test: WaldTest, p_d: float) -> tuple[Floats, Floats]:
    """For each look the probabilities that it shows a difference, and similarity; and its n."""
    found = []
    for look in look_by_look(test, _right(test, p_d)):
        found.append((look.different, look.similar, look.n))
        if look.undecided <= _UNDECIDED or look.n >= _FARTHEST:
            break
    stops = np.array(found)
    return stops[:, :2], stops[:, 2]


def _right(test: WaldTest, p_d: float) -> float:
    return test.chance + (1 - test.chance) * p_d


@lru_cache(maxsize=256)
def balanced_looks(test: WaldTest) -> Looks:
    """The looks with the fewest tastings on average that keep to `_TELLING`.

    Of the looks at each of which both decisions are possible (`WaldTest.least_looks`), a few first
    ones and a few steps are tried; where none keeps to it, the one that tells least.
    """
    least = test.least_looks()
    earliest = least.at[0]
    if earliest > _WIDEST:
        return Looks((_LATEST * earliest,), earliest)
    closest = max(least.every, earliest // 3)
    tried = [
        Looks((first,), step)
        for first in _firsts(test, earliest)
        for step in range(closest, closest + _STEPS)
    ]
    costs = {looks: look_cost(replace(test, looks=looks)) for looks in tried}
    kept = [looks for looks in tried if costs[looks].telling <= _TELLING]
    if not kept:
        return min(tried, key=lambda looks: costs[looks].telling)
    return min(kept, key=lambda looks: sum(costs[looks].tastings))


def _firsts(test: WaldTest, earliest: int) -> Sequence[int]:
    """A few first looks, from this one on, that tell no more than they may by themselves."""
    n = np.arange(earliest, _LATEST * earliest + 1)
    upper = np.ceil(test.slope * n + test.upper - _TOUCH)
    lower = np.floor(test.slope * n + test.lower + _TOUCH)
    rights = _right(test, 0.0), _right(test, test.p_d)
    different = sum(binom.sf(upper - 1, n, right) for right in rights)
    similar = sum(binom.cdf(lower, n, right) for right in rights)
    balanced = np.maximum(different, similar) <= _TELLING * (different + similar)
    decided = different + similar > 0  # else both are too small for a number
    return n[balanced & decided][:_FIRSTS].tolist() or [_LATEST * earliest]
