"""How far apart two drinks are for the senses: weights of the drivers, and the character gap.

Squared sensory distance = sum w_k^2 D_k^2 + 2 rho w_a w_s D_a D_s + c^2, with the character gap c
in comparisons with a reference only. It is fitted in the squared weights, q = rho w_a w_s and c^2,
in which it is linear: a weight of zero is then an ordinary bound and not a flat spot.

Whether distance grows in proportion to the step is for the answers to say: all intervals are
profiled over a power of the step (`bend`). Estimates are those in proportion, unless a likelihood
ratio rejects that; then they are those of the power that is most likely.

Likelihood ratios for a weight of zero have the null on a bound. Where q is free too, half of their
distribution is a chi-square of 1 and half of 2 degrees of freedom, else half is 0 and half has 1
(Self and Liang 1987, JASA 82:605, cases 5 and 6).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from scipy import special

from tasting.insight.noticing import identifiability
from tasting.insight.noticing.bend import InverseStep, SquaredDistance, growth
from tasting.insight.noticing.comparisons import Compared, PooledPair, pooled
from tasting.insight.noticing.design import POWERS, Distances, clusters, distances, likelihood
from tasting.insight.noticing.drivers import Driver, Reading, Scale
from tasting.insight.noticing.identifiability import NotIdentified
from tasting.stats.checks import Floats, Ints
from tasting.stats.fitting.barrier import WIDEST
from tasting.stats.fitting.fit import (
    AT_EDGE,
    Fitted,
    endless,
    estimate,
    fit,
    with_composition_uncertainty,
)
from tasting.stats.fitting.likelihood import Likelihood
from tasting.stats.fitting.profile import by_kind, linear
from tasting.stats.likelihood import chi_square_cut, chi_square_tail
from tasting.stats.results import Estimate

# A comparison moved a driver that it changed by a twentieth of the largest step tasted: where that
# is only just noticed, less is not.
_MOVED: Final = 0.05
# The search for the ends of rho stops about so far inside -1 to 1: everything is possible then.
_ANY_RHO: Final = 0.99
# A smaller likelihood ratio is how exactly the maximum is known; the estimate then is at its bound.
_NO_FALL: Final = 1e-6
# The least number, so that the logarithm of a share of 1 less itself stays finite.
_LEAST_SHARE: Final = 1e-300


@dataclass(frozen=True, slots=True)
class AgainstZero:
    """An estimate with the likelihood-ratio test of its being zero."""

    estimate: Estimate
    statistic: float
    p_value: float


@dataclass(frozen=True, slots=True)
class Weight(AgainstZero):
    """How strongly one driver is noticed: d-prime at the largest step tasted, for each unit.

    largest: that step, on the model's scale; power: of the step, by which estimates go on from it
    """

    largest: float
    power: float

    def felt(self, step: float) -> Estimate:
        """Distance at a step, as far as the power is known."""
        share = (abs(step) / self.largest) ** self.power
        ends = [self.estimate.value, self.estimate.low, self.estimate.high]
        row = np.array(ends) * self.largest * share
        return estimate(row, self.estimate.interval.confidence)

    def step(self, d_prime: float, weight: float) -> float:
        """Where a distance is reached with this weight (the estimate, or one of its ends)."""
        return float(self.largest * (d_prime / weight / self.largest) ** (1 / self.power))


@dataclass(frozen=True, slots=True)
class Distance:
    """The fitted distance.

    fitted, layout: for estimates, with a power that is fixed; bent: for intervals, with a free one
    weights: d-prime at the largest step tasted for each unit on the model's scale, by the key of
    the driver; those that are refused are left out. rho: how acid and sugar add up. gap: the
    character gap, in d-prime. power: of the step that distance grows with. spread: between
    assessors within a session, if some tasted twice.
    """

    fitted: Fitted
    bent: Fitted
    layout: Distances
    compared: tuple[PooledPair, ...]
    weights: dict[str, Weight]
    rho: Estimate | None
    gap: AgainstZero | None
    power: Estimate
    spread: Estimate | None

    @property
    def in_proportion(self) -> bool:
        """Whether estimates take distance to grow in proportion to the step."""
        return self.layout.power == 1.0

    def between(self, pairs: Sequence[tuple[Reading, Reading]], with_reference: bool) -> Floats:
        """Sensory distance of each pair: value, low and high.

        The squared gap is a part of the squared distance to a reference, so the distance reaches
        as high as the gap. The two searches differ in how errors of the compositions enter: what
        makes the gap of the drinks that were tasted larger may make another drink's distance in
        acid and sugar smaller, to first order, as if squares could fall below 0.
        """
        deltas = np.array([b.levels - a.levels for a, b in pairs])
        bent = _at_its_power(self.layout, self.bent)
        direct = bent.components(pairs, self.bent.theta)
        table = self._distances(deltas, with_reference, direct)
        if with_reference and self.gap:
            table[:, 2] = np.maximum(table[:, 2], self.gap.estimate.high)
        return table

    def curve(self, driver: int, steps: Floats) -> Floats:
        """The same for steps of one driver (its index in the layout) on the model's scale."""
        deltas = np.zeros((len(steps), max(self.layout.drivers) + 1))
        deltas[:, self.layout.drivers[driver]] = steps
        return self._distances(deltas, False, None)

    def _distances(
        self, deltas: Floats, with_reference: bool, direct: list[dict[str, float]] | None
    ) -> Floats:
        layout = replace(self.layout, power=1.0)
        factors = layout.factors(deltas, np.array(with_reference))
        table = self.bent.interval(factors, direct, SquaredDistance(layout), root=True)
        table[~factors.any(axis=1)] = 0.0
        return _around(self.expected(deltas, with_reference), table[:, 1:])

    def steps(self, d_primes: Sequence[float]) -> Floats:
        """Step of each driver of the layout at each distance, on the model's scale: value, low and
        high, infinite where there is no end."""
        layout, size = self.layout, self.layout.size
        drivers = np.repeat(np.eye(size + 1)[: len(layout.drivers)], len(d_primes), axis=0)
        drivers[:, size] = np.tile(d_primes, len(layout.drivers))
        table = self.bent.interval(drivers, None, InverseStep(layout), root=True)
        shape = len(layout.drivers), len(d_primes)
        root = np.sqrt(self.fitted.theta[: len(layout.drivers), None]) / np.array(d_primes)
        value = root ** (1 / layout.power)
        inverse = _around(value.ravel(), table[:, 1:])[:, [0, 2, 1]].reshape(*shape, 3)
        with np.errstate(divide="ignore"):
            return np.asarray(layout.scale[:, None, None] / inverse)

    def expected(self, deltas: Floats, with_reference: bool) -> Floats:
        """Estimated sensory distance for each difference, without intervals."""
        factors = self.layout.factors(deltas, np.array(with_reference))
        theta = self.fitted.theta[: self.layout.size]
        return np.sqrt(np.maximum(factors @ theta, 0.0))

    def deviance(self, theta: Floats) -> float:
        """Twice what each session's own share of correct answers gains in binomial log-likelihood
        over these parameters."""
        own = sum(
            times * float(own_share(score.counted, score.assessors * score.replicates))
            for one in self.compared
            for score, times in one.scores.items()
        )
        return 2 * (own - float(shares_alone(self.fitted.likelihood, theta[None])[0]))


