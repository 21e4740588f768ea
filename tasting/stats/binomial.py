"""The exact binomial test of a count of correct answers, and what follows from it.

Under "nobody notices" each answer is correct with the chance of guessing, independently, so the
count is binomial (ISO 4120, ISO 5495 and ISO 10399 rest on this). Nothing here is approximate:
tails are regularised incomplete beta functions (Abramowitz and Stegun 1964, 26.5.24).
"""

from math import ceil
from typing import overload

import numpy as np
from scipy import special

from tasting.stats.checks import (
    Floats,
    Ints,
    Many,
    Whole,
    check_alpha,
    check_chance,
    check_confidence,
    check_counts,
    check_n,
    check_sides,
)
from tasting.stats.results import Estimate, Interval

# A tail that equals alpha on paper (1/27 at alpha = 1/27) may come out an ulp above it.
TIE = 1 + 1e-12


def upper_tail(correct: Ints, n: Ints | np.int64, probability: float | Floats) -> Floats:
    """P(X >= correct) for X binomial (n, probability); 0 <= correct <= n + 1, unchecked."""
    return np.asarray(special.betainc(correct, n - correct + 1, probability), dtype=np.float64)


def lower_tail(correct: Ints, n: Ints | np.int64, probability: float | Floats) -> Floats:
    """P(X <= correct) for X binomial (n, probability); -1 <= correct <= n, unchecked."""
    return np.asarray(special.betaincc(correct + 1, n - correct, probability), dtype=np.float64)


def log_ways(n: int) -> Floats:
    """ln of the number of ways to 0, 1, ..., n of n; unchecked."""
    factorials = special.gammaln(np.arange(n + 1) + 1)
    return np.asarray(factorials[-1] - factorials - factorials[::-1])


@overload
def p_value(correct: int, n: int, chance: float, sides: int = 1) -> float: ...
@overload
def p_value(correct: Many, n: Whole, chance: float, sides: int = 1) -> Floats: ...
def p_value(correct: Whole, n: Whole, chance: float, sides: int = 1) -> float | Floats:
    """Probability, if nobody notices anything, of a result at least as extreme.

    One-sided: P(X >= correct). Two-sided (chance 1/2 only): twice the tail of the larger of
    `correct` and `n - correct`, at most 1. Numbers give a number, arrays an array.

    Raises `InputError` for impossible counts, a chance outside (0, 1) or other `sides`.

    >>> round(p_value(15, 30, 1 / 3), 4)
    0.0435
    """
    counts, sizes = check_counts(correct, n)
    check_sides(sides, check_chance(chance))
    if sides == 1:
        tail = upper_tail(counts, sizes, chance)
    else:
        tail = np.minimum(1.0, 2 * upper_tail(np.maximum(counts, sizes - counts), sizes, 0.5))
    return tail if np.ndim(tail) else float(tail)


@overload
def critical_number(n: int, chance: float = 1 / 3, alpha: float = 0.05, sides: int = 1) -> int: ...
@overload
def critical_number(
    n: Many, chance: float = 1 / 3, alpha: float = 0.05, sides: int = 1
) -> Ints: ...
def critical_number(
    n: Whole, chance: float = 1 / 3, alpha: float = 0.05, sides: int = 1
) -> int | Ints:
    """Fewest correct answers out of n that show a difference at alpha.

    The smallest x whose exact p-value is at most alpha (ISO 4120, ISO 5495, ISO 10399). Where not
    even n correct answers are enough, n + 1: a score that cannot be reached. Two-sided, x is the
    larger of the two counts. A number gives a number, an array an array.

    Raises `InputError` for n below 1, or a chance, alpha or sides out of range.

    >>> critical_number(30)
    15
    """
    sizes = check_n(n)
    check_sides(sides, check_chance(chance))
    critical = _first_within(sizes, chance, check_alpha(alpha) / sides * TIE)
    return critical if np.ndim(critical) else int(critical)


def _first_within(n: Ints, chance: float, risk: float) -> Ints:
    """Smallest x with P(X >= x) <= risk: a close guess, then steps of one until exact."""
    sizes = np.atleast_1d(n).ravel()
    x = _guess(sizes, chance, risk)
    off = np.flatnonzero(upper_tail(x, sizes, chance) > risk)
    down = np.setdiff1d(np.flatnonzero(x > 0), off, assume_unique=True)
    while off.size:
        x[off] += 1
        off = off[upper_tail(x[off], sizes[off], chance) > risk]
    while down.size:
        down = down[upper_tail(x[down] - 1, sizes[down], chance) <= risk]
        x[down] -= 1
        down = down[x[down] > 0]
    return x.reshape(np.shape(n))


def _guess(n: Ints, chance: float, risk: float) -> Ints:
    """Normal quantile with skewness (Cornish and Fisher 1938) and continuity correction."""
    z = -special.ndtri(risk)
    spread = np.sqrt(n * chance * (1 - chance))
    raw = n * chance + z * spread + (z * z - 1) * (1 - 2 * chance) / 6 + 0.5
    guess: Ints = np.clip(np.ceil(raw), 0, n + 1).astype(np.int64)
    return guess


def proportion_interval(correct: int, n: int, confidence: float = 0.95) -> Interval:
    """Exact two-sided interval of a proportion (Clopper and Pearson 1934, Biometrika 26:404).

    Coverage is never below `confidence`. Raises `InputError` for impossible counts.

    >>> interval = proportion_interval(0, 10)
    >>> interval.low, round(interval.high, 4)
    (0.0, 0.3085)
    """
    counts, sizes = check_counts(correct, n)
    tail = (1 - check_confidence(confidence)) / 2
    count, size = int(counts), int(sizes)
    low = special.betaincinv(count, size - count + 1, tail) if count else 0.0
    high = special.betainccinv(count + 1, size - count, tail) if count < size else 1.0
    return Interval(float(low), float(high), confidence)


def distinguishers(correct: int, n: int, chance: float, confidence: float = 0.95) -> Estimate:
    """Proportion of distinguishers p_d, with the exact interval of p_c carried over.

    p_d = (p_c - chance) / (1 - chance), held within 0 to 1; ISO 4120: p_c = p_d + chance (1 - p_d).
    A score below chance is no evidence of likeness, so its upper end is that of a score at chance.
    Meant for tests of difference with one correct answer, not for preference.

    Raises `InputError` for impossible counts or a chance outside (0, 1).

    >>> round(distinguishers(20, 30, 1 / 3).value, 2)
    0.5
    """
    interval = at_least_chance(correct, n, chance, confidence)

    def share(p_c: float) -> float:
        return min(1.0, max(0.0, (p_c - chance) / (1 - chance)))

    mapped = Interval(share(interval.low), share(interval.high), confidence)
    return Estimate(share(correct / n), mapped)


def at_least_chance(correct: int, n: int, chance: float, confidence: float = 0.95) -> Interval:
    """Exact interval of a share correct that is known to be at least `chance`.

    Raises `InputError` for impossible counts or a chance outside (0, 1).
    """
    check_chance(chance)
    interval = proportion_interval(correct, n, confidence)
    expected = ceil(n * chance * (1 - 1e-12))
    top = proportion_interval(max(correct, expected), n, confidence)
    return Interval(max(interval.low, chance), top.high, confidence)
