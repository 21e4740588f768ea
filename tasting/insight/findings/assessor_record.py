"""What one assessor tasted over the closed sessions, beside guessing and beside the others there.

It describes this panel and what it was served. How far a person's distance lies from the others' is
no ranking: with few tastings the intervals are wide, and whoever looks at many people will find one
who stands out by chance.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import ceil

import numpy as np
from scipy import stats

from tasting.panel.methods import METHODS
from tasting.stats.checks import Floats
from tasting.stats.dprime import PooledDPrime, Score, pooled_d_prime

_LEAST, _MOST = 12, 12
"""A period holds so many tastings at least; more than so many periods are taken together."""
_GUESSING = 0.95


@dataclass(frozen=True, slots=True)
class TastedSession:
    """What an assessor answered in one closed session, and what all others did there.

    method: its key; n: answers that chose a sample; right: None where no answer is right or wrong
    """

    closed_at: datetime
    method: str
    n: int
    right: int | None
    others_right: int = 0
    others_n: int = 0

    @property
    def against_guessing(self) -> bool:
        """Whether right answers can be held against a chance of guessing."""
        return self.right is not None and METHODS[self.method].psychometric is not None


@dataclass(frozen=True, slots=True)
class Period:
    """Sessions that follow each other: right answers, d-prime of the assessor and of the others.

    others: None where nobody else was there
    """

    first: datetime
    last: datetime
    sessions: int
    correct: int
    n: int
    own: PooledDPrime
    others: PooledDPrime | None


@dataclass(frozen=True, slots=True)
class AssessorRecord:
    """All closed sessions of one assessor.

    tastings: answers that chose a sample
    correct, n: right answers, and tastings in which guessing has a known chance
    expected, guessing: right answers that guessing gives on average, and in 95 % of cases
    """

    sessions: int
    tastings: int
    correct: int
    n: int
    expected: float
    guessing: tuple[int, int]
    periods: tuple[Period, ...]


def assessor_record(scores: Iterable[TastedSession]) -> AssessorRecord:
    """The record of whoever has these scores, in any order."""
    every = sorted(scores, key=lambda score: score.closed_at)
    tested = [score for score in every if score.against_guessing and score.n]
    chances = right_by_guessing(tested)
    return AssessorRecord(
        sessions=len(every),
        tastings=sum(score.n for score in every),
        correct=sum(score.right or 0 for score in tested),
        n=sum(score.n for score in tested),
        expected=float(np.arange(len(chances)) @ chances),
        guessing=_middle(chances),
        periods=tuple(map(_period, _periods(tested))),
    )


def right_by_guessing(scores: Sequence[TastedSession]) -> Floats:
    """The probability of each number of right answers when nobody notices anything: a sum of
    binomial counts, one for each chance of guessing."""
    tastings: dict[float, int] = defaultdict(int)
    for score in scores:
        tastings[METHODS[score.method].chance] += score.n
    chances = np.ones(1)
    for chance, n in tastings.items():
        chances = np.convolve(chances, stats.binom.pmf(np.arange(n + 1), n, chance))
    return chances


def _middle(chances: Floats) -> tuple[int, int]:
    """The narrowest range with equal tails that holds 95 % at least."""
    tail = (1 - _GUESSING) / 2
    below = np.cumsum(chances)
    low = int(np.searchsorted(below, tail, side="right"))
    high = int(np.searchsorted(below, 1 - tail, side="left"))
    return low, min(high, len(chances) - 1)


def _periods(scores: Sequence[TastedSession]) -> list[list[TastedSession]]:
    """Sessions in a row, cut by numbers of tastings and never by what was answered."""
    size = max(_LEAST, ceil(sum(score.n for score in scores) / _MOST))
    found: list[list[TastedSession]] = []
    inside = size
    for score in scores:
        if inside >= size:
            found.append([])
            inside = 0
        found[-1].append(score)
        inside += score.n
    if len(found) > 1 and inside < size:
        rest = found.pop()
        found[-1] += rest
    return found


def _period(scores: Sequence[TastedSession]) -> Period:
    own = _distance((score.method, score.right or 0, score.n) for score in scores)
    others = [(score.method, score.others_right, score.others_n) for score in scores]
    return Period(
        first=scores[0].closed_at,
        last=scores[-1].closed_at,
        sessions=len(scores),
        correct=sum(score.right or 0 for score in scores),
        n=sum(score.n for score in scores),
        own=own,
        others=_distance(others) if any(n for *_, n in others) else None,
    )


def _distance(counts: Iterable[tuple[str, int, int]]) -> PooledDPrime:
    """One distance from the counts of each method taken together."""
    right: dict[str, int] = defaultdict(int)
    given: dict[str, int] = defaultdict(int)
    for method, correct, n in counts:
        right[method] += correct
        given[method] += n
    scores = [Score(right[key], n, METHODS[key].model) for key, n in given.items() if n]
    return pooled_d_prime(scores)
