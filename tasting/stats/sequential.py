"""Wald's sequential test of correct answers: taste until it is decided.

After n answers the count is compared with two parallel lines (Wald 1947, Sequential Analysis,
ch. 5; ISO 16820): at or above the upper one a difference is shown, at or below the lower one
similarity, in between one goes on. With p_0 the chance, p_1 = p_0 + (1 - p_0) p_d and
D = ln[p_1 (1 - p_0) / (p_0 (1 - p_1))]:

    slope = ln[(1 - p_0)/(1 - p_1)] / D
    lower = slope n + ln[beta/(1 - alpha)] / D        upper = slope n + ln[(1 - beta)/alpha] / D

The plan must be fixed before the first answer. Answers come one after another from different
assessors. Looked at after each answer, the two actual risks together do not exceed alpha + beta
(Wald 1947, section 3.2); with looks fixed beforehand, as in a group-sequential test (Jennison and
Turnbull 2000, Group Sequential Methods), the score is compared with the lines at these looks only.
All risks and means are then those with these looks, exactly.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from math import ceil, log

import numpy as np
from scipy.stats import binom

from tasting.stats.checks import (
    Bools,
    Floats,
    check_alpha,
    check_beta,
    check_between,
    check_chance,
    check_counts,
    check_n,
    check_p_d,
)

# Lines and counts that meet on paper may miss each other by a rounding error.
_TOUCH = 1e-9
# Up to this mean the number of tastings is summed exactly, until so few panels are undecided.
_EXACT_MEAN = 2000
_UNDECIDED = 1e-10


class Decision(Enum):
    """Where a sequential test stands."""

    DIFFERENT = "difference shown"
    SIMILAR = "similarity shown"
    GO_ON = "undecided, go on"


@dataclass(frozen=True, slots=True)
class Looks:
    """After how many answers the score is looked at, fixed beforehand.

    at: the first looks; then there is one after every `every` answers more
    """

    at: tuple[int, ...] = ()
    every: int = 1

    def following(self, n: int) -> int:
        """The first look after more than n answers."""
        planned = next((look for look in self.at if look > n), None)
        if planned is not None:
            return planned
        last = self.at[-1] if self.at else 0
        return last + ((n - last) // self.every + 1) * self.every

    def include(self, n: int) -> bool:
        """Whether there is a look after n answers."""
        return self.following(n - 1) == n


EACH = Looks()
"""A look after each answer."""


@dataclass(frozen=True, slots=True)
class WaldTest:
    """Lines of a sequential test, `slope` n + `lower` and `slope` n + `upper`, and its looks."""

    chance: float
    p_d: float
    alpha: float
    beta: float
    slope: float
    lower: float
    upper: float
    looks: Looks = EACH

    def decide(self, correct: int, n: int) -> Decision:
        """Decision at a count, as if there were a look and none had been reached before.

        Raises `InputError` for an impossible count.
        """
        check_counts(correct, n)
        height = correct - self.slope * n
        if height >= self.upper - _TOUCH:
            return Decision.DIFFERENT
        return Decision.SIMILAR if height <= self.lower + _TOUCH else Decision.GO_ON

    def least_tastings(self) -> tuple[int, int]:
        """Fewest tastings that can show a difference (all right) and similarity (none right)."""
        different = -(-(self.upper - _TOUCH) // (1 - self.slope))
        return int(different), int(-((self.lower + _TOUCH) // self.slope))

    def least_looks(self) -> Looks:
        """The earliest and closest looks at each of which both decisions are possible.

        At the first all right shows a difference and none right similarity. From one look to the
        next a score just inside a line can cross it, whichever line that is.
        """
        step = max(ceil(1 / self.slope - _TOUCH), ceil(1 / (1 - self.slope) - _TOUCH))
        return Looks((max(*self.least_tastings(), step),), step)

    def expected_tastings(self) -> tuple[float, float]:
        """Mean number of tastings if nobody notices, and if a share p_d does; exact up to 2000.

        Wald's formula leaves out how far a count overshoots its line and so says too few; beyond
        2000 tastings that no longer matters, and the formula is used.
        """
        p_1 = self.chance + (1 - self.chance) * self.p_d
        if_none = ((1 - self.alpha) * self.lower + self.alpha * self.upper) / (
            self.chance - self.slope
        )
        if_some = (self.beta * self.lower + (1 - self.beta) * self.upper) / (p_1 - self.slope)
        return (
            _mean_tastings(self, self.chance, if_none),
            _mean_tastings(self, p_1, if_some),
        )


@dataclass(frozen=True, slots=True)
class Run:
    """The first decision of a sequence and after how many answers it fell; never the count.

    While undecided `n` is the number of answers so far.
    """

    decision: Decision
    n: int


def wald_test(
    chance: float, p_d: float, alpha: float = 0.05, beta: float = 0.05, looks: Looks = EACH
) -> WaldTest:
    """The lines for risks alpha and beta against a share p_d of distinguishers.

    Raises `InputError` for arguments out of range.

    >>> plan = wald_test(1 / 3, 0.5, alpha=0.05, beta=0.10)
    >>> round(plan.slope, 3), round(plan.lower, 3), round(plan.upper, 3)
    (0.5, -1.624, 2.085)
    """
    p_0 = check_chance(chance)
    p_1 = p_0 + (1 - p_0) * check_p_d(p_d)
    check_alpha(alpha)
    check_beta(beta)
    scale = log(p_1 * (1 - p_0) / (p_0 * (1 - p_1)))
    return WaldTest(
        chance,
        p_d,
        alpha,
        beta,
        slope=log((1 - p_0) / (1 - p_1)) / scale,
        lower=log(beta / (1 - alpha)) / scale,
        upper=log((1 - beta) / alpha) / scale,
        looks=looks,
    )


def run(test: WaldTest, answers: Iterable[bool]) -> Run:
    """The first decision in a sequence of answers, right or not; later ones are not looked at."""
    correct = n = 0
    look = test.looks.following(0)
    for n, answer in enumerate(answers, start=1):
        correct += bool(answer)
        if n < look:
            continue
        decision = test.decide(correct, n)
        if decision is not Decision.GO_ON:
            return Run(decision, n)
        look = test.looks.following(n)
    return Run(Decision.GO_ON, n)


def chance_of_decision(test: WaldTest, tastings: int, p_d: float) -> tuple[float, float]:
    """Probabilities that the test has shown a difference, and similarity, within so many tastings.

    If a share p_d notices; exact, by carrying the distribution of the undecided counts forward one
    answer at a time. The rest is still undecided then.

    Raises `InputError` for fewer than 1 tasting or a p_d outside 0 to 1.
    """
    size = int(check_n(tastings))
    ahead = carried(test, size, check_between("p_d", p_d, 0, 1, closed=True))
    return ahead.different, ahead.similar


def lower_tail(test: WaldTest, run: Run, correct: int) -> float:
    """Probability, if nobody notices, of a result as low as this one or lower.

    Results stand in the order of `sequential_interval`: similarity decided earlier is lower, and of
    two at one look the one with fewer correct. `correct` counts the answers up to the decision.
    Exact; unchecked.
    """
    before = arriving(test, run.n, 0.0)
    if run.decision is Decision.DIFFERENT:
        return 1 - before.different - float(before.undecided[correct + 1 :].sum())
    return before.similar + float(before.undecided[: correct + 1].sum())


def _mean_tastings(test: WaldTest, p_c: float, about: float) -> float:
    """Sum, over all looks, of the answers since the last one, times how likely they are asked for.

    about: Wald's approximation, which is used where it is large
    """
    if about > _EXACT_MEAN:
        return about
    mean, last, undecided = 0.0, 0, 1.0
    for look in look_by_look(test, p_c):
        mean += (look.n - last) * undecided
        last, undecided = look.n, look.undecided
        if undecided <= _UNDECIDED:
            break
    return mean


@dataclass(frozen=True, slots=True)
class Look:
    """After n answers: the probabilities that this look decides, and that it leaves it open."""

    n: int
    different: float
    similar: float
    undecided: float


def look_by_look(test: WaldTest, p_c: float) -> Iterator[Look]:
    """All looks until all is decided, if an answer is right with the probability p_c."""
    n, first, weights = 0, 0, np.ones(1)
    while True:
        step = test.looks.following(n) - n
        n += step
        weights = np.convolve(weights, _counts(step, p_c))
        up, down = _crossed(test, n, first + np.arange(weights.size, dtype=float))
        inside = np.flatnonzero(~(up | down))
        left = float(weights[inside].sum())
        yield Look(n, float(weights[up].sum()), float(weights[down].sum()), left)
        if not inside.size:
            return
        first += int(inside[0])
        weights = weights[inside[0] : inside[-1] + 1]


def _crossed(test: WaldTest, n: int, counts: Floats) -> tuple[Bools, Bools]:
    """Which of these counts after n answers are at or beyond the upper line, and the lower one."""
    heights = counts - test.slope * n
    return heights >= test.upper - _TOUCH, heights <= test.lower + _TOUCH


@lru_cache(maxsize=1024)
def _counts(answers: int, p_c: float) -> Floats:
    """Probability of each count of correct ones in so many answers."""
    return np.asarray(binom.pmf(np.arange(answers + 1), answers, p_c))


@dataclass(frozen=True, slots=True)
class Ahead:
    """Probabilities of a decision so far, and of each count of correct answers while undecided."""

    different: float
    similar: float
    undecided: Floats


def carried(test: WaldTest, tastings: int, p_d: float) -> Ahead:
    """Where the test stands after so many tastings, or none, if a share p_d notices; unchecked."""
    at = arriving(test, tastings, p_d)
    return _looked(test, tastings, at) if test.looks.include(tastings) else at


def arriving(test: WaldTest, tastings: int, p_d: float) -> Ahead:
    """The same before the look that there may be after the last of these tastings."""
    p_c = test.chance + (1 - test.chance) * p_d
    at, n = Ahead(0.0, 0.0, np.ones(1)), 0
    while n < tastings:
        at = _looked(test, n, at) if n else at
        step = min(test.looks.following(n), tastings) - n
        n += step
        at = Ahead(at.different, at.similar, np.convolve(at.undecided, _counts(step, p_c)))
    return at


def _looked(test: WaldTest, n: int, before: Ahead) -> Ahead:
    """What a look after n answers decides."""
    up, down = _crossed(test, n, np.arange(n + 1, dtype=float))
    return Ahead(
        before.different + float(before.undecided[up].sum()),
        before.similar + float(before.undecided[down].sum()),
        np.where(up | down, 0.0, before.undecided),
    )
