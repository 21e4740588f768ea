"""Where parameters have to lie: a logarithmic barrier, its slopes, and the room that a step has."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from tasting.stats.checks import Floats

# No predictor parameter goes beyond this, in units of the largest difference tasted: at a distance
# of 20 every answer is certain to 1e-14, so that farther is no different.
MOST: Final = 400.0
# A spread between assessors this wide is all or none for every one of them.
WIDEST: Final = 0.99
# Of each slack a step may use so much: the rule of interior-point methods (Nocedal and Wright 2006,
# ch. 19, with 0.995; from memory), a little shorter, as the barrier is lowered by tenths only.
_USED: Final = 0.95
# A step grows no parameter, or 1 where that is smaller, by more than this factor: farther away the
# likelihood is no longer like its quadratic here. _LEAST keeps a division by no step finite.
_WILDEST: Final = 3.0
_LEAST: Final = 1e-300
# Where a search for the end of an interval starts: near enough to a maximum at a bound to be inside
# the likelihood region (`profile_interval` sees to the rest), far enough for its steps to turn.
_INSIDE: Final = 0.05
_INSIDE_CONE: Final = 0.9
_INSIDE_SHARE: Final = (0.02, 0.95)
_INSIDE_LIMIT: Final = MOST / 10


@dataclass(frozen=True, slots=True)
class Bounds:
    """limited: indices of parameters from -MOST to MOST; positive: of those above 0 too;
    cone: indices (a, s, q) with q^2 below a s; between: index, least and most of a parameter, such
    as a spread from 0 to WIDEST."""

    limited: tuple[int, ...] = ()
    positive: tuple[int, ...] = ()
    cone: tuple[int, int, int] | None = None
    between: tuple[tuple[int, float, float], ...] = ()

    def value(self, theta: Floats) -> Floats:
        """Sum of the logarithms of the slacks (of the cone: of its determinant)."""
        total: Floats = np.log1p(-((theta[:, self.limited] / MOST) ** 2)).sum(axis=1)
        for index in self.positive:
            total += np.log(theta[:, index])
        if self.cone:
            a, s, q = (theta[:, index] for index in self.cone)
            total += np.log(a * s - q * q)
        for index, least, most in self.between:
            total += np.log(theta[:, index] - least) + np.log(most - theta[:, index])
        return total

    def slopes(self, theta: Floats) -> tuple[Floats, Floats]:
        """Gradient of `value`, and its negative Hessian."""
        gradient = np.zeros_like(theta)
        hessian = np.zeros((*theta.shape, theta.shape[1]))
        for index in self.limited:
            x, rest = theta[:, index], MOST**2 - theta[:, index] ** 2
            gradient[:, index] = -2 * x / rest
            hessian[:, index, index] = 2 * (MOST**2 + x * x) / rest**2
        for index in self.positive:
            gradient[:, index] += 1 / theta[:, index]
            hessian[:, index, index] += 1 / theta[:, index] ** 2
        for index, least, most in self.between:
            below, above = theta[:, index] - least, most - theta[:, index]
            gradient[:, index] = 1 / below - 1 / above
            hessian[:, index, index] = 1 / below**2 + 1 / above**2
        if self.cone:
            self._cone_slopes(theta, gradient, hessian)
        return gradient, hessian

    def _cone_slopes(self, theta: Floats, gradient: Floats, hessian: Floats) -> None:
        assert self.cone
        a, s, q = (theta[:, index] for index in self.cone)
        inner = np.stack([s, a, -2 * q], axis=1)
        rest = a * s - q * q
        indices = np.array(self.cone)
        gradient[:, indices] += inner / rest[:, None]
        fixed = np.array([[0.0, 1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, -2.0]])
        outer = inner[:, :, None] * inner[:, None, :] / (rest**2)[:, None, None]
        hessian[:, indices[:, None], indices] += outer - fixed / rest[:, None, None]

    def max_step(self, theta: Floats, step: Floats) -> Floats:
        """Share of the step that leaves some of each slack and grows no parameter wildly."""
        size = np.max(np.abs(step) / (1 + np.abs(theta)), axis=1)
        share = np.minimum(1.0, _WILDEST / np.maximum(size, _LEAST))
        for index in self.limited:
            edge = MOST - np.sign(step[:, index]) * theta[:, index]
            share = np.minimum(share, first_root(_USED * edge, -np.abs(step[:, index]), 0.0))
        for index in self.positive:
            share = np.minimum(share, first_root(_USED * theta[:, index], step[:, index], 0.0))
        if self.cone:
            (a, s, q), (da, ds, dq) = (each[:, self.cone].T for each in (theta, step))
            for slack, slope, curvature in (
                (a, da, 0.0),
                (s, ds, 0.0),
                (a * s - q * q, a * ds + s * da - 2 * q * dq, da * ds - dq * dq),
            ):
                share = np.minimum(share, first_root(_USED * slack, slope, curvature))
        for index, least, most in self.between:
            at, along = theta[:, index], step[:, index]
            share = np.minimum(share, first_root(_USED * (at - least), along, 0.0))
            share = np.minimum(share, first_root(_USED * (most - at), -along, 0.0))
        return np.asarray(share)

    def interior_point(self, theta: Floats) -> Floats:
        """Away from the bounds, where a step can still turn."""
        moved = theta.copy()
        moved[:, self.limited] = np.clip(moved[:, self.limited], -_INSIDE_LIMIT, _INSIDE_LIMIT)
        indices = [*self.positive, *(self.cone[:2] if self.cone else ())]
        moved[:, indices] = np.maximum(moved[:, indices], _INSIDE)
        if self.cone:
            a, s, q = self.cone
            edge = _INSIDE_CONE * np.sqrt(moved[:, a] * moved[:, s])
            moved[:, q] = np.clip(moved[:, q], -edge, edge)
        for index, least, most in self.between:
            inside = least + (most - least) * np.array(_INSIDE_SHARE)
            moved[:, index] = np.clip(moved[:, index], *inside)
        return moved


def first_root(start: Floats, slope: Floats, curvature: Floats | float) -> Floats:
    """Smallest positive t with start + slope t + curvature t^2 = 0 (start > 0); else infinite."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        root = -slope + np.sqrt(slope * slope - 4 * curvature * start)
        first = 2 * start / root
    return np.where(root > 0, first, np.inf)
