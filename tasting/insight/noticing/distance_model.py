"""How far apart two drinks are for the senses: weights of the drivers, and the character gap.

Squared sensory distance = sum w_k^2 D_k^2 + 2 rho w_a w_s D_a D_s + c^2, with the character gap c
in comparisons with a reference only. It is fitted in the squared weights, q = rho w_a w_s and c^2,
in which it is linear: a weight of zero is then an ordinary bound and not a flat spot.

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
from tasting.insight.noticing.comparisons import ComparedPair
from tasting.insight.noticing.design import Distances, clusters, distances, likelihood
from tasting.insight.noticing.drivers import Driver, Reading, Scale
from tasting.insight.noticing.identifiability import NotIdentified
from tasting.stats.checks import Floats
from tasting.stats.fitting.barrier import WIDEST
from tasting.stats.fitting.fit import (
    AT_EDGE,
    Fitted,
    endless,
    estimate,
    fit,
    with_composition_uncertainty,
)
from tasting.stats.fitting.likelihood import Rows
from tasting.stats.likelihood import chi_square_tail
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
class Distance:
    """The fitted distance.

    weights: d-prime for each unit on the model's scale, by the key of the driver; those that are
    refused are left out. rho: how acid and sugar add up. gap: the character gap, in d-prime.
    spread: between assessors within a session, if some tasted twice.
    """

    fitted: Fitted
    layout: Distances
    compared: tuple[ComparedPair, ...]
    weights: dict[str, AgainstZero]
    rho: Estimate | None
    gap: AgainstZero | None
    spread: Estimate | None

    def between(self, pairs: Sequence[tuple[Reading, Reading]], with_reference: bool) -> Floats:
        """Sensory distance of each pair: value, low and high."""
        deltas = np.array([b.levels - a.levels for a, b in pairs])
        factors = self.layout.factors(deltas, np.array(with_reference))
        direct = [self.layout.components(a, b, self.fitted.theta) for a, b in pairs]
        return self.fitted.interval(factors, direct, root=True)

    def expected(self, deltas: Floats, with_reference: bool) -> Floats:
        """Estimated sensory distance for each difference, without intervals."""
        factors = self.layout.factors(deltas, np.array(with_reference))
        theta = self.fitted.theta[: self.layout.size]
        return np.sqrt(np.maximum(factors @ theta, 0.0))

    def deviance(self, theta: Floats) -> Floats:
        """Twice what each session's own share of correct answers gains in binomial log-likelihood,
        for each parameter vector and its own counts, if there are many data sets."""
        total = np.zeros(len(theta))
        for rows in self.fitted.each.rows:
            total += _own_share_gain(rows, theta[:, : self.layout.size])
        return total


def _own_share_gain(rows: Rows, theta: Floats) -> Floats:
    """The part of the deviance that these rows bring."""
    share, _ = rows.shares(theta @ rows.design.T)
    answers = rows.counts.sum(axis=-1) * rows.replicates
    right = rows.counts @ np.arange(rows.replicates + 1)
    own = right / answers
    gain = special.xlogy(right, own / share) + special.xlogy(
        answers - right, (1 - own) / np.maximum(1 - share, _LEAST_SHARE)
    )
    return np.asarray(2 * np.broadcast_to(gain, share.shape).sum(axis=1))


def fit_distance(
    compared: Sequence[ComparedPair],
    drivers: Sequence[Driver],
    scale: Scale,
    pair: tuple[int, int] | None,
    confidence: float,
) -> tuple[Distance | None, list[NotIdentified]]:
    """The distance from all difference tests, and what they cannot tell."""
    moving, refused = identifiability.varied(compared, drivers, scale, "difference")
    if moving is None:
        return None, refused
    layout = distances(compared, moving, pair)
    if not layout.size:
        return None, refused
    fitted = _fit(compared, layout, confidence)
    return _read(fitted, layout, tuple(compared), drivers, refused), refused


def _fit(compared: Sequence[ComparedPair], layout: Distances, confidence: float) -> Fitted:
    deltas = np.array([one.delta for one in compared])
    design = layout.factors(deltas, np.array([one.with_reference for one in compared]))
    model = likelihood(compared, design)
    fitted = fit(model, layout.started, design, confidence, clusters(compared))
    pairs = {(id(one.a), id(one.b)): (one.a, one.b) for one in compared}
    known = {key: layout.components(a, b, fitted.theta) for key, (a, b) in pairs.items()}
    return with_composition_uncertainty(fitted, [known[id(one.a), id(one.b)] for one in compared])


def _read(
    fitted: Fitted,
    layout: Distances,
    compared: tuple[ComparedPair, ...],
    drivers: Sequence[Driver],
    refused: list[NotIdentified],
) -> Distance:
    size = fitted.likelihood.parameters
    table = fitted.interval(np.eye(size), root=True)
    weights = {}
    for index, owner in enumerate(layout.drivers):
        why = _refused(fitted, layout, compared, drivers, index, table[index])
        if why:
            refused.append(why)
        else:
            row = table[index] / layout.scale[index]
            weights[drivers[owner].key] = _against_zero(fitted, layout, index, row)
    rho = _rho(fitted, layout, refused)
    gap = _gap(fitted, layout, table, refused)
    square = table[-1] ** 2
    spread = estimate(np.where(square > AT_EDGE * WIDEST, 1.0, square), fitted.confidence)
    return Distance(
        fitted, layout, compared, weights, rho, gap, spread if fitted.likelihood.spread else None
    )


def _refused(
    fitted: Fitted,
    layout: Distances,
    compared: Sequence[ComparedPair],
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
    if all(one.count == one.n for one in moving):
        return identifiability.separation(key, name)
    return identifiability.too_uncertain(key, name)


def _moves(layout: Distances, one: ComparedPair, index: int) -> bool:
    share = abs(one.delta[layout.drivers[index]]) / layout.scale[index]
    return bool(share > _MOVED)


def _along(layout: Distances, compared: Sequence[ComparedPair], index: int) -> list[int]:
    """Drivers that moved whenever this one did."""
    moving = [one for one in compared if _moves(layout, one, index)]
    return [
        owner
        for other, owner in enumerate(layout.drivers)
        if other != index and all(_moves(layout, one, other) for one in moving)
    ]


def _against_zero(fitted: Fitted, layout: Distances, index: int, row: Floats) -> AgainstZero:
    gone = layout.dropped(index)
    free = len(gone) > 1 and fitted.explores(layout.q_index)
    statistic = fitted.likelihood_ratio(gone, layout.without(index).started)
    p_value = _mixed_tail(statistic, 1 + free)
    # Without the weight q is gone too: two parameters fall, so the usual cut would shut out a
    # weight of zero too often (held 90 % of the time instead of 95 %).
    kept = row * [1, p_value <= 1 - fitted.confidence, 1]
    return AgainstZero(estimate(kept, fitted.confidence), statistic, p_value)


def _mixed_tail(statistic: float, degrees: int) -> float:
    """Half a chi-square of so many degrees of freedom, half of one fewer (of 0: a mass at 0)."""
    fewer = chi_square_tail(statistic, degrees - 1) if degrees > 1 else float(statistic < _NO_FALL)
    return (chi_square_tail(statistic, degrees) + fewer) / 2


def _rho(fitted: Fitted, layout: Distances, refused: list[NotIdentified]) -> Estimate | None:
    if not layout.pair:
        return None
    explored = fitted.explores(layout.q_index)
    row = fitted.interval(fitted.unit(layout.q_index), quantity=layout.correlation)[0]
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
        refused.append(identifiability.separation("character gap", "the character gap"))
        return None
    statistic = fitted.likelihood_ratio([index], replace(layout, gap=False).started)
    kept = estimate(table[index], fitted.confidence)
    return AgainstZero(kept, statistic, _mixed_tail(statistic, 1))
