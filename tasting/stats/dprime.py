"""The sensory distance d-prime from counts of correct answers.

d-prime is the distance between two samples' perceptions in units of one perception's spread
(ASTM E2262). The estimate is the psychometric function's inverse at the share correct; below
chance it is 0, for a perfect score infinite.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf, sqrt

import numpy as np

from tasting.errors import InputError
from tasting.stats.binomial import at_least_chance, proportion_interval
from tasting.stats.checks import Floats, check_confidence, check_counts
from tasting.stats.likelihood import (
    binomial_log_likelihood,
    chi_square_tail,
    deviance_end,
    peak,
    support_cut,
)
from tasting.stats.psychometric import Psychometric
from tasting.stats.results import Interval
from tasting.stats.share_interval import share_interval

# At this distance every method's share of errors is below 1e-14: as good as perfect.
FAR = 20.0


@dataclass(frozen=True, slots=True)
class Score:
    """`correct` answers out of `n` by one method. Raises `InputError` for impossible counts."""

    correct: int
    n: int
    psychometric: Psychometric

    def __post_init__(self) -> None:
        check_counts(self.correct, self.n)

    @property
    def d_prime(self) -> float:
        """Maximum-likelihood estimate: 0 up to chance, infinite for a perfect score."""
        return float(self.psychometric.d_prime(self.correct / self.n))

    def log_likelihood(self, d_prime: Floats) -> Floats:
        """Binomial log-likelihood at each d-prime."""
        p_c = self.psychometric.function(np.minimum(d_prime, FAR))
        return binomial_log_likelihood(self.correct, self.n, np.minimum(p_c, 1.0))

    @property
    def highest(self) -> float:
        """Log-likelihood at the estimate, where the share is that of the answers, or of chance."""
        share = max(self.correct / self.n, self.psychometric.chance)
        return float(binomial_log_likelihood(self.correct, self.n, np.asarray(share)))


@dataclass(frozen=True, slots=True)
class DPrime:
    """Estimate of d-prime.

    `interval` orders the counts by their likelihood ratio (`share_interval`), `exact` is the one of
    Clopper and Pearson, which agrees with the exact test. Both are those of the share correct,
    carried over, and never cover less often than stated; the first is narrower.
    `standard_error` (delta method, Bi, Ennis and O'Mahony 1997) is None at the boundary.
    """

    value: float
    interval: Interval
    exact: Interval
    standard_error: float | None


def d_prime(
    correct: int,
    n: int,
    psychometric: Psychometric,
    confidence: float = 0.95,
    *,
    signed: bool = False,
) -> DPrime:
    """d-prime with intervals, from one score.

    d-prime is held at 0 or above, unless `signed` (chance 1/2, 2-AFC): then fewer than half correct
    give a negative distance, for a pair whose direction was left open.

    Raises `InputError` for impossible counts, or `signed` with another method.
    """
    check_counts(correct, n)
    if signed and psychometric.function(-1.0) > psychometric.chance - 0.2:
        raise InputError(f"only the 2-AFC has a signed d′, not the {psychometric.name}.")
    floor = 0.0 if signed else psychometric.chance
    likely = share_interval(correct, n, floor, confidence)
    exact = (
        proportion_interval(correct, n, confidence)
        if signed
        else at_least_chance(correct, n, psychometric.chance, confidence)
    )
    shares = np.array([correct / n, likely.low, likely.high, exact.low, exact.high])
    value, *ends = _distances(shares, psychometric, signed).tolist()
    return DPrime(
        value,
        Interval(ends[0], ends[1], confidence),
        Interval(ends[2], ends[3], confidence),
        _standard_error(correct, n, value, psychometric, floor),
    )


def _distances(shares: Floats, psychometric: Psychometric, signed: bool) -> Floats:
    distances = psychometric.d_prime(shares)
    return distances - psychometric.d_prime(1 - shares) if signed else distances


def _standard_error(
    correct: int, n: int, value: float, psychometric: Psychometric, floor: float
) -> float | None:
    share = correct / n
    if not floor < share < 1:
        return None
    return sqrt(share * (1 - share) / n) / float(psychometric.derivative(value))


@dataclass(frozen=True, slots=True)
class PooledDPrime:
    """One d-prime for several scores, and whether the scores agree with one.

    The interval is that of the whole count where all scores are of one method, otherwise that of
    the support cut (`likelihood`). `p_value` is that of the likelihood ratio against a d-prime of
    each score's own: a small one says that the sessions differ more than chance would have it.
    """

    value: float
    interval: Interval
    p_value: float


def pooled_d_prime(scores: Sequence[Score], confidence: float = 0.95) -> PooledDPrime:
    """d-prime common to several scores, which may come from different methods.

    Raises `InputError` without scores.
    """
    common = common_d_prime(scores)
    check_confidence(confidence)
    interval = _pooled_interval(scores, common, confidence)
    return PooledDPrime(common.value, interval, common.p_value)


@dataclass(frozen=True, slots=True)
class CommonDPrime:
    """The most likely d-prime of several scores, its log-likelihood, and the p-value of a
    PooledDPrime; the interval takes longer than all of this."""

    value: float
    highest: float
    p_value: float


def common_d_prime(scores: Sequence[Score]) -> CommonDPrime:
    """The same as `pooled_d_prime` without an interval. Raises `InputError` without scores."""
    if not scores:
        raise InputError("there is no score to pool; give at least one.")
    value, highest = _common(scores)
    statistic = max(0.0, 2 * (sum(score.highest for score in scores) - highest))
    degrees = len(scores) - 1
    p_value = chi_square_tail(statistic, degrees) if degrees else 1.0
    return CommonDPrime(value, highest, p_value)


def joint_log_likelihood(scores: Sequence[Score]) -> Callable[[Floats], Floats]:
    """Log-likelihood of a common d-prime; scores of one method weigh as one score."""
    together = _added_up(scores)
    return lambda d_prime: np.asarray(sum(score.log_likelihood(d_prime) for score in together))


def _added_up(scores: Sequence[Score]) -> list[Score]:
    """All answers of each method as one score."""
    sums: dict[Psychometric, list[int]] = {}
    for score in scores:
        own = sums.setdefault(score.psychometric, [0, 0])
        own[0] += score.correct
        own[1] += score.n
    return [Score(correct, n, psychometric) for psychometric, (correct, n) in sums.items()]


def _common(scores: Sequence[Score]) -> tuple[float, float]:
    """Best common d-prime (between the smallest and largest single one) and its likelihood."""
    together = _added_up(scores)
    if len(together) == 1:
        return together[0].d_prime, together[0].highest
    single = [score.d_prime for score in together]
    if min(single) == max(single):
        return single[0], sum(score.highest for score in together)
    return peak(joint_log_likelihood(together), min(single), min(max(single), FAR))


def _pooled_interval(scores: Sequence[Score], common: CommonDPrime, confidence: float) -> Interval:
    """Scores of one method add up to one score, whose interval is exact."""
    together = _added_up(scores)
    if len(together) == 1:
        (one,) = together
        return d_prime(one.correct, one.n, one.psychometric, confidence).interval
    joint = joint_log_likelihood(together)

    def deviance(d: float) -> float:
        return 2 * (common.highest - float(joint(np.asarray(d))))

    cut, best = support_cut(confidence), min(common.value, FAR)
    high = deviance_end(deviance, best, FAR, cut)
    low = deviance_end(deviance, best, 0.0, cut)
    return Interval(low, high if high < FAR else inf, confidence)
