"""The likelihood interval of a share correct, from the exact distribution of its deviance.

A likelihood interval usually takes the deviance for chi-square distributed (Wilks 1938), and then
covers a share near 1 as rarely as 82 times in 100. Here every candidate share is tested exactly: it
is kept if, were it true, counts that fit it no better than the observed one had a probability of
more than 1 - confidence. What "fits no better" means is decided by the likelihood ratio against the
best share allowed, so that a share known to be at least the chance of guessing needs no special
care (Feldman and Cousins 1998, Phys Rev D 57:3873).
"""

from dataclasses import dataclass
from functools import lru_cache
from math import log, sqrt

import numpy as np
from scipy import special

from tasting.stats.binomial import log_ways
from tasting.stats.checks import Floats, check_between, check_confidence, check_counts
from tasting.stats.likelihood import binomial_log_likelihood
from tasting.stats.results import Interval

# Deviances that are equal on paper differ by rounding.
_SAME = 1e-9
# Then five rounds of 16 cells each: a million times finer.
_FINER = (17,) * 5
# Cells for a whole range of shares: 500, and 50 for each of the about n jumps of the p-value, up to
# 200 of them; with more answers the range that is searched is so much narrower.
_CELLS, _CELLS_PER_JUMP, _MOST_JUMPS = 500, 50, 200


# Pages ask for the same counts at every touch; two whole numbers name nobody.
@lru_cache(maxsize=4096)
def share_interval(correct: int, n: int, floor: float = 0.0, confidence: float = 0.95) -> Interval:
    """Interval of a share correct that is known to be at least `floor`.

    It covers at least as often as stated, and is narrower than that of Clopper and Pearson, whose
    tails are held to half the risk each. Raises `InputError` for impossible counts, or floor or
    confidence out of range.

    >>> interval = share_interval(12, 12)
    >>> round(interval.low, 4), interval.high
    (0.7645, 1.0)
    """
    check_counts(correct, n)
    check_between("floor", floor, 0, 1, closed=True)
    risk = 1 - check_confidence(confidence)
    low = _low_end(correct, n, floor, risk)
    high = _high_end(correct, n, floor, risk)
    return Interval(low, high, confidence)


def _low_end(correct: int, n: int, floor: float, risk: float) -> float:
    """A share is kept for sure from where as many correct have a probability above the risk."""
    sure = float(special.betaincinv(correct, n - correct + 1, risk)) if correct else 0.0
    if sure <= floor:
        return floor
    return _end(correct, n, floor, risk, max(floor, correct / n - _farthest(n, risk)), sure)


def _high_end(correct: int, n: int, floor: float, risk: float) -> float:
    if correct == n:
        return 1.0
    sure = float(special.betainccinv(correct + 1, n - correct, risk))
    best = max(correct / n, floor)
    return _end(correct, n, floor, risk, min(1.0, best + _farthest(n, risk)), max(sure, floor))


def _farthest(n: int, risk: float) -> float:
    """Distance from the best share at which no share is kept.

    Each tail beyond a deviance has a probability of at most exp(-deviance / 2) (Chernoff 1952), and
    the deviance is at least 4 n times the squared distance of the shares (Hoeffding 1963, J Am Stat
    Assoc 58:13).
    """
    return sqrt(log(2 / risk) / (2 * n))


def _end(correct: int, n: int, floor: float, risk: float, outside: float, inside: float) -> float:
    """The first share from outside that is kept, sought ever more finely."""
    # The p-value jumps about n times; the cells are so small that none is kept unseen.
    cells = 2 + int(abs(inside - outside) * (_CELLS + _CELLS_PER_JUMP * min(n, _MOST_JUMPS)))
    for count in (cells, *_FINER):
        candidates = np.linspace(outside, inside, count)
        kept = share_p_value(correct, n, candidates, floor) > risk
        kept[-1] = True
        first = int(np.argmax(kept))
        if first == 0:
            break
        outside, inside = candidates[first - 1], candidates[first]
    return float(outside)  # not `inside`: where the p-value jumps, the jump itself is kept


def share_p_value(correct: int, n: int, shares: Floats, floor: float = 0.0) -> Floats:
    """Probability, if a share is true, of counts that fit it no better than the observed one.

    `shares` is a row, each from `floor` to 1; unchecked.
    """
    table = _every(n, floor)
    inside = np.clip(shares, 1e-300, 1 - 1e-16)
    logs = np.stack([np.log(inside), np.log1p(-inside)], axis=1)
    seen = table.highest[correct] - logs @ table.answers[:, [correct]]
    near = _likely(n, shares)
    log_likelihood = logs @ table.answers[:, near]
    no_better = table.highest[near] - log_likelihood >= seen - _SAME
    return np.asarray(np.sum(np.exp(table.ways[near] + log_likelihood) * no_better, axis=1))


def _likely(n: int, shares: Floats) -> slice:
    """The counts that any of these shares may give. Those left out have a probability of at most
    2 exp(-2 distance^2 / n) together (Hoeffding 1963), which is 1e-17 here.
    """
    distance = sqrt(20 * n)
    low, high = n * float(np.min(shares)) - distance, n * float(np.max(shares)) + distance
    return slice(max(0, int(low)), min(n, int(high) + 1) + 1)


@dataclass(frozen=True, slots=True)
class _Every:
    """Every count of n: right and wrong `answers` in two rows, ln of the `ways` to it, and the
    `highest` log-likelihood that any share from the floor on gives it.
    """

    answers: Floats
    ways: Floats
    highest: Floats


@lru_cache(maxsize=256)
def _every(n: int, floor: float) -> _Every:
    counts = np.arange(n + 1.0)
    best = np.maximum(counts / n, floor)
    return _Every(
        np.stack([counts, n - counts]),
        log_ways(n),
        binomial_log_likelihood(counts, n, best),
    )