def own_share(right: Floats | Ints | float, answers: float) -> Floats:
    """Binomial log-likelihood, without its constant, at the share that was right."""
    wrong = np.subtract(answers, right)
    return np.asarray(
        special.xlogy(right, np.divide(right, answers))
        + special.xlogy(wrong, np.divide(wrong, answers))
    )


def shares_alone(model: Likelihood, theta: Floats) -> Floats:
    """The same at the shares of each parameter vector, whoever gave the answers; rows with counts
    of their own for each vector are weighed by those."""
    total = np.zeros(len(theta))
    for rows in model.rows:
        share, _ = rows.shares(rows.along(theta)[0])
        right = rows.counts @ np.arange(rows.replicates + 1)
        wrong = rows.counts.sum(axis=-1) * rows.replicates - right
        each = special.xlogy(right, share) + special.xlogy(
            wrong, np.maximum(1 - share, _LEAST_SHARE)
        )
        total += each.sum(axis=1)
    return total


def fit_distance(
    compared: Sequence[Compared],
    drivers: Sequence[Driver],
    scale: Scale,
    pair: tuple[int, int] | None,
    confidence: float,
) -> tuple[Distance | None, list[NotIdentified]]:
    """The distance from all difference tests, and what they cannot tell."""
    pairs = pooled(compared)
    moving, refused = identifiability.varied(pairs, drivers, scale, "difference")
    if moving is None:
        return None, refused
    layout = distances(pairs, moving, pair)
    if not layout.size:
        return None, refused
    deltas = np.array([one.delta for one in pairs])
    tasted = _Tasted(
        pairs, deltas, np.array([one.with_reference for one in pairs], dtype=float), confidence
    )
    bent = _fit(tasted, layout)
    near = np.delete(bent.theta, layout.size)
    fitted = _fit(tasted, layout, near)
    if _not_in_proportion(fitted, bent):
        layout = _at_its_power(layout, bent)
        fitted = _fit(tasted, layout, near)
    return _read(fitted, bent, layout, pairs, drivers, refused), refused


