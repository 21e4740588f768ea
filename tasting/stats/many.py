"""Looking at many sessions: false alarms to expect, adjusted p-values, comparisons combined."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import prod

import numpy as np
from scipy import stats

from tasting.errors import InputError
from tasting.stats.binomial import distinguishers, p_value
from tasting.stats.checks import Floats, check_alpha
from tasting.stats.results import Estimate


@dataclass(frozen=True, slots=True)
class FalseAlarms:
    """What chance alone brings over several tests, if no difference was real.

    `expected` is the mean number of false alarms, `at_least_one` the probability of any.
    """

    tests: int
    expected: float
    at_least_one: float


def false_alarms(alphas: Sequence[float]) -> FalseAlarms:
    """False alarms to expect from independent tests with these (actual) risks alpha.

    An exact test's actual alpha is below its nominal one; give the actual ones for an honest count.
    Raises `InputError` for an alpha out of range.

    >>> alarms = false_alarms([0.05] * 20)
    >>> round(alarms.expected, 2), round(alarms.at_least_one, 3)
    (1.0, 0.642)
    """
    for alpha in alphas:
        check_alpha(alpha)
    return FalseAlarms(len(alphas), float(sum(alphas)), 1 - prod(1 - a for a in alphas))


def holm(p_values: Sequence[float]) -> Floats:
    """p-values adjusted so that any false alarm among them is as rare as alpha.

    Holm 1979, Scand J Stat 6:65; in the order given. Raises `InputError` outside 0 to 1.
    """
    p = _checked(p_values)
    order = np.argsort(p, kind="stable")
    adjusted = np.empty_like(p)
    adjusted[order] = np.maximum.accumulate(p[order] * np.arange(p.size, 0, -1))
    return np.minimum(adjusted, 1.0)


def benjamini_hochberg(p_values: Sequence[float]) -> Floats:
    """p-values adjusted so that the share of false ones among the findings is at most alpha.

    Benjamini and Hochberg 1995, J R Stat Soc B 57:289, for independent tests; in the order given.
    Raises `InputError` outside 0 to 1.
    """
    p = _checked(p_values)
    return np.asarray(stats.false_discovery_control(p)) if p.size else p


def _checked(p_values: Sequence[float]) -> Floats:
    p = np.asarray(p_values, dtype=np.float64)
    if p.ndim != 1 or not np.all((p >= 0) & (p <= 1)):
        raise InputError("p-values must be a list of numbers from 0 to 1.")
    return p


@dataclass(frozen=True, slots=True)
class Combined:
    """Repeated comparisons of the same two samples by one method, taken together.

    Whether they may be is another question: `agreed_distance`.
    """

    correct: int
    n: int
    p_value: float
    distinguishers: Estimate


def combine(
    correct: Sequence[int], n: Sequence[int], chance: float, confidence: float = 0.95
) -> Combined:
    """Pool the counts of several sessions of one comparison by one method, one-sided."""
    total, size = sum(correct), sum(n)
    share = distinguishers(total, size, chance, confidence)
    return Combined(total, size, p_value(total, size, chance), share)
