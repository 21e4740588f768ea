"""Wald's sequential test of correct answers: taste until it is decided.

After n answers the count is compared with two parallel lines (Wald 1947, Sequential Analysis,
ch. 5; ISO 16820): at or above the upper one a difference is shown, at or below the lower one
similarity, in between one goes on. With p_0 the chance, p_1 = p_0 + (1 - p_0) p_d and
D = ln[p_1 (1 - p_0) / (p_0 (1 - p_1))]:

    slope = ln[(1 - p_0)/(1 - p_1)] / D
    lower = slope n + ln[beta/(1 - alpha)] / D        upper = slope n + ln[(1 - beta)/alpha] / D

The plan must be fixed before the first answer. Answers come one after another from different
assessors. The two actual risks together do not exceed alpha + beta (Wald 1947, section 3.2).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from math import log

import numpy as np

from tasting.stats.checks import (
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
class WaldTest:
    """Lines of a sequential test: `slope` n + `lower` and `slope` n + `upper`."""

    chance: float
    p_d: float
    alpha: float
    beta: float
    slope: float
    lower: float
    upper: float

    def decide(self, correct: int, n: int) -> Decision:
        """Decision at a count, as if none had been reached before.

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


def wald_test(chance: float, p_d: float, alpha: float = 0.05, beta: float = 0.05) -> WaldTest:
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
    )


def run(test: WaldTest, answers: Iterable[bool]) -> Run:
    """The first decision in a sequence of answers, right or not; later ones are not looked at."""
    correct = n = 0
    for n, answer in enumerate(answers, start=1):
        correct += bool(answer)
        decision = test.decide(correct, n)
        if decision is not Decision.GO_ON:
            return Run(decision, n)
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


def lower_tail(test: WaldTest, found: Run, correct: int) -> float:
    """Probability, if nobody notices, of a result as low as this one or lower.

    Results stand in the order of `sequential_interval`: similarity decided earlier is lower.
    `correct` counts the answers up to the decision. Exact; unchecked.
    """
    if found.decision is Decision.DIFFERENT:
        return 1 - carried(test, found.n - 1, 0.0).different
    ahead = carried(test, found.n, 0.0)
    if found.decision is Decision.SIMILAR:
        return ahead.similar
    return ahead.similar + float(ahead.undecided[: correct + 1].sum())


def _mean_tastings(test: WaldTest, p_c: float, about: float) -> float:
    """Sum, over all n, of the probability that n answers leave it undecided.

    about: Wald's approximation, which is used where it is large
    """
    if about > _EXACT_MEAN:
        return about
    mean, n, first, weights = 0.0, 0, 0, np.ones(1)
    while weights.sum() > _UNDECIDED:
        mean += float(weights.sum())
        n += 1
        weights = np.convolve(weights, [1 - p_c, p_c])
        heights = first + np.arange(weights.size) - test.slope * n
        inside = np.flatnonzero((heights < test.upper - _TOUCH) & (heights > test.lower + _TOUCH))
        if not inside.size:
            break
        first += int(inside[0])
        weights = weights[inside[0] : inside[-1] + 1]
    return mean


@dataclass(frozen=True, slots=True)
class Ahead:
    """Probabilities of a decision so far, and of each count of correct answers while undecided."""

    different: float
    similar: float
    undecided: Floats


def carried(test: WaldTest, tastings: int, p_d: float) -> Ahead:
    """Where the test stands after so many tastings, or none, if a share p_d notices; unchecked."""
    p_c = test.chance + (1 - test.chance) * p_d
    undecided, different, similar = np.ones(1), 0.0, 0.0
    for n in range(1, tastings + 1):
        undecided = np.convolve(undecided, [1 - p_c, p_c])
        heights = np.arange(n + 1) - test.slope * n
        up, down = heights >= test.upper - _TOUCH, heights <= test.lower + _TOUCH
        different += float(undecided[up].sum())
        similar += float(undecided[down].sum())
        undecided[up | down] = 0.0
    return Ahead(different, similar, undecided)