@dataclass(frozen=True, slots=True)
class _Tasted:
    compared: tuple[PooledPair, ...]
    deltas: Floats
    with_reference: Floats
    confidence: float


def _fit(tasted: _Tasted, layout: Distances, near: Floats | None = None) -> Fitted:
    """The maximum at the power of the layout next to these parameters; without, over all powers."""
    compared = tasted.compared
    design = layout.factors(tasted.deltas, tasted.with_reference)
    model = likelihood(compared, design, growth(layout, design) if near is None else None)
    fitted = fit(model, layout.started, design, tasted.confidence, clusters(compared), near)
    at = _at_its_power(layout, fitted)
    known = at.components([(one.a, one.b) for one in compared], fitted.theta)
    return with_composition_uncertainty(fitted, known)


def _at_its_power(layout: Distances, fitted: Fitted) -> Distances:
    """The layout with the power that was fitted, if one was."""
    if not fitted.likelihood.bends:
        return layout
    return replace(layout, power=float(fitted.theta[layout.size]))


def _not_in_proportion(straight: Fitted, bent: Fitted) -> bool:
    """Whether a likelihood ratio rejects that distance grows in proportion to the step."""
    widened = float(bent.inflation(bent.unit(straight.likelihood.size))[0])
    return 2 * (bent.value - straight.value) > widened * chi_square_cut(bent.confidence)


def _around(values: Floats, ends: Floats) -> Floats:
    """Estimates with their intervals; these hold them, which the search may miss by its rounding
    where the estimate, in proportion, is only just likely enough."""
    low, high = np.minimum(ends[:, 0], values), np.maximum(ends[:, 1], values)
    return np.column_stack([values, low, high])


def _read(
    fitted: Fitted,
    bent: Fitted,
    layout: Distances,
    compared: tuple[PooledPair, ...],
    drivers: Sequence[Driver],
    refused: list[NotIdentified],
) -> Distance:
    size = layout.size
    every, rho_ends = _intervals(bent, layout)
    table = _around(np.sqrt(np.maximum(fitted.theta[:size], 0.0)), every[:size, 1:])
    weights = {}
    for index, owner in enumerate(layout.drivers):
        why = _refused(fitted, layout, compared, drivers, index, table[index])
        if why:
            refused.append(why)
        else:
            row = table[index] / layout.scale[index]
            weights[drivers[owner].key] = _against_zero(fitted, layout, index, row)
    rho = _rho(fitted, rho_ends, layout, refused)
    gap = _gap(fitted, layout, table, refused)
    power = estimate(
        _around(np.array([layout.power]), np.clip(every[size : size + 1, 1:] ** 2, *POWERS))[0],
        bent.confidence,
    )
    square = every[-1] ** 2
    spread = estimate(np.where(square > AT_EDGE * WIDEST, 1.0, square), bent.confidence)
    return Distance(
        fitted,
        bent,
        layout,
        compared,
        weights,
        rho,
        gap,
        power,
        spread if bent.likelihood.spread else None,
    )


