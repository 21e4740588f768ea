"""Three or more products put in order by each assessor: Friedman's test and what follows.

Ratings are turned into ranks within each assessor, ties sharing the mean of their ranks (Friedman
1937, JASA 32:675; Conover 1999, Practical Nonparametric Statistics, section 5.8; ISO 8587).
"""

from dataclasses import dataclass
from itertools import combinations
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike
from scipy import special, stats

from tasting.errors import InputError
from tasting.stats.checks import Floats, check_alpha
from tasting.stats.likelihood import chi_square_tail


@dataclass(frozen=True, slots=True)
class Friedman:
    """Do the products' ranks differ? `statistic` is corrected for ties, `degrees` = products - 1.

    `concordance` is Kendall's W from 0 to 1. `f_p_value` is from the F approximation of Iman and
    Davenport (1980), less cautious than chi-square for few assessors.
    """

    rank_sums: tuple[float, ...]
    statistic: float
    degrees: int
    p_value: float
    f_statistic: float
    f_p_value: float
    concordance: float
    assessors: int


@dataclass(frozen=True, slots=True)
class RankDifference:
    """Two products' rank sums apart; `p_value` allows for all pairs that are compared."""

    first: int
    second: int
    difference: float
    p_value: float


def friedman(ratings: ArrayLike) -> Friedman:
    """Friedman's test on a table with a row for each assessor and a column for each product.

    Raises `InputError` for fewer than 2 assessors or 3 products, gaps, or if everyone ties all.

    >>> round(friedman([[1, 2, 3], [1, 3, 2], [1, 2, 3], [2, 1, 3]]).statistic, 3)
    4.5
    """
    ranks = _ranks(ratings)
    n, k = ranks.shape
    sums = ranks.sum(axis=0)
    between = float(np.sum((sums - n * (k + 1) / 2) ** 2))
    # Sum of squared ranks about their mean: n k (k + 1)(k - 1)/12 without ties.
    within = float(np.sum((ranks - (k + 1) / 2) ** 2))
    return _friedman(sums, (k - 1) * between / within, n, k)


def _friedman(sums: Floats, statistic: float, n: int, k: int) -> Friedman:
    most = n * (k - 1)
    f = (n - 1) * statistic / (most - statistic) if statistic < most - 1e-9 else np.inf
    return Friedman(
        rank_sums=tuple(sums.tolist()),
        statistic=statistic,
        degrees=k - 1,
        p_value=chi_square_tail(statistic, k - 1),
        f_statistic=float(f),
        f_p_value=float(special.fdtrc(k - 1, (k - 1) * (n - 1), f)) if np.isfinite(f) else 0.0,
        concordance=statistic / most,
        assessors=n,
    )


def _ranks(ratings: ArrayLike) -> Floats:
    table = np.asarray(ratings, dtype=np.float64)
    if table.ndim != 2 or table.shape[0] < 2 or table.shape[1] < 3:
        raise InputError("a ranking needs at least 2 assessors (rows) and 3 products (columns).")
    if np.isnan(table).any():
        raise InputError("a rating is missing; every assessor must have rated every product.")
    ranks = np.asarray(stats.rankdata(table, axis=1))
    if np.all(np.ptp(ranks, axis=1) == 0):
        raise InputError("every assessor ties all products, so there is nothing to compare.")
    return ranks


def least_difference(assessors: int, products: int, alpha: float = 0.05) -> float:
    """Smallest difference of two rank sums that counts, at alpha for all pairs together.

    q sqrt(n k (k + 1) / 12), q the upper quantile of the studentised range with endless degrees of
    freedom; an approximation for many assessors, less than two ranks from the exact tables of
    Newell and MacFarlane (1987, J Food Sci 52:1721). Ties are not allowed for.

    Raises `InputError` for fewer than 2 assessors or products, or alpha out of range.
    """
    if assessors < 2 or products < 2:
        raise InputError("at least 2 assessors and 2 products are needed to compare rank sums.")
    q = float(stats.studentized_range.ppf(1 - check_alpha(alpha), products, np.inf))
    return q * sqrt(assessors * products * (products + 1) / 12)


def rank_differences(ratings: ArrayLike) -> tuple[RankDifference, ...]:
    """All pairs of products after Friedman's test, with tie-corrected, family-wise p-values.

    The difference of two rank sums has variance n s^2 2 k/(k - 1), s^2 the mean square of ranks
    about their mean; its studentised range gives p (Nemenyi 1963). Raises as `friedman` does.
    """
    ranks = _ranks(ratings)
    n, k = ranks.shape
    sums = ranks.sum(axis=0)
    spread = sqrt(float(np.sum((ranks - (k + 1) / 2) ** 2)) / (k - 1))
    pairs = list(combinations(range(k), 2))
    gaps = np.array([sums[j] - sums[i] for i, j in pairs])
    p_values = stats.studentized_range.sf(np.abs(gaps) / spread, k, np.inf)
    return tuple(
        RankDifference(i, j, float(gap), float(min(p, 1.0)))
        for (i, j), gap, p in zip(pairs, gaps, p_values, strict=True)
    )
