"""The highest point of a likelihood inside its bounds.

Bounds (weights that cannot be negative, a correlation within -1 to 1, a spread from 0 to 1) are
kept by a logarithmic barrier that is lowered until it weighs less than 1e-6 in log-likelihood
(Nocedal and Wright 2006, Numerical Optimization, ch. 19). Many problems are climbed at once, one a
row, because the time goes into calls and not into numbers.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from tasting.stats.checks import Floats
from tasting.stats.fitting.barrier import Bounds
from tasting.stats.fitting.likelihood import Likelihood, Slopes

# The barrier's weight falls by this factor, from 1, at which it weighs like one answer, to the
# last, which shifts no estimate that is shown. A tenth at a time needs a step or two for each.
LOWER: Final = 0.1
_LAST: Final = 1e-7
NEARBY: Final = 1e-5
"""The weight to begin with from a start next to the maximum."""
# A fit takes 10 steps, the slowest of the tests' 29; what rises for ever ends here.
MOST_STEPS: Final = 100
# Gain in log-likelihood of a step at which there is nothing more to climb. Along a curved bound
# steps stay short with less than _CALM to gain; a dozen more gain some 1e-4 at most.
_STILL: Final = 1e-13
_CALM: Final = 1e-5
_PATIENCE: Final = 12
# The weight is lowered when a step gains less than ten times it: the next one moves the maximum.
_SETTLED: Final = 10.0
# Fisher's steps climb, and to a four-thousandth of one the likelihood is straight: a fall that is
# left after a dozen halvings is rounding, of 1e-9 for hundreds of answers.
_HALVINGS: Final = 12
_SAME: Final = 1e-9
# Added to the diagonal, relative to its mean and at least: too little to show, and enough to
# leave a direction without information where it is.
_RIDGE: Final = 1e-10
_LEAST_RIDGE: Final = 1e-12


@dataclass(frozen=True, slots=True)
class Optimum:
    """Parameters at the maximum, one row a data set, with the slopes there."""

    theta: Floats
    slopes: Slopes


def maximise(likelihood: Likelihood, bounds: Bounds, start: Floats, first: float = 1.0) -> Optimum:
    """The maximum from each row of `start`, which has to lie inside the bounds.

    first: the weight that the barrier begins with
    A row whose likelihood rises for ever ends next to the bound.
    """
    theta, here = start, likelihood(start)
    weight, calm = np.full(len(start), first), np.zeros(len(start))
    for _ in range(MOST_STEPS):
        gradient, step = _ascent(here, bounds, theta, weight)
        gain = np.maximum((gradient * step).sum(axis=1), 0.0)
        last = weight <= _LAST
        calm += last & (gain < _CALM)
        if np.all(last & ((gain < _STILL) | (calm > _PATIENCE))):
            break
        theta, here = _line_search(likelihood, bounds, theta, here, step, weight)
        weight = np.where(gain < _SETTLED * weight, np.maximum(LOWER * weight, _LAST), weight)
    return Optimum(theta, here)


def _ascent(here: Slopes, bounds: Bounds, theta: Floats, weight: Floats) -> tuple[Floats, Floats]:
    gradient, hessian = bounds.slopes(theta)
    score = here.score + weight[:, None] * gradient
    return score, solve(here.information + weight[:, None, None] * hessian, score)


def solve(matrix: Floats, right: Floats) -> Floats:
    """Solution of each system; a direction without information is left where it is."""
    size = int(matrix.shape[-1])
    scale = np.trace(matrix, axis1=-2, axis2=-1)[:, None, None] / size
    ridge = (_RIDGE * scale + _LEAST_RIDGE) * np.eye(size)
    columns = right if right.ndim == 3 else right[:, :, None]
    solved = np.linalg.solve(matrix + ridge, columns)
    return np.asarray(solved if right.ndim == 3 else solved[:, :, 0])


def _line_search(
    likelihood: Likelihood,
    bounds: Bounds,
    theta: Floats,
    here: Slopes,
    step: Floats,
    weight: Floats,
) -> tuple[Floats, Slopes]:
    """As much of the step as climbs; rows that would fall take half as much, and half again."""
    share = bounds.max_step(theta, step)
    before = here.value + weight * bounds.value(theta)
    for _ in range(_HALVINGS):
        there = theta + share[:, None] * step
        slopes = likelihood(there)
        falls = slopes.value + weight * bounds.value(there) < before - _SAME
        if not falls.any():
            break
        share = np.where(falls, share / 2, share)
    return there, slopes