def _intervals(bent: Fitted, layout: Distances) -> tuple[Floats, Floats]:
    """Of the root of every parameter, and of rho where there is a pair; searched for together,
    because the time goes into steps and not into rows."""
    count = bent.likelihood.parameters
    factors = np.column_stack([np.eye(count), np.ones(count)])
    if not layout.pair:
        return bent.interval(factors[:, :-1], root=True), np.empty((0, 3))
    rho = np.append(bent.unit(layout.q_index), [[2.0]], axis=1)
    root = np.arange(count + 1) < count
    kind = by_kind(linear, layout.correlation)
    table = bent.interval(np.concatenate([factors, rho]), quantity=kind, root=root)
    return table[:-1], table[-1:]


def _refused(
    fitted: Fitted,
    layout: Distances,
    compared: Sequence[PooledPair],
    drivers: Sequence[Driver],
    index: int,
    row: Floats,
) -> NotIdentified | None:
    driver = drivers[layout.drivers[index]]
    key, name = driver.key, driver.name
    if not fitted.explores(index):
        others = [drivers[owner].name for owner in _along(layout, compared, index)]
        return identifiability.confounded(key, name, others)
    if not endless(row[2] ** 2):
        return None
    moving = [one for one in compared if _moves(layout, one, index)]
    all_right = all(one.count == one.n for one in moving)
    return identifiability.no_upper_end(key, name, all_right)


def _moves(layout: Distances, one: PooledPair, index: int) -> bool:
    share = abs(one.delta[layout.drivers[index]]) / layout.scale[index]
    return bool(share > _MOVED)


def _along(layout: Distances, compared: Sequence[PooledPair], index: int) -> list[int]:
    """Drivers that moved whenever this one did."""
    moving = [one for one in compared if _moves(layout, one, index)]
    return [
        owner
        for other, owner in enumerate(layout.drivers)
        if other != index and all(_moves(layout, one, other) for one in moving)
    ]


def _against_zero(fitted: Fitted, layout: Distances, index: int, row: Floats) -> Weight:
    gone = layout.dropped(index)
    free = len(gone) > 1 and fitted.explores(layout.q_index)
    statistic = fitted.likelihood_ratio(gone, layout.without(index).started)
    p_value = _mixed_tail(statistic, 1 + free)
    # Without the weight q is gone too: two parameters fall, so the usual cut would shut out a
    # weight of zero too often (held 90 % of the time instead of 95 %).
    kept = row * [1, p_value <= 1 - fitted.confidence, 1]
    known, largest = estimate(kept, fitted.confidence), float(layout.scale[index])
    return Weight(known, statistic, p_value, largest, layout.power)


def _mixed_tail(statistic: float, degrees: int) -> float:
    """Half a chi-square of so many degrees of freedom, half of one fewer (of 0: a mass at 0)."""
    fewer = chi_square_tail(statistic, degrees - 1) if degrees > 1 else float(statistic < _NO_FALL)
    return (chi_square_tail(statistic, degrees) + fewer) / 2


def _rho(
    fitted: Fitted, ends: Floats, layout: Distances, refused: list[NotIdentified]
) -> Estimate | None:
    if not layout.pair:
        return None
    explored = fitted.explores(layout.q_index)
    value, _ = layout.correlation(fitted.theta[None], fitted.unit(layout.q_index))
    row = _around(value, ends[:, 1:])[0]
    if not explored or (row[1] < -_ANY_RHO and row[2] > _ANY_RHO):
        refused.append(identifiability.rho_unknown(explored))
        return None
    return estimate(np.clip(row, -1.0, 1.0), fitted.confidence)


def _gap(
    fitted: Fitted, layout: Distances, table: Floats, refused: list[NotIdentified]
) -> AgainstZero | None:
    index = layout.size - 1
    if not layout.gap or not fitted.explores(index):
        refused.append(identifiability.gap_unknown(tasted=layout.gap))
        return None
    if endless(table[index, 2] ** 2):
        refused.append(identifiability.gap_open())
        return None
    statistic = fitted.likelihood_ratio([index], replace(layout, gap=False).started)
    kept = estimate(table[index], fitted.confidence)
    return AgainstZero(kept, statistic, _mixed_tail(statistic, 1))
