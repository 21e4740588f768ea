"""Maximum likelihood in one dimension, and intervals from the likelihood ratio.

An interval holds the parameters whose deviance 2 (l_max - l) is at most a cut. It needs no standard
error, so it stands where the slope of a psychometric function is zero and a Wald interval would be
infinite or meaningless.

The usual cut, the chi-square quantile of one degree of freedom (Wilks 1938), is right for many
answers. In small panels it covers less often than stated, down to 84 % where nearly every answer is
alike. The support cut leaves out only what is less than 1 - confidence times as likely as the best:
after n answers that are all correct it keeps just those shares p with p^n >= 1 - confidence, as the
exact test does.
"""

from collections.abc import Callable
from math import log1p

import numpy as np
from scipy import optimize, special

from tasting.stats.checks import Floats

# A grid of 41 keeps two of its 40 cells a round, one of 21 two of 20: after so many rounds the peak
# is known to 1e-10 and 1e-9 of the range, where a likelihood is flat in double precision.
_GRID, _ROUNDS = 41, 8
_PROFILE_GRID, _PROFILE_ROUNDS = 21, 9
# The first step outward from the best is short against any end, and doubles.
_FIRST_STEP = 1 / 64
# Ends are compared with ends found in other ways, so they are sought as far as rounding lets them.
_END_TOLERANCE = 1e-13

Curve = Callable[[Floats], Floats]
Surface = Callable[[Floats, Floats], Floats]


def binomial_log_likelihood(correct: float | Floats, n: float, p: Floats) -> Floats:
    """ln of p^correct (1 - p)^(n - correct), without the constant."""
    return np.asarray(special.xlogy(correct, p) + special.xlog1py(n - correct, -p))


def chi_square_cut(confidence: float) -> float:
    """Quantile of the chi-square distribution with one degree of freedom."""
    return float(special.ndtri((1 + confidence) / 2) ** 2)


def support_cut(confidence: float) -> float:
    """Deviance of what is 1 - confidence times as likely as the best: -2 ln(1 - confidence).

    >>> round(support_cut(0.95), 2)
    5.99
    """
    return -2 * log1p(-confidence)


def chi_square_tail(statistic: float, degrees: int) -> float:
    """P(chi-square >= statistic)."""
    return float(special.chdtrc(degrees, max(statistic, 0.0)))


def deviance_end(
    deviance: Callable[[float], float], best: float, limit: float, cut: float
) -> float:
    """Where the deviance reaches `cut` between `best` and `limit`; `limit` if it never does."""
    inside, outside, step = best, best, _FIRST_STEP * (limit - best)
    while deviance(outside) <= cut:
        if outside == limit:
            return limit
        inside, step = outside, 2 * step
        outside = limit if abs(limit - inside) <= abs(step) else inside + step
    near = _END_TOLERANCE
    end = optimize.brentq(lambda v: deviance(v) - cut, inside, outside, xtol=near, rtol=near)
    return float(end)


def peak(log_likelihood: Curve, low: float, high: float) -> tuple[float, float]:
    """Argument and value of a single-peaked function's maximum, by narrowing a grid."""
    at = low
    for _ in range(_ROUNDS):
        grid = np.linspace(low, high, _GRID)
        best = int(np.argmax(log_likelihood(grid)))
        at, low, high = grid[best], grid[max(best - 1, 0)], grid[min(best + 1, _GRID - 1)]
    return float(at), float(log_likelihood(np.array([at]))[0])


def profile(surface: Surface, kept: Floats, low: float, high: float) -> Floats:
    """For each value kept, the highest log-likelihood over the other parameter.

    `surface` takes both parameters and broadcasts; the other one is searched from low to high.
    """
    lows, highs = np.full((kept.size, 1), low, float), np.full((kept.size, 1), high, float)
    steps = np.linspace(0, 1, _PROFILE_GRID)
    for _ in range(_PROFILE_ROUNDS):
        grid = lows + (highs - lows) * steps
        values = surface(kept.reshape(-1, 1), grid)
        best = np.argmax(values, axis=1, keepdims=True)
        lows = np.take_along_axis(grid, np.maximum(best - 1, 0), axis=1)
        highs = np.take_along_axis(grid, np.minimum(best + 1, _PROFILE_GRID - 1), axis=1)
    return np.asarray(values.max(axis=1))
