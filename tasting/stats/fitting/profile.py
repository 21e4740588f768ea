"""The ends of a likelihood region, in the direction of any quantity.

An end of a profile-likelihood interval is the farthest a quantity can go while the log-likelihood
stays above its maximum less half the chi-square quantile. That is again a climb, towards the
quantity, with a barrier on the likelihood as well: no nested search, and no trouble at the bounds.
The weight mu of that barrier says how far it stops short of the end, so mu is added.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tasting.stats.checks import Floats, Ints
from tasting.stats.fitting.barrier import Bounds, first_root
from tasting.stats.fitting.likelihood import Likelihood, Slopes
from tasting.stats.fitting.maximise import LOWER, MOST_STEPS, Optimum, solve

# Halvings on the way back from a start outside the likelihood region to its maximum, which lies
# inside: after 40 the two are one in double precision.
_BACK: Final = 40
# Of what the log-likelihood may fall a start leaves so much: nearer to the edge the barrier there
# is so steep that the first steps go sideways.
_LEFT_AT_START: Final = 0.2
# The first weight is the quantity's standard error, so that quantity and barrier pull alike, within
# limits where the information is too small, or too large, to say. The last, over the first, is how
# well an end is known.
_FIRST: Final = (1e-2, 10.0)
_LAST: Final = 1e-4
# A step that makes the aim fall by more than rounding is halved; after so many halvings (to 2e-6)
# it is left out, and the weight is lowered where the row stands.
_HALVINGS: Final = 19
_SAME: Final = 1e-7
# The weight is lowered when a step gains less than this in the aim: the next weight moves its
# optimum by more.
_NEAR: Final = 1.0
# Of what the log-likelihood may still fall a step uses so much (see `barrier`).
_USED: Final = 0.9
_LEAST: Final = 1e-300

Quantity = Callable[[Floats, Floats], tuple[Floats, Floats]]
"""Value and gradient of a quantity at each row of parameters, times a row of factors."""


def linear(theta: Floats, factors: Floats) -> tuple[Floats, Floats]:
    """The sum of the parameters times the factors."""
    return (theta * factors).sum(axis=1), factors


def by_kind(*quantities: Quantity) -> Quantity:
    """Different quantities of the same parameters: a last column more of the factors says which is
    meant, 1 for the first, with the sign of the others."""

    def quantity(theta: Floats, factors: Floats) -> tuple[Floats, Floats]:
        rows, kind = np.arange(len(theta)), np.abs(factors[:, -1]).astype(int) - 1
        values, slopes = zip(*(each(theta, factors[:, :-1]) for each in quantities), strict=True)
        return np.array(values)[kind, rows], np.array(slopes)[kind, rows]

    return quantity


def profile_interval(
    likelihood: Likelihood,
    bounds: Bounds,
    summit: Optimum,
    factors: Floats,
    cuts: Floats,
    quantity: Quantity = linear,
) -> Floats:
    """Lower and upper end of a quantity for each row of factors, from one data set.

    cuts: how far twice the log-likelihood may fall, for each row. An end at a bound of the
    quantity is that bound. Shape: rows x 2.
    """
    search = _start(likelihood, bounds, summit, factors, cuts, quantity)
    reached = np.full(2 * len(factors), np.nan)
    for _ in range(MOST_STEPS):
        done = _step(likelihood, bounds, search)
        reached[search.indices[done]] = search.ends()[done]
        search.keep(~done)
        if not len(search.indices):
            break
    reached[search.indices] = search.ends()
    low, high = np.split(reached, 2)
    return np.column_stack([-low, high])


@dataclass(slots=True)
class _Search:
    """Rows on their way outward, with a barrier of the weight `mu` on the likelihood too.

    indices: which of the ends wanted each row is; last: the lowest mu
    """

    indices: Ints
    theta: Floats
    here: Slopes
    towards: Floats
    target: Floats
    mu: Floats
    last: Floats
    quantity: Quantity

    @property
    def slack(self) -> Floats:
        """How far the log-likelihood still may fall."""
        return self.here.value - self.target

    def ends(self) -> Floats:
        """The ends as far as known. The barrier on the likelihood stops short of it by mu."""
        at, _ = self.quantity(self.theta, self.towards)
        return np.asarray(at + self.mu)

    def keep(self, rows: NDArray[np.bool_]) -> None:
        """Go on with these rows only."""
        for name in ("indices", "theta", "towards", "target", "mu", "last"):
            setattr(self, name, getattr(self, name)[rows])
        here = self.here
        self.here = Slopes(here.value[rows], here.score[rows], here.information[rows])


def _start(
    likelihood: Likelihood,
    bounds: Bounds,
    summit: Optimum,
    factors: Floats,
    cuts: Floats,
    quantity: Quantity,
) -> _Search:
    towards = np.concatenate([-factors, factors])
    target = summit.slopes.value[0] - np.concatenate([cuts, cuts]) / 2
    best = np.repeat(summit.theta, len(towards), axis=0)
    theta = bounds.interior_point(best)
    for _ in range(_BACK):
        here = likelihood(theta)
        outside = here.value - target < _LEFT_AT_START * (summit.slopes.value[0] - target)
        if not outside.any():
            break
        theta = np.where(outside[:, None], (theta + best) / 2, theta)
    _, gradient = quantity(theta, towards)
    wide = (solve(here.information, gradient) * gradient).sum(axis=1)
    mu = np.clip(np.sqrt(np.maximum(wide, 0.0)), *_FIRST)
    return _Search(np.arange(len(towards)), theta, here, towards, target, mu, _LAST * mu, quantity)


def _step(likelihood: Likelihood, bounds: Bounds, search: _Search) -> NDArray[np.bool_]:
    """One step of every row; who has arrived."""
    step, gain = _outward(bounds, search)
    share = np.minimum(bounds.max_step(search.theta, step), _within(search, step))
    before = _merit(bounds, search, search.theta, search.slack)
    for halvings in range(_HALVINGS + 2):
        theta = search.theta + share[:, None] * step
        here = likelihood(theta)
        slack = here.value - search.target
        bad = (slack <= 0) | (_merit(bounds, search, theta, slack) < before - _SAME)
        if not bad.any():
            break
        share = np.where(bad, share / 2 if halvings < _HALVINGS else 0.0, share)
    search.theta, search.here = theta, here
    near = gain < _NEAR
    done = near & (search.mu <= search.last)
    search.mu = np.where(near & ~done, np.maximum(LOWER * search.mu, search.last), search.mu)
    return done


def _outward(bounds: Bounds, search: _Search) -> tuple[Floats, Floats]:
    gradient, hessian = bounds.slopes(search.theta)
    slack = search.slack[:, None]
    pull = search.here.score / slack
    _, outward = search.quantity(search.theta, search.towards)
    score = outward / search.mu[:, None] + pull + gradient
    matrix = (
        search.here.information / slack[:, :, None] + pull[:, :, None] * pull[:, None, :] + hessian
    )
    step = solve(matrix, score)
    return step, (score * step).sum(axis=1)


def _within(search: _Search, step: Floats) -> Floats:
    """Share of the step that, by the local quadratic, keeps some of what may still fall."""
    slope = (search.here.score * step).sum(axis=1)
    curvature = -((search.here.information @ step[:, :, None])[:, :, 0] * step).sum(axis=1) / 2
    return first_root(_USED * search.slack, slope, curvature)


def _merit(bounds: Bounds, search: _Search, theta: Floats, slack: Floats) -> Floats:
    at, _ = search.quantity(theta, search.towards)
    return np.asarray(at / search.mu + np.log(np.maximum(slack, _LEAST)) + bounds.value(theta))
