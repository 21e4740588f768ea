"""Power of Fisher's exact test, for methods whose answers are compared between two kinds of sets.

Same-different and A-not-A have no chance of guessing: how often "different" is said for sets with a
difference is compared with how often it is said for sets without one. Power is the exact sum, over
every pair of counts that the test calls a difference, of its binomial probability.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import special

from tasting.errors import InputError
from tasting.stats.binomial import TIE, log_ways
from tasting.stats.checks import Ints, check_alpha, check_beta, check_between, check_n

_MOST_SETS = 200


@dataclass(frozen=True, slots=True)
class ContrastSize:
    """Sets needed in all, half of each kind; `alpha` and `power` are the actual ones at n."""

    n: int
    alpha: float
    power: float
    share_none: float
    share_some: float


def contrast_power(
    some: int, none: int, share_some: float, share_none: float, alpha: float = 0.05
) -> float:
    """Probability that the one-sided test shows a difference.

    some, none: sets with a difference, and without one
    share_some, share_none: how often "different" is said for the two kinds

    Raises `InputError` for fewer than 1 set of a kind, or shares or alpha out of range.

    >>> round(contrast_power(20, 20, 0.7, 0.3), 3)
    0.713
    """
    check_n(some, "some")
    check_n(none, "none")
    for name, share in (("share_some", share_some), ("share_none", share_none)):
        check_between(name, share, 0, 1, closed=True)
    critical = _critical(some, none, check_alpha(alpha))
    return _probability(critical, some, none, share_some, share_none)


def contrast_size(
    share_some: float, share_none: float, alpha: float = 0.05, beta: float = 0.2
) -> ContrastSize:
    """Fewest sets, half of each kind, whose power is at least 1 - beta.

    Raises `InputError` for arguments out of range, or where more than 400 sets would be needed.

    >>> contrast_size(0.7, 0.3).n
    46
    """
    check_alpha(alpha)
    check_beta(beta)
    if not 0 < share_none < share_some <= 1:
        raise InputError(
            "a difference must be reported more often for sets with one than for others"
        )
    for half in range(2, _MOST_SETS + 1):
        power = contrast_power(half, half, share_some, share_none, alpha)
        if power >= 1 - beta:
            actual = contrast_power(half, half, share_none, share_none, alpha)
            return ContrastSize(2 * half, actual, power, share_none, share_some)
    raise InputError(f"more than {2 * _MOST_SETS} sets would be needed; plan for a larger d′.")


@lru_cache(maxsize=1024)
def _critical(some: int, none: int, alpha: float) -> Ints:
    """For each count among the sets without a difference, the fewest among the others that show it.

    With x in all the count among the `some` sets is hypergeometric (Fisher 1935). some + 1 where
    no count is enough.
    """
    ways_some, ways_none, ways = log_ways(some), log_ways(none), log_ways(some + none)
    critical = np.full(none + 1, some + 1, dtype=np.int64)
    for total in range(some + none + 1):
        counts = np.arange(max(0, total - none), min(some, total) + 1)
        weights = np.exp(ways_some[counts] + ways_none[total - counts] - ways[total])
        tails = np.cumsum(weights[::-1])[::-1]
        shown = counts[tails <= alpha * TIE]
        critical[total - shown] = np.minimum(critical[total - shown], shown)
    return critical


def _probability(
    critical: Ints, some: int, none: int, share_some: float, share_none: float
) -> float:
    others = np.arange(none + 1)
    with np.errstate(divide="ignore"):
        weights = np.exp(
            log_ways(none)
            + special.xlogy(others, share_none)
            + special.xlog1py(none - others, -share_none)
        )
    reach = critical <= some
    tails = np.zeros(none + 1)
    low = critical[reach]
    tails[reach] = np.where(
        low > 0, special.betainc(np.maximum(low, 1), some - low + 1, share_some), 1.0
    )
    return float(weights @ tails)
