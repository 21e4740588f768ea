"""The highest point of a likelihood inside its bounds.

Bounds (weights that cannot be negative, a correlation within -1 to 1, a spread from 0 to 1) are
kept by a logarithmic barrier that is lowered until it weighs less than 1e-6 in log-likelihood
(Nocedal and Wright 2006, Numerical Optimization, ch. 19). Many problems are climbed at once, one a
row, because the time goes into calls and not into numbers.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from tasting.stats.checks import Floats
from tasting.stats.fitting.barrier import Bounds
from tasting.stats.fitting.likelihood import Likelihood, Slopes

# The barrier's weight falls by this factor, from the first weight to the last.
LOWER: Final = 0.1
_LAST: Final = 1e-7
MOST_STEPS: Final = 100
# Gain in log-likelihood of a step at which there is nothing more to climb. Along a curved bound the
# steps stay short with less than _CALM to gain; a few more are tried, and that is all.
_STILL: Final = 1e-13
_CALM: Final = 1e-5
_PATIENCE: Final = 12
_RIDGE: Final = 1e-10


@dataclass(frozen=True, slots=True)
class Optimum:
    """Parameters at the maximum, one row a data set, with the slopes there."""

    theta: Floats
    slopes: Slopes


def maximise(likelihood: Likelihood, bounds: Bounds, start: Floats) -> Optimum:
    """The maximum from each row of `start`, which has to lie inside the bounds.

    A row whose likelihood rises for ever ends next to the bound.
    """
    theta, here = start, likelihood(start)
    weight, calm = np.ones(len(start)), np.zeros(len(start))
    for _ in range(MOST_STEPS):
        gradient, step = _ascent(here, bounds, theta, weight)
        gain = np.maximum((gradient * step).sum(axis=1), 0.0)
        last = weight <= _LAST
        calm += last & (gain < _CALM)
        if np.all(last & ((gain < _STILL) | (calm > _PATIENCE))):
            break
        theta, here = _line_search(likelihood, bounds, theta, here, step, weight)
        weight = np.where(gain < 10 * weight, np.maximum(LOWER * weight, _LAST), weight)
    return Optimum(theta, here)


def _ascent(here: Slopes, bounds: Bounds, theta: Floats, weight: Floats) -> tuple[Floats, Floats]:
    gradient, hessian = bounds.slopes(theta)
    score = here.score + weight[:, None] * gradient
    return score, solve(here.information + weight[:, None, None] * hessian, score)


def solve(matrix: Floats, right: Floats) -> Floats:
    """Solution of each system; a direction without information is left where it is."""
    size = int(matrix.shape[-1])
    scale = np.trace(matrix, axis1=-2, axis2=-1)[:, None, None] / size
    ridge = (_RIDGE * scale + 1e-12) * np.eye(size)
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
    for _ in range(12):
        there = theta + share[:, None] * step
        slopes = likelihood(there)
        falls = slopes.value + weight * bounds.value(there) < before - 1e-9
        if not falls.any():
            break
        share = np.where(falls, share / 2, share)
    return there, slopes
