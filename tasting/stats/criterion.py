"""d-prime where assessors set a criterion of their own: same-different, A-not-A, sureness.

There is no chance to compare with: whoever calls everything "same" is never wrong about same
pairs. So d-prime and the criteria are estimated together, and the interval of d-prime takes the
best criteria for each d-prime (profile likelihood). Answers must be independent: several answers
by each assessor make the interval too narrow.
"""

from collections.abc import Callable, Sequence
from math import inf, sqrt

import numpy as np
from scipy import optimize, special

from tasting.errors import InputError
from tasting.stats.checks import Floats, Ints, check_confidence, check_counts, whole
from tasting.stats.likelihood import (
    binomial_log_likelihood,
    deviance_end,
    profile,
    support_cut,
)
from tasting.stats.psychometric import says_same
from tasting.stats.results import Estimate, Interval

# A d-prime or criterion beyond these gives everyone's answer: as good as infinite.
_FAR = 15.0
_WIDEST = 24.0
# Fisher's scoring needs four to eight steps, more the emptier the categories are (20 are rare); it
# ends where a step gains only rounding, and a step halved in vain to _LEAST_STEP is given up.
_MOST_STEPS = 200
_SAME = 1e-12
_LEAST_STEP = 1e-12
# The start is right to a few tenths of a d-prime; the bracket widens by itself where it is not.
_BRACKET = 0.3


Profile = Callable[[float], float]


def same_different(
    same_said_same: int,
    same_pairs: int,
    different_said_same: int,
    different_pairs: int,
    confidence: float = 0.95,
) -> Estimate:
    """d-prime from same and different pairs that were called "same".

    "Same" is said when two perceptions lie less than a criterion tau apart (Macmillan and Creelman
    2005, ch. 9). d-prime is 0 where different pairs are called same at least as often as same
    pairs.

    Raises `InputError` for impossible counts.
    """
    check_counts(same_said_same, same_pairs, "same pairs called same")
    check_counts(different_said_same, different_pairs, "different pairs called same")

    def surface(d: Floats, tau: Floats) -> Floats:
        same, different = says_same(0.0, tau), says_same(d, tau)
        return binomial_log_likelihood(same_said_same, same_pairs, same) + binomial_log_likelihood(
            different_said_same, different_pairs, different
        )

    def best(d: float) -> float:
        return float(profile(surface, np.array([d]), 0.0, _WIDEST)[0])

    tau = _tau(same_said_same / same_pairs)
    value = _distance(different_said_same / different_pairs, tau)
    return _estimate(best, value, 0.0, confidence)


def _tau(share: float) -> float:
    """Criterion at which this share of same pairs is called same."""
    return min(sqrt(2) * float(special.ndtri((1 + share) / 2)), _WIDEST)


def _distance(share: float, tau: float) -> float:
    """d-prime at which this share of different pairs is called same, at least 0."""
    if share >= float(says_same(0.0, tau)):
        return 0.0
    if share == 0 or tau == _WIDEST:
        return inf
    return float(optimize.brentq(lambda d: float(says_same(d, tau)) - share, 0.0, 2 * _WIDEST))


def a_not_a(for_a: Sequence[int], for_not_a: Sequence[int], confidence: float = 0.95) -> Estimate:
    """d-prime of "not A" from A, from answers "A" and "not A", sure or less so.

    Both arguments count the answers by category in the same order, from surest "A" to surest
    "not A"; two categories are the plain test (ISO 8588), more an ordered probit model with one
    criterion between neighbours, measured from the mean of A (McCullagh 1980, J R Stat Soc B
    42:109); a category that nobody used is left out. d-prime is negative if "not A" was said more
    often for A.

    Raises `InputError` for counts that cannot be, or where only one category was ever used.
    """
    counts = _answers(for_a, for_not_a)

    def best(d: float) -> float:
        return _best_over_criteria(counts, d)

    value = _separated(counts)
    if value == 0:
        start = _start(counts)
        closest = optimize.minimize_scalar(
            lambda d: -best(d), bracket=(start - _BRACKET, start + _BRACKET)
        )
        value = float(closest.x)
    return _estimate(best, value, -_FAR, confidence)


