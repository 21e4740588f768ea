"""One d-prime for several sessions of a comparison, whether or not they agree with one.

Where sessions agree, their d-prime is common (`dprime.pooled_d_prime`). Where they may well
disagree, each session has a d-prime of its own around a mean: normal with a spread tau between
sessions (a random-effects model; DerSimonian and Laird 1986, Control Clin Trials 7:177, here by
likelihood instead of moments, since d-prime has no standard error near 0). The interval of the mean
takes the best tau for each mean, and holds all that is at least 1/20 as likely as the best.
"""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from tasting.stats.checks import Floats, check_confidence
from tasting.stats.dprime import (
    FAR,
    Score,
    common_d_prime,
    joint_log_likelihood,
    pooled_d_prime,
)
from tasting.stats.likelihood import chi_square_tail, deviance_end, peak, support_cut
from tasting.stats.results import Interval

_DISAGREE = 0.05
"""Sessions whose homogeneity test has a p up to this were shown to disagree."""
_MAY_DISAGREE = 0.3
"""Up to this p the interval allows for a spread between sessions. At 0.05 it held the mean of two
sessions of 24 triangles that differ by a spread of 0.5 in 84 % of draws, at 0.3 in 96 %."""
_WIDEST_SPREAD = 4.0
_IMPOSSIBLE = -1e4
"""Log-likelihoods below this are those of a wrong answer where none can be given."""
_NODES = np.linspace(-3.2, 3.2, 17)
_SPREADS = np.linspace(0.0, _WIDEST_SPREAD, 17)
# Steps of nodes times steps of spreads: fewer than half of these products differ.
_APART, _PLACES = np.unique(np.outer(np.arange(17), np.arange(-8, 9)), return_inverse=True)
_OFFSETS = _APART * (_SPREADS[1] * (_NODES[1] - _NODES[0]))
_WEIGHTS = np.exp(-_NODES * _NODES / 2) / np.exp(-_NODES * _NODES / 2).sum()
Curve = Callable[[Floats], Floats]


@dataclass(frozen=True, slots=True)
class AgreedDistance:
    """d-prime of several sessions with its interval.

    `p_value` asks whether they agree with one d-prime (likelihood ratio; 1 for a single session).
    `disagree` says that they were shown not to. With `spread_allowed` value and interval are those
    of the mean of sessions that may differ.
    """

    value: float
    interval: Interval
    p_value: float
    disagree: bool
    spread_allowed: bool


def agreed_distance(scores: Sequence[Score], confidence: float = 0.95) -> AgreedDistance:
    """d-prime of sessions by one or several methods. Raises `InputError` without scores."""
    p = common_d_prime(scores).p_value
    if p > _MAY_DISAGREE:
        pooled = pooled_d_prime(scores, confidence)
        return AgreedDistance(
            pooled.value, pooled.interval, p, disagree=False, spread_allowed=False
        )
    curve = _spread_out(scores)
    value, highest = peak(curve, 0.0, FAR)

    def deviance(mean: float) -> float:
        return 2 * (highest - float(curve(np.array([mean]))[0]))

    cut = support_cut(check_confidence(confidence))
    low, high = deviance_end(deviance, value, 0.0, cut), deviance_end(deviance, value, FAR, cut)
    interval = Interval(low, high if high < FAR else inf, confidence)
    return AgreedDistance(value, interval, p, disagree=p <= _DISAGREE, spread_allowed=True)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Difference of two d-primes (first minus second) with its profile-likelihood interval.

    `p_value` is the likelihood ratio's of equal d-primes, one degree of freedom.
    The interval is that of the support cut: it may hold 0 where the test just shows a difference.
    """

    difference: float
    interval: Interval
    p_value: float


def compare_distances(
    first: Sequence[Score], second: Sequence[Score], confidence: float = 0.95
) -> Comparison:
    """Difference of two distances, first minus second, each from sessions of its own.

    Sessions that may disagree count as ones around a mean; near d-prime 0 the test is conservative.
    Not for scores that are all perfect. Raises `InputError` without scores.
    """
    curves = _curve(first), _curve(second)
    tops = [peak(curve, 0.0, FAR) for curve in curves]
    highest = sum(top for _, top in tops)
    a, b = (_estimate(scores, at) for scores, (at, _) in zip((first, second), tops, strict=True))

    def deviance(difference: float) -> float:
        return 2 * (highest - _best_apart(*curves, difference))

    cut = support_cut(check_confidence(confidence))
    best = min(a, FAR) - min(b, FAR)
    low = -inf if b == inf else deviance_end(deviance, best, -FAR, cut)
    high = inf if a == inf else deviance_end(deviance, best, FAR, cut)
    p_value = chi_square_tail(max(0.0, deviance(0.0)), 1)
    return Comparison(a - b, Interval(low, high, confidence), p_value)


def _estimate(scores: Sequence[Score], at: float) -> float:
    return inf if all(score.correct == score.n for score in scores) else at


def _curve(scores: Sequence[Score]) -> Curve:
    """Log-likelihood of a common d-prime, or of the mean of ones that may disagree."""
    if common_d_prime(scores).p_value > _MAY_DISAGREE:
        return joint_log_likelihood(scores)
    return _spread_out(scores)


def _spread_out(scores: Sequence[Score]) -> Curve:
    """Log-likelihood of the mean of d-primes that may disagree."""
    alike = Counter(scores)
    return lambda means: _over_spreads(alike, means)


def _over_spreads(scores: Mapping[Score, int], means: Floats) -> Floats:
    """For each mean, the likelihood at the best spread; a d-prime below 0 counts as 0."""
    at = np.maximum(means[..., None] + _OFFSETS, 0.0)
    total = np.zeros((*np.shape(means), _SPREADS.size))
    for psychometric in dict.fromkeys(score.psychometric for score in scores):
        right = np.minimum(psychometric.function(np.minimum(at, FAR)), 1.0)
        with np.errstate(divide="ignore"):
            log_right, log_wrong = np.log(right), np.log1p(-right)
        for score, times in scores.items():
            if score.psychometric == psychometric:
                total += times * _averaged(score, log_right, log_wrong)
    return np.asarray(total.max(axis=-1))


def _averaged(score: Score, log_right: Floats, log_wrong: Floats) -> Floats:
    """Log-likelihood of a score, averaged over what its session's own d-prime may be."""
    wrong = score.n - score.correct
    logs = score.correct * log_right + (wrong * log_wrong if wrong else 0.0)
    logs = logs[..., _PLACES.reshape(_SPREADS.size, _NODES.size)]
    top = np.maximum(logs.max(axis=-1, keepdims=True), _IMPOSSIBLE)
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(np.exp(logs - top) @ _WEIGHTS) + top[..., 0])


def _best_apart(first: Curve, second: Curve, difference: float) -> float:
    """Highest joint likelihood with the two distances a given difference apart."""
    up, down = max(difference, 0.0), max(-difference, 0.0)
    span = max(FAR - abs(difference), 1e-9)
    return peak(lambda base: first(base + up) + second(base + down), 0.0, span)[1]
