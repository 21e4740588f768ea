"""Three or more products put in order by each assessor: Friedman's test and what follows.

Ratings are turned into ranks within each assessor, ties sharing the mean of their ranks (Friedman
1937, JASA 32:675; Conover 1999, Practical Nonparametric Statistics, section 5.8; ISO 8587).
"""

from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, permutations
from math import factorial, sqrt

import numpy as np
from numpy.typing import ArrayLike
from scipy import special, stats

from tasting.errors import InputError
from tasting.stats.binomial import TIE
from tasting.stats.checks import Floats, Ints, check_alpha
from tasting.stats.likelihood import chi_square_tail

# Up to so many additions the distribution under every permutation is summed, in a few seconds.
_MOST_ADDITIONS = 10_000_000
# Statistics and rank sums that are equal on paper may differ by a rounding error.
_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Friedman:
    """Do the products' ranks differ? `statistic` is corrected for ties, `degrees` = products - 1.

    `p_value` is exact over all permutations of each assessor's ranks where the panel is small
    enough (`exact`), else from chi-square. `concordance` is Kendall's W from 0 to 1. `f_p_value` is
    from the F approximation of Iman and Davenport (1980), less cautious than chi-square for few
    assessors.
    """

    rank_sums: tuple[float, ...]
    statistic: float
    degrees: int
    p_value: float
    f_statistic: float
    f_p_value: float
    concordance: float
    assessors: int
    exact: bool


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
    rows, unit = _rows(ranks)
    null = _permuted(rows)
    p = null.at_least_spread(unit * sums) if null else None
    return _friedman(sums, (k - 1) * between / within, n, p)


def _friedman(sums: Floats, statistic: float, n: int, exact: float | None) -> Friedman:
    k = sums.size
    most = n * (k - 1)
    f = (n - 1) * statistic / (most - statistic) if statistic < most - 1e-9 else np.inf
    return Friedman(
        rank_sums=tuple(sums.tolist()),
        statistic=statistic,
        degrees=k - 1,
        p_value=chi_square_tail(statistic, k - 1) if exact is None else exact,
        f_statistic=float(f),
        f_p_value=float(special.fdtrc(k - 1, (k - 1) * (n - 1), f)) if np.isfinite(f) else 0.0,
        concordance=statistic / most,
        assessors=n,
        exact=exact is not None,
    )


@dataclass(frozen=True, slots=True)
class _Permuted:
    """Every set of rank sums (a row for each), and its probability if ranks are drawn."""

    sums: Floats
    chances: Floats

    def at_least_spread(self, sums: Floats) -> float:
        """P(rank sums at least as far apart, in squares, as these)."""
        spread, seen = (
            np.sum((one - one.mean(-1, keepdims=True)) ** 2, -1) for one in (self.sums, sums)
        )
        return min(1.0, float(self.chances[spread >= seen - _SAME].sum()))

    def at_least_range(self, gaps: Floats) -> Floats:
        """P(largest and smallest rank sum at least so far apart), for each gap."""
        ranges: Floats = np.ptp(self.sums, axis=-1)
        return np.asarray(np.minimum(1.0, (ranges >= gaps[:, None] - _SAME) @ self.chances))


Rows = tuple[tuple[int, ...], ...]
"""Each assessor's ranks above the lowest in rising order, in halves where ties share a mean."""


def _rows(ranks: Floats) -> tuple[Rows, int]:
    """The ranks as whole numbers, and how many of them make one rank."""
    halves = np.rint(2 * (ranks - ranks.min(axis=1, keepdims=True))).astype(int)
    unit = 2 if np.any(halves % 2) else 1
    whole = np.sort(halves // (2 // unit), axis=1)
    return tuple(sorted(tuple(row) for row in whole.tolist())), unit


@lru_cache(maxsize=64)
def _permuted(rows: Rows) -> _Permuted | None:
    """The distribution of the rank sums, whichever product has which; None where it is too large.

    Every assessor's ranks are put in every order, each as likely (Friedman 1937). As all products
    are alike then, rank sums are kept in rising order.
    """
    if _additions(len(rows), len(rows[0])) > _MOST_ADDITIONS:
        return None
    k, base = len(rows[0]), sum(row[-1] for row in rows) + 1
    powers = base ** np.arange(k, dtype=np.int64)
    sums: Ints = np.array([rows[0]], dtype=np.int64)
    chances: Floats = np.ones(1)
    for row in rows[1:]:
        orders = np.array(list(set(permutations(row))))
        moved = np.sort((sums[:, None, :] + orders).reshape(-1, k), axis=1)
        # Each set of sums is one whole number, which is much faster to sort.
        _, first, place = np.unique(moved @ powers, return_index=True, return_inverse=True)
        sums = moved[first]
        weights = np.repeat(chances / len(orders), len(orders))
        chances = np.bincount(place, weights).astype(np.float64)
    return _Permuted(sums.astype(float), chances)


def _additions(n: int, k: int) -> float:
    """At most so many rank sums are looked at."""
    most, orders = 0.0, factorial(k)
    for t in range(1, n):
        kept = (t * (k - 1) + 1.0) ** (k - 1) / orders
        most += orders * min(kept, float(orders) ** min(t - 1, 9))
    return most


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


def least_difference(assessors: int, products: int, alpha: float = 0.05) -> float | None:
    """Smallest difference of two rank sums that counts, at alpha for all pairs together.

    Exact in small panels; None where no difference is enough. In large ones q sqrt(n k (k + 1)
    / 12), q the upper quantile of the studentised range with endless degrees of freedom, less than
    two ranks from the exact tables of Newell and MacFarlane (1987, J Food Sci 52:1721). Ties are
    not allowed for.

    Raises `InputError` for fewer than 2 assessors or products, or alpha out of range.
    """
    if assessors < 2 or products < 2:
        raise InputError("at least 2 assessors and 2 products are needed to compare rank sums.")
    null = _permuted((tuple(range(products)),) * assessors)
    if null:
        gaps = np.arange(assessors * (products - 1) + 1)
        enough = gaps[null.at_least_range(gaps.astype(float)) <= check_alpha(alpha) * TIE]
        return float(enough[0]) if enough.size else None
    q = float(stats.studentized_range.ppf(1 - check_alpha(alpha), products, np.inf))
    return q * sqrt(assessors * products * (products + 1) / 12)


def rank_differences(ratings: ArrayLike) -> tuple[RankDifference, ...]:
    """All pairs of products after Friedman's test, with tie-corrected, family-wise p-values.

    Exact in small panels: how often, over all permutations, the largest rank sum lies so far from
    the smallest. In large ones the difference of two rank sums has variance n s^2 2 k/(k - 1), s^2
    the mean square of ranks about their mean; its studentised range gives p (Nemenyi 1963). Raises
    as `friedman` does.
    """
    ranks = _ranks(ratings)
    n, k = ranks.shape
    sums = ranks.sum(axis=0)
    spread = sqrt(float(np.sum((ranks - (k + 1) / 2) ** 2)) / (k - 1))
    pairs = list(combinations(range(k), 2))
    gaps = np.array([sums[j] - sums[i] for i, j in pairs])
    rows, unit = _rows(ranks)
    null = _permuted(rows)
    if null:
        p_values = null.at_least_range(unit * np.abs(gaps))
    else:
        p_values = stats.studentized_range.sf(np.abs(gaps) / spread, k, np.inf)
    return tuple(
        RankDifference(i, j, float(gap), float(min(p, 1.0)))
        for (i, j), gap, p in zip(pairs, gaps, p_values, strict=True)
    )
