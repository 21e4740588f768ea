"""Showing that a difference, if any, is small enough.

Similarity is claimed against a share p_d of distinguishers fixed beforehand: if that many noticed,
a score as low as the one seen would be rarer than beta (ISO 4120, ISO 5495, ISO 10399). Answers
must be independent: replicates need the model in `replicates`. From a score below chance nothing
is concluded, because mixed-up cups look just like that (ISO 4120:2004 clause 8.2, read in the
identical GOST R 53159-2008).
"""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from scipy import special

from tasting.errors import InputError
from tasting.stats.binomial import TIE, lower_tail
from tasting.stats.checks import (
    Floats,
    Ints,
    check_alpha,
    check_beta,
    check_chance,
    check_counts,
    check_n,
    check_p_d,
)

_MOST_TASTINGS = 20_000


def largest_similar(n: int, chance: float, p_d: float, beta: float = 0.05) -> int:
    """Largest x with P(X <= x) <= beta where a share p_d notices; -1 if there is none.

    Raises `InputError` for arguments out of range.

    >>> largest_similar(60, 1 / 3, 0.3)
    25
    """
    sizes = check_n(n)
    check_chance(chance)
    p_c = chance + (1 - chance) * check_p_d(p_d)
    return int(_largest(np.atleast_1d(sizes), p_c, check_beta(beta))[0])


def _largest(n: Ints, p_c: float, beta: float) -> Ints:
    """Normal guess, then steps of one until exact."""
    raw = n * p_c + special.ndtri(beta) * np.sqrt(n * p_c * (1 - p_c))
    x = np.clip(np.floor(raw), -1, n).astype(np.int64)
    risk = beta * TIE
    while np.any(fits := (x < n) & (lower_tail(np.minimum(x + 1, n), n, p_c) <= risk)):
        x = x + fits
    while np.any(above := (x >= 0) & (lower_tail(x, n, p_c) > risk)):
        x = x - above
    return np.asarray(x, dtype=np.int64)


def upper_limit(correct: int, n: int, chance: float, beta: float = 0.05) -> float:
    """One-sided 1 - beta upper limit of p_d (Clopper and Pearson 1934), at least 0.

    Raises `InputError` for impossible counts, or chance or beta out of range.
    """
    check_counts(correct, n)
    check_chance(chance)
    if correct == n:
        return 1.0
    p_c = float(special.betaincinv(correct + 1, n - correct, 1 - check_beta(beta)))
    return max(0.0, (p_c - chance) / (1 - chance))


def approximate_limit(correct: int, n: int, chance: float, beta: float = 0.05) -> float:
    """The standards' normal upper limit of p_d, for comparison only.

    (x/n - chance) / (1 - chance) + z sqrt((n x - x^2) / n^3) / (1 - chance), z the normal quantile
    of 1 - beta; ISO 5495:2005 prints it with factor 2 for chance 1/2.

    Raises `InputError` for impossible counts, or chance or beta out of range.
    """
    check_counts(correct, n)
    z = -float(special.ndtri(check_beta(beta)))
    spread = sqrt((n * correct - correct**2) / n**3)
    return (correct / n - check_chance(chance) + z * spread) / (1 - chance)


@dataclass(frozen=True, slots=True)
class SimilaritySize:
    """Tastings needed to show similarity; `beta` and `power` are the actual ones at n.

    `power` is the probability of a count up to `largest` if nobody notices; `below_chance` the part
    of it where the count is below chance and nothing may be concluded.
    """

    n: int
    lasting_n: int
    largest: int
    beta: float
    power: float
    below_chance: float
    chance: float
    p_d: float


def similarity_size(
    chance: float, p_d: float, alpha: float = 0.2, beta: float = 0.05
) -> SimilaritySize:
    """Smallest n with which indistinguishable samples stay within `largest` at power 1 - alpha.

    beta is the risk of calling similar what a share p_d notices, alpha that of missing similarity.
    `lasting_n` is where power stays at 1 - alpha from then on.

    Raises `InputError` for arguments out of range, or where over 20000 tastings would be needed.
    """
    check_chance(chance)
    p_c = chance + (1 - chance) * check_p_d(p_d)
    n = np.arange(1, _enough(chance, p_c, check_alpha(alpha), check_beta(beta)) + 1)
    largest = _largest(n, p_c, beta)
    enough = _within(largest, n, chance) >= 1 - alpha
    first = int(np.argmax(enough))
    stable = int(n[~enough].max(initial=0)) + 1
    return _size(int(n[first]), stable, int(largest[first]), chance, p_d)


def _enough(chance: float, p_c: float, alpha: float, beta: float) -> int:
    """By Hoeffding's bound (1963) both risks are met from here on, at a threshold in between."""
    needed = (sqrt(-np.log(alpha) / 2) + sqrt(-np.log(beta) / 2)) ** 2
    apart = (p_c - chance) ** 2
    if needed > _MOST_TASTINGS * apart:
        raise InputError(
            "over 20000 tastings would be needed to show similarity; ask for a larger difference."
        )
    return int(needed / apart) + 1


def _within(largest: Ints, n: Ints, chance: float) -> Floats:
    return np.where(largest >= 0, lower_tail(np.maximum(largest, 0), n, chance), 0.0)


def _size(n: int, stable: int, largest: int, chance: float, p_d: float) -> SimilaritySize:
    x, size = np.array([largest, -(-n * chance // 1) - 1], dtype=np.int64), np.int64(n)
    power, below = lower_tail(x, size, chance).tolist()
    beta = float(lower_tail(x[:1], size, chance + (1 - chance) * p_d)[0])
    return SimilaritySize(n, stable, largest, beta, power, below, chance, p_d)


def demonstrable(n: int, chance: float, alpha: float = 0.2, beta: float = 0.05) -> float:
    """Smallest p_d against which n tastings of samples that nobody tells apart show similarity.

    The reverse of `similarity_size`: with probability 1 - alpha the count then stays at or below
    some x; a larger p_d than this one would give so low a count with a probability below beta.

    Raises `InputError` for arguments out of range.

    >>> round(demonstrable(60, 1 / 3, 0.2, 0.05), 3)
    0.246
    """
    size = int(check_n(n))
    check_chance(chance)
    counts = np.arange(size + 1)
    within = lower_tail(counts, np.int64(size), chance) >= 1 - check_alpha(alpha)
    return upper_limit(int(np.argmax(within)), size, chance, beta)
