"""How many tastings a test needs, and what a number of tastings can detect.

If a share p_d of the tastings truly notices the difference, an answer is correct with probability
p_c = p_d + chance (1 - p_d) (ISO 4120). Power is the exact probability of reaching the critical
number. It is saw-toothed in n: it drops where the critical number steps up.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import log, sqrt

import numpy as np
from scipy import special

from tasting.errors import InputError
from tasting.stats.binomial import TIE, critical_number, upper_tail
from tasting.stats.checks import (
    Floats,
    Ints,
    check_alpha,
    check_beta,
    check_chance,
    check_p_d,
    check_sides,
)

_MOST_TASTINGS = 2_000_000
_TOO_MANY = "more than two million tastings would be needed; ask for a larger difference."


@dataclass(frozen=True, slots=True)
class PanelSize:
    """Tastings needed; `alpha` and `power` are the actual ones at n."""

    n: int
    lasting_n: int
    critical_number: int
    alpha: float
    power: float
    chance: float
    p_d: float
    sides: int


def power(n: int, chance: float, p_d: float, alpha: float = 0.05, sides: int = 1) -> float:
    """Probability of showing a difference that a share p_d notices, with n tastings.

    Two-sided (chance 1/2): one product is chosen with probability 1/2 + p_d / 2 and only results in
    its favour count.

    Raises `InputError` for n below 1, or chance, p_d, alpha or sides out of range.
    """
    return float(power_curve(n, chance, np.array([check_p_d(p_d)]), alpha, sides)[0])


def panel_size(
    chance: float, p_d: float, alpha: float = 0.05, beta: float = 0.2, sides: int = 1
) -> PanelSize:
    """Smallest number of tastings whose exact power is at least 1 - beta.

    `n` is the first such number, as in the tables of ISO 4120, ISO 5495 and ISO 10399; from
    `lasting_n` on, power never falls below 1 - beta again.

    Raises `InputError` for arguments out of range, or where more than two million are needed.

    >>> panel_size(1 / 3, 0.3, 0.05, 0.05).n
    66
    """
    check_sides(sides, check_chance(chance))
    p_c = chance + (1 - chance) * check_p_d(p_d)
    return _search(chance, p_c, p_d, check_alpha(alpha), check_beta(beta), sides)


def _search(
    chance: float, p_c: float, p_d: float, alpha: float, beta: float, sides: int
) -> PanelSize:
    enough = _surely_enough(chance, p_c, alpha / sides, beta)
    last = _last_n(chance, alpha / sides * TIE, 1 << enough.bit_length())
    x = np.arange(1, 2 + int(np.searchsorted(last[1:], enough)))
    first_n, last_n = last[x - 1] + 1, last[x]
    reached = _first_reached(x, last_n, p_c, 1 - beta)
    n, critical = _crossing(x[reached], first_n[reached], last_n[reached], p_c, 1 - beta)
    failing = np.flatnonzero(upper_tail(x[reached:], first_n[reached:], p_c) < 1 - beta)
    stable = n
    if failing.size:
        end = reached + failing[-1]
        stable, _ = _crossing(x[end], first_n[end], last_n[end], p_c, 1 - beta)
    size, count = np.array([n]), np.array([critical])
    return PanelSize(
        n=n,
        lasting_n=stable,
        critical_number=critical,
        alpha=sides * float(upper_tail(count, size, chance)[0]),
        power=float(upper_tail(count, size, p_c)[0]),
        chance=chance,
        p_d=p_d,
        sides=sides,
    )


def _first_reached(x: Ints, last_n: Ints, p_c: float, target: float) -> int:
    """First run that ends with enough power, looked for in blocks."""
    start, block = 0, x.size // 4 + 1
    while True:
        part = slice(start, start + block)
        enough = upper_tail(x[part], last_n[part], p_c) >= target
        if enough.any():
            return start + int(np.argmax(enough))
        start += block


def _crossing(x: int, first: int, last: int, p_c: float, target: float) -> tuple[int, int]:
    """First n of a run with enough power (the n after it if none has), and its critical number."""
    n = np.arange(first, last + 1)
    short = int(np.count_nonzero(upper_tail(np.full_like(n, x), n, p_c) < target))
    return int(first) + short, int(x)


@lru_cache(maxsize=64)
def _last_n(chance: float, risk: float, size: int) -> Ints:
    """For x = 0, 1, ... the last n whose critical number is x, until beyond `size`.

    The critical number rises by at most one from n to n + 1, so it runs through every x and these
    n hold it all; there are fewer of them. P(X >= x) grows with n: a guess, then steps of one.
    """
    x = np.arange(1, critical_number(size, chance, risk) + 2)
    z, spread = -special.ndtri(risk), sqrt(chance * (1 - chance))
    root = (np.sqrt((z * spread) ** 2 + 4 * chance * x) - z * spread) / (2 * chance)
    n = np.maximum(np.floor(root**2).astype(np.int64), x - 1)
    many = np.flatnonzero(upper_tail(x, n, chance) > risk)
    few = np.setdiff1d(np.arange(x.size), many, assume_unique=True)
    while many.size:
        n[many] -= 1
        many = many[upper_tail(x[many], n[many], chance) > risk]
    while few.size:
        few = few[upper_tail(x[few], n[few] + 1, chance) <= risk]
        n[few] += 1
    return np.concatenate([[0], n])


def _surely_enough(chance: float, p_c: float, risk: float, beta: float) -> int:
    """An n from which power is at least 1 - beta for good.

    By Chernoff's bound (1952) a threshold t between chance and p_c has both risks met as soon as
    n D(t, chance) >= ln 1/risk and n D(t, p_c) >= ln 1/beta, D being the relative entropy; both
    stay met as n grows. The exact test needs no more answers than that threshold.
    """
    # D(t, chance) is at most (p_c - chance)^2 / (chance (1 - chance)), the chi-square distance, and
    # shares that lie closer together than computers count would give any number.
    if (p_c - chance) ** 2 * _MOST_TASTINGS < -log(risk) * chance * (1 - chance):
        raise InputError(_TOO_MANY)
    t = np.linspace(chance, p_c, 1002)[1:-1]
    needed = np.maximum(-log(risk) / _divergence(t, chance), -log(beta) / _divergence(t, p_c))
    n = float(needed.min())
    if n > _MOST_TASTINGS:
        raise InputError(_TOO_MANY)
    return int(n) + 1


def _divergence(t: Floats, p: float) -> Floats:
    entropy: Floats = t * np.log(t / p) + (1 - t) * np.log((1 - t) / (1 - p))
    return entropy


def power_curve(n: int, chance: float, p_d: Floats, alpha: float = 0.05, sides: int = 1) -> Floats:
    """Power of n tastings at each p_d from 0 (no difference: the actual alpha, one tail) to 1.

    Raises `InputError` for arguments out of range.
    """
    check_sides(sides, check_chance(chance))
    shares = np.asarray(p_d, dtype=np.float64)
    if not np.all((shares >= 0) & (shares <= 1)):
        raise InputError("p_d must lie from 0 to 1; it is the share who truly notice.")
    critical = critical_number(n, chance, alpha, sides)
    if critical > n:
        return np.zeros_like(shares)
    return upper_tail(np.asarray(critical), np.asarray(n), chance + (1 - chance) * shares)


def detectable(
    n: int, chance: float, alpha: float = 0.05, beta: float = 0.2, sides: int = 1
) -> float | None:
    """Smallest p_d that n tastings show with power 1 - beta; None if no score shows anything.

    The reverse of `panel_size`: "with my 24 tastings, what would I miss?" It is the p_c whose
    chance of reaching the critical number is 1 - beta, an inverse incomplete beta function.

    Raises `InputError` for arguments out of range.

    >>> round(detectable(24, 1 / 3), 3)
    0.407
    """
    check_sides(sides, check_chance(chance))
    critical = critical_number(n, chance, alpha, sides)
    if critical > n:
        return None
    p_c = float(special.betaincinv(critical, n - critical + 1, 1 - check_beta(beta)))
    return (p_c - chance) / (1 - chance)
