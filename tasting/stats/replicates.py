"""Repeated tastings by the same assessors: the beta-binomial model.

Assessor i answers correctly with a probability of their own, c + (1 - c) P_i, where c is the
chance of guessing (0 for the plain model) and P_i follows a beta distribution of mean mu and
spread gamma = 1/(a + b + 1) from 0 (all alike) towards 1 (all or none) (Brockhoff 2003, Food Qual
Prefer 14:405; Bi 2006, Sensory Discrimination Tests and Measurements). With theta =
gamma/(1 - gamma) the plain probability of x in r is

    C(r, x) prod_{k<x} (mu + k theta) prod_{k<r-x} (1 - mu + k theta) / prod_{k<r} (1 + k theta),

which needs no gamma function and holds at gamma = 0. With chance, x correct answers are i that
came from noticing and x - i lucky guesses, summed over i.

If nobody notices, every answer is right with probability c whoever gives it: the pooled count then
is binomial and the ordinary test of difference keeps its level (ISO 10399). Similarity and
preference do not have that protection.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import special

from tasting.errors import InputError
from tasting.stats.checks import (
    Floats,
    Ints,
    check_beta,
    check_between,
    check_chance,
    check_confidence,
    check_counts,
)
from tasting.stats.likelihood import (
    Surface,
    chi_square_tail,
    deviance_end,
    peak,
    profile,
    support_cut,
)
from tasting.stats.results import Estimate, Interval

# Beyond this spread the model is all-or-none for every purpose; at exactly 1 theta is infinite.
_WIDEST = 1 - 1e-6
# Likelihood ratios below this are rounding: the spread then is 0.
_SAME_FIT = 1e-9


@dataclass(frozen=True, slots=True)
class Replicates:
    """Fitted beta-binomial model.

    `mu` is the mean share (with chance: the share who notice, p_d), `gamma` the spread between
    assessors, both with profile-likelihood intervals. `statistic` is the likelihood ratio against
    gamma = 0; that null lies on the boundary, so half of its chi-square is a mass at 0 and
    `p_value` is halved (Self and Liang 1987, JASA 82:605).
    """

    mu: Estimate
    gamma: Estimate
    log_likelihood: float
    statistic: float
    p_value: float
    assessors: int
    replicates: int
    chance: float


@dataclass(frozen=True, slots=True)
class _Model:
    """How many assessors had 0, 1, ..., r correct."""

    assessors: Ints
    chance: float

    @property
    def replicates(self) -> int:
        return self.assessors.size - 1

    def log_likelihood(self, mu: Floats, gamma: Floats) -> Floats:
        """Of every pair of mu and gamma, as broadcast."""
        rows = log_probabilities(self.replicates, mu, gamma, self.chance)
        with np.errstate(invalid="ignore"):
            terms = np.where(self.assessors > 0, self.assessors * rows, 0.0)
        return np.asarray(terms.sum(axis=-1))


def log_probabilities(replicates: int, mu: Floats, gamma: Floats, chance: float = 0.0) -> Floats:
    """Log-probabilities of 0, 1, ..., r correct answers by one assessor, along the last axis."""
    mu, gamma = np.broadcast_arrays(mu, np.minimum(gamma, _WIDEST))
    theta = gamma / (1 - gamma)
    right, wrong = _rising(mu, theta, replicates), _rising(1 - mu, theta, replicates)
    every = _rising(np.ones_like(mu), theta, replicates)
    noticed, weight = guessing(replicates, chance)
    with np.errstate(invalid="ignore"):
        terms = weight + right[..., noticed] + wrong[..., replicates - noticed]
    return special.logsumexp(terms, axis=-1) - every[..., -1:]


def _rising(start: Floats, step: Floats, count: int) -> Floats:
    """ln of start (start + step) ... with 0, 1, ..., count factors."""
    factors = start[..., None] + step[..., None] * np.arange(count)
    with np.errstate(divide="ignore"):
        logs = np.cumsum(np.log(factors), axis=-1)
    return np.concatenate([np.zeros((*start.shape, 1)), logs], axis=-1)


@lru_cache(maxsize=64)
def guessing(replicates: int, chance: float) -> tuple[Ints, Floats]:
    """Every way to x correct: i noticed, x - i lucky, r - x unlucky; and its log-weight.

    Row x, column i; a column beyond x weighs nothing.
    """
    x, i = np.mgrid[0 : replicates + 1, 0 : replicates + 1]
    possible = i <= x
    i = np.minimum(i, x)
    ways = special.binom(replicates, x) * special.binom(x, i)
    weight = ways * chance ** (x - i) * (1 - chance) ** (replicates - x)
    with np.errstate(divide="ignore"):
        return i, np.where(possible, np.log(weight), -np.inf)


def fit_replicates(
    correct: Sequence[int],
    replicates: int,
    chance: float = 0.0,
    confidence: float = 0.95,
) -> Replicates:
    """Mean and spread of the assessors from each one's number of correct answers.

    With `chance` above 0 the model is corrected for guessing and mu is p_d. Where mu is estimated
    as 0 the data say nothing about gamma, which is then 0 with an interval up to 1.

    Raises `InputError` for fewer than 2 replicates, impossible counts, or no assessor.
    """
    model = _model(correct, replicates, chance)
    cut = support_cut(check_confidence(confidence))
    gamma, highest = peak(lambda g: profile(_by_gamma(model), g, 0, 1), 0, _WIDEST)
    alike = float(profile(_by_gamma(model), np.zeros(1), 0, 1)[0])
    statistic = max(0.0, 2 * (highest - alike))
    gamma = gamma if statistic > _SAME_FIT else 0.0
    mu, _ = peak(lambda m: model.log_likelihood(m, np.asarray(gamma)), 0, 1)
    return Replicates(
        Estimate(mu, Interval(*_ends(_by_mu(model), mu, 1.0, highest, cut), confidence)),
        Estimate(
            gamma, Interval(*_ends(_by_gamma(model), gamma, _WIDEST, highest, cut), confidence)
        ),
        log_likelihood=highest,
        statistic=statistic,
        p_value=chi_square_tail(statistic, 1) / 2 if statistic > _SAME_FIT else 1.0,
        assessors=len(correct),
        replicates=model.replicates,
        chance=chance,
    )


def _by_gamma(model: _Model) -> Surface:
    return lambda gamma, mu: model.log_likelihood(mu, gamma)


def _by_mu(model: _Model) -> Surface:
    return lambda mu, gamma: model.log_likelihood(mu, gamma * _WIDEST)


def _ends(
    surface: Surface, best: float, limit: float, highest: float, cut: float
) -> tuple[float, float]:
    def deviance(value: float) -> float:
        return 2 * (highest - float(profile(surface, np.array([value]), 0, 1)[0]))

    high = deviance_end(deviance, best, limit, cut)
    return deviance_end(deviance, best, 0.0, cut), high if high < _WIDEST else 1.0


def _model(correct: Sequence[int], replicates: int, chance: float) -> _Model:
    if chance:
        check_chance(chance)
    if replicates < 2:
        raise InputError(
            f"replicates is {replicates}; at least 2 tastings by each assessor are needed."
        )
    if not len(correct):
        raise InputError("there is no assessor; give at least one count.")
    counts, _ = check_counts(correct, replicates)
    return _Model(np.bincount(counts, minlength=replicates + 1), chance)


def replicated_limit(
    correct: Sequence[int], replicates: int, chance: float, beta: float = 0.05
) -> float:
    """One-sided 1 - beta upper limit of p_d that allows for the spread between assessors.

    The way to similarity from replicated answers. Profile likelihood; raises as `fit_replicates`.
    """
    return fit_replicates(correct, replicates, chance, 1 - 2 * check_beta(beta)).mu.high


def variance_inflation(replicates: int, gamma: float) -> float:
    """How much wider than binomial the pooled count of r replicates is: 1 + (r - 1) gamma.

    Raises `InputError` for fewer than 1 replicate or a gamma outside 0 to 1.
    """
    check_between("replicates", replicates, 1, 1000, closed=True)
    return 1 + (replicates - 1) * check_between("gamma", gamma, 0, 1, closed=True)


def sign_change_p_value(excesses: Sequence[int], sides: int = 2) -> float:
    """P(total at least as large) if each excess keeps its size and takes either sign.

    Two-sided, the total's size is compared; one-sided, the total itself (Fisher 1935, The Design of
    Experiments, section 21). Exact where people differ without a common direction.
    """
    chances = _signed_totals([abs(excess) for excess in excesses])
    totals = np.arange(chances.size) - (chances.size - 1) // 2
    seen = sum(excesses)
    extreme = np.abs(totals) >= abs(seen) if sides == 2 else totals >= seen
    return min(1.0, float(chances[extreme].sum()))


def _signed_totals(sizes: Sequence[int]) -> Floats:
    """Probabilities of every total, from the least to the greatest, if signs are drawn."""
    chances = np.ones(1)
    for size in sizes:
        moved = np.zeros(chances.size + 2 * size)
        moved[: chances.size] += chances / 2
        moved[2 * size :] += chances / 2
        chances = moved
    return chances