def _answers(for_a: Sequence[int], for_not_a: Sequence[int]) -> Ints:
    """Two rows of counts; a category that nobody used says nothing and is left out."""
    if len(for_a) != len(for_not_a) or len(for_a) < 2:
        raise InputError(
            f"{len(for_a)} and {len(for_not_a)} categories were counted; "
            "give the same number, at least 2, for A and for not A."
        )
    counts = whole("a count", [list(for_a), list(for_not_a)])
    if counts.min() < 0 or not counts.sum(axis=1).all():
        raise InputError("a count is below 0 or no cup of one kind was judged; give both rows.")
    used = counts[:, counts.sum(axis=0) > 0]
    if used.shape[1] < 2:
        raise InputError("every answer was the same, so no distance can be estimated.")
    return used


def _separated(counts: Ints) -> float:
    """Infinite where the rows overlap in no more than one category, else 0."""
    a, other = (np.flatnonzero(row) for row in counts)
    if a[-1] <= other[0]:
        return inf
    return -inf if other[-1] <= a[0] else 0.0


def _start(counts: Ints) -> float:
    """Mean distance of the two rows' normal quantiles, each count a little raised."""
    raised = np.cumsum(counts + 0.5, axis=1)
    z = special.ndtri(raised[:, :-1] / raised[:, -1:])
    return float(np.mean(z[0] - z[1]))


def _best_over_criteria(counts: Ints, d: float) -> float:
    """Highest log-likelihood at a d-prime, by Fisher's scoring of the criteria, steps halved."""
    means = np.array([[0.0], [d]])
    share = np.cumsum(counts.sum(axis=0))[:-1] / counts.sum()
    at = special.ndtri(share) + d * counts[1].sum() / counts.sum()
    value = _ordered(counts, at, means)
    for _ in range(_MOST_STEPS):
        step = _scoring_step(counts, at, means)
        moved = _ordered(counts, at + step, means)
        while moved < value and np.max(np.abs(step)) > _LEAST_STEP:
            step = step / 2
            moved = _ordered(counts, at + step, means)
        if moved - value < _SAME * abs(value):
            break
        at, value = at + step, moved
    return value


def _cells(at: Floats, means: Floats) -> Floats:
    """Probability of each category in both rows; not-a-number if criteria are out of order."""
    z = at - means
    upper = np.concatenate([special.ndtr(z), np.ones((2, 1))], axis=1)
    p = np.diff(upper, prepend=0.0, axis=1)
    # In the upper tail the difference of two numbers near 1 is taken from the other side.
    lower = np.concatenate([np.ones((2, 1)), special.ndtr(-z)], axis=1)
    return np.where(upper > 0.5, -np.diff(lower, append=0.0, axis=1), p)


def _ordered(counts: Ints, at: Floats, means: Floats) -> float:
    p = _cells(at, means)
    if np.any(np.diff(at) <= 0) or np.any((p <= 0) & (counts > 0)):
        return -inf
    return float(np.sum(special.xlogy(counts, p)))


def _scoring_step(counts: Ints, at: Floats, means: Floats) -> Floats:
    p = np.maximum(_cells(at, means), 1e-300)
    density = np.exp(-np.square(at - means) / 2) / sqrt(2 * np.pi)
    ratio = counts / p
    score = np.sum(density * (ratio[:, :-1] - ratio[:, 1:]), axis=0)
    size = counts.sum(axis=1, keepdims=True)
    inverse = size / p
    diagonal = np.sum(density**2 * (inverse[:, :-1] + inverse[:, 1:]), axis=0)
    beside = -np.sum(density[:, :-1] * density[:, 1:] * inverse[:, 1:-1], axis=0)
    information = np.diag(diagonal) + np.diag(beside, 1) + np.diag(beside, -1)
    return np.asarray(np.linalg.solve(information, score))


def _estimate(best: Profile, value: float, least: float, confidence: float) -> Estimate:
    at = float(np.clip(value, -_FAR, _FAR))
    highest = best(at)

    def deviance(d: float) -> float:
        return 2 * (highest - best(d))

    cut = support_cut(check_confidence(confidence))
    low, high = deviance_end(deviance, at, least, cut), deviance_end(deviance, at, _FAR, cut)
    interval = Interval(low if low > -_FAR else -inf, high if high < _FAR else inf, confidence)
    return Estimate(value, interval)
