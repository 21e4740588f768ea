"""Likelihood of the answers of many sessions, its slope and its information, for many parameter
vectors at once.

Each row is a group of assessors of one session who tasted equally often. Its predictor is linear in
the parameters: a signed lead, or a squared sensory distance. The squared distance is what makes the
model regular where a weight is zero: a triangle's share correct has slope 0 in the distance there,
but 1/(2 pi sqrt 3) in its square. It may bend: then each factor is raised to a power that all
rows share, which is one more parameter.

Answers of one assessor within a session are beta-binomial: noticing is (for methods with a correct
answer, corrected for guessing) a share of the assessor's own, with mean from the model and a spread
common to all (Brockhoff 2003, Food Qual Prefer 14:405). The information is the expected one of the
multinomial counts, so a step along it always climbs (Fisher scoring).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from tasting.stats.checks import Floats, Ints
from tasting.stats.psychometric import Psychometric
from tasting.stats.replicates import guessing

# Below this distance the slope in its square is constant to 1e-8; it keeps 0/0 away.
NEAR: Final = 1e-4
# The least number: what the model holds for impossible, and was seen, costs 690 in log-likelihood.
_IMPOSSIBLE: Final = 1e-300
# Keeps the slope of a product that holds a zero finite.
_LEAST: Final = 1e-14


@dataclass(frozen=True, slots=True)
class Rows:
    """Rows of one psychometric function and one number of tastings for each assessor.

    design: a row of factors each; counts: how many assessors had 0, 1, ..., r counted answers, with
    leading axes if there are many data sets; squared: whether the predictor is a squared distance;
    lead: -1 where a counted answer speaks for A; which: index of the comparison it comes from.
    bend: None, or for each factor what its logarithm grows by for each unit of the power
    """

    psychometric: Psychometric
    squared: bool
    design: Floats
    counts: Floats
    lead: Floats
    which: Ints
    bend: Floats | None = None

    @property
    def replicates(self) -> int:
        """Tastings of each assessor."""
        return int(self.counts.shape[-1]) - 1

    def along(self, theta: Floats) -> tuple[Floats, Floats]:
        """Predictor of each row at each parameter vector, and its slopes in the parameters."""
        size = self.design.shape[1]
        if self.bend is None:
            return theta[:, :size] @ self.design.T, self.design[None]
        factors = bent(self.design, self.bend, theta[:, size, None, None])
        parts = theta[:, None, :size] * factors
        steepness = (parts * self.bend).sum(axis=-1, keepdims=True)
        return parts.sum(axis=-1), np.concatenate([factors, steepness], axis=-1)

    def shares(self, predictor: Floats) -> tuple[Floats, Floats]:
        """Probability that one answer counts, and its slope in the predictor."""
        if self.squared:
            distance = np.sqrt(np.maximum(predictor, NEAR**2))
            slope = self.psychometric.derivative(distance) / (2 * distance)
            return self.psychometric.function(distance), slope
        signed = self.lead * predictor
        return self.psychometric.function(signed), self.lead * self.psychometric.derivative(signed)

    def pooled(self) -> "Rows":
        """The same with one row for each different row of factors: the likelihood is the same."""
        both = np.column_stack([self.design, self.lead])
        _, first, owner = np.unique(both, axis=0, return_index=True, return_inverse=True)
        counts = np.zeros((len(first), self.counts.shape[-1]))
        np.add.at(counts, owner.ravel(), self.counts)
        return replace(
            self,
            design=self.design[first],
            counts=counts,
            lead=self.lead[first],
            which=self.which[first],
            bend=None if self.bend is None else self.bend[first],
        )


def bent(factors: Floats, bend: Floats, power: Floats) -> Floats:
    """Factors for a power of 1 as they are for another."""
    return np.asarray(factors * np.exp((power - 1) * bend))


@dataclass(frozen=True, slots=True)
class Slopes:
    """Log-likelihood, score and information at each parameter vector."""

    value: Floats
    score: Floats
    information: Floats


@dataclass(frozen=True, slots=True)
class Likelihood:
    """All rows of one fit. `size` parameters enter the predictor as they are; then comes the power,
    if it may bend; `spread` says whether one more, the last, is the spread between assessors (only
    there if somebody tasted twice)."""

    rows: tuple[Rows, ...]
    size: int
    spread: bool

    @property
    def parameters(self) -> int:
        """Number of parameters."""
        return self.size + self.bends + self.spread

    @property
    def bends(self) -> bool:
        """Whether a power is among the parameters."""
        return self.rows[0].bend is not None

    def __call__(self, theta: Floats) -> Slopes:
        """At each row of `theta`."""
        spread = theta[:, -1:] if self.spread else np.zeros((len(theta), 1))
        parts = [_slopes(rows, theta, spread, self.spread) for rows in self.rows]
        return Slopes(
            np.asarray(sum(part.value for part in parts)),
            np.asarray(sum(part.score for part in parts)),
            np.asarray(sum(part.information for part in parts)),
        )

    def pooled(self) -> "Likelihood":
        """The same likelihood from as few rows as there are different comparisons."""
        return Likelihood(tuple(rows.pooled() for rows in self.rows), self.size, self.spread)

    def weights(self, theta: Floats) -> Floats:
        """Information on the predictor of each comparison, at one parameter vector."""
        spread = theta[-1:, None] if self.spread else np.zeros((1, 1))
        weights = np.zeros(1 + max(int(rows.which.max()) for rows in self.rows))
        for rows in self.rows:
            share, slope = rows.shares(rows.along(theta[None])[0])
            chances, by_share, _ = categories(rows, share, spread)
            each = slope[0] ** 2 * (by_share[0] ** 2 / chances[0]).sum(axis=-1)
            np.add.at(weights, rows.which, rows.counts.sum(axis=-1) * each)
        return weights

    def slopes(self, theta: Floats) -> Floats:
        """Slopes of the predictor of each comparison, at one parameter vector."""
        slopes = np.zeros(
            (1 + max(int(rows.which.max()) for rows in self.rows), self.size + self.bends)
        )
        for rows in self.rows:
            slopes[rows.which] = rows.along(theta[None])[1][0]
        return slopes

    def without(self, columns: Sequence[int]) -> "Likelihood":
        """The same rows without some of the factors."""
        rows = tuple(replace(r, design=np.delete(r.design, columns, 1)) for r in self.rows)
        return Likelihood(rows, self.size - len(columns), self.spread)


def _slopes(rows: Rows, theta: Floats, spread: Floats, spreads: bool) -> Slopes:
    predictor, along = rows.along(theta)
    share, slope = rows.shares(predictor)
    chances, by_share, by_spread = categories(rows, share, spread)
    ratio = rows.counts / chances
    assessors = rows.counts.sum(axis=-1)
    value = (rows.counts * np.log(chances)).sum(axis=(-2, -1))
    to_predictor = slope * (ratio * by_share).sum(axis=-1)
    score = (to_predictor[:, None] @ along)[:, 0]
    weight = assessors * slope**2 * (by_share**2 / chances).sum(axis=-1)
    information = np.swapaxes(along, 1, 2) @ (weight[:, :, None] * along)
    if not spreads:
        return Slopes(value, score, information)
    to_spread = (ratio * by_spread).sum(axis=(-2, -1))
    both = assessors * slope * (by_share * by_spread / chances).sum(axis=-1)
    cross = (both[:, None] @ along)[:, 0]
    own = (assessors * (by_spread**2 / chances).sum(axis=-1)).sum(axis=-1)
    return Slopes(value, np.column_stack([score, to_spread]), _bordered(information, cross, own))


def _bordered(information: Floats, cross: Floats, own: Floats) -> Floats:
    top = np.concatenate([information, cross[:, :, None]], axis=2)
    bottom = np.concatenate([cross, own[:, None]], axis=1)[:, None, :]
    return np.concatenate([top, bottom], axis=1)


def categories(rows: Rows, share: Floats, spread: Floats) -> tuple[Floats, Floats, Floats]:
    """Probabilities of 0, 1, ..., r counted answers by one assessor along the last axis, and their
    slopes in the share of counted answers and in the spread."""
    chance = rows.psychometric.chance if rows.squared else 0.0
    if rows.replicates == 1:
        pair = np.stack([1 - share, share], axis=-1)
        steady = np.broadcast_to(np.array([-1.0, 1.0]), pair.shape)
        return np.maximum(pair, _IMPOSSIBLE), steady, np.zeros_like(pair)
    mean = np.clip((share - chance) / (1 - chance), _LEAST, 1 - _LEAST)
    noticed, by_mean, by_theta = _noticed(mean, spread / (1 - spread), rows.replicates)
    ways = np.exp(guessing(rows.replicates, chance)[1].T)
    return (
        np.maximum(noticed @ ways, _IMPOSSIBLE),
        by_mean @ ways / (1 - chance),
        by_theta @ ways / ((1 - spread) ** 2)[..., None],
    )


def _noticed(mean: Floats, theta: Floats, replicates: int) -> tuple[Floats, Floats, Floats]:
    """Probability of one given set of i = 0, ..., r noticed tastings, with its slopes in the mean
    and in theta = spread/(1 - spread): mean(mean + theta)...; no gamma function, exact at 0."""
    up, up_mean, up_theta = _rising(mean, theta, replicates)
    down, down_mean, down_theta = (part[..., ::-1] for part in _rising(1 - mean, theta, replicates))
    whole, _, whole_theta = (part[..., -1:] for part in _rising(1.0, theta, replicates))
    noticed = up * down / whole
    by_mean = (up_mean * down - up * down_mean) / whole
    by_theta = (up_theta * down + up * down_theta - noticed * whole_theta) / whole
    return noticed, by_mean, by_theta


def _rising(start: Floats | float, step: Floats, count: int) -> tuple[Floats, Floats, Floats]:
    """start (start + step) ... with 0, 1, ..., count factors; slopes in start and in step."""
    turns = np.arange(count)
    factors = np.add(start, 0 * step)[..., None] + step[..., None] * turns
    value, by_start, by_step = np.zeros((3, *factors.shape[:-1], count + 1))
    value[..., 0] = 1.0
    inverse = 1 / factors
    np.cumprod(factors, axis=-1, out=value[..., 1:])
    np.cumsum(inverse, axis=-1, out=by_start[..., 1:])
    np.cumsum(inverse * turns, axis=-1, out=by_step[..., 1:])
    return value, by_start * value, by_step * value
