"""How often an answer is correct at a given sensory distance d-prime.

Thurstone's model: each cup gives a perception drawn from a normal distribution of spread 1, and
the two samples' means lie d-prime apart. A method's psychometric function is the probability of a
correct answer at d-prime (Ennis 1993, J Sens Stud 8:353; Ennis and Jesionka 2011, 26:371 for the
tetrad). Phi is the normal distribution function, T(h, a) Owen's function (Owen 1956, Ann Math Stat
27:1075). Where the textbook gives an integral, it is carried here to T where that is possible:

    2-AFC               Phi(d/sqrt 2)
    3-AFC               Phi(h) - 2 T(h, 1/sqrt 3),            h = d/sqrt 2
    duo-trio            1 - Phi(h) - Phi(g) + 2 Phi(h) Phi(g), h = d/sqrt 2, g = d/sqrt 6
    triangle            1 - 4 T(d/sqrt 6, sqrt 3)
    tetrad              1 - 8 T(d/sqrt 2, 1/sqrt 3)
    specified tetrad    integral of 2 phi(x) Phi(x) (1 - Phi(x - d))^2

The last one is summed at fixed equidistant nodes, which for such integrands converges faster than
any power of the step (Trefethen and Weideman 2014, SIAM Review 56:385), once, on a fine grid of d,
and read from a spline of degree 9 through it. All agree with 20-digit arithmetic to 1e-13, and take
arrays.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import inf, pi, sqrt

import numpy as np
from numpy.typing import ArrayLike
from scipy import special
from scipy.interpolate import BSpline, make_interp_spline

from tasting.errors import InputError
from tasting.stats.checks import Floats, check_between

Curve = Callable[[ArrayLike], Floats]

_FALSE_ALARMS = "it is how often a difference is reported where there is none"

_STEP = 0.25
_NODES = np.arange(-9, 9 + _STEP, _STEP)
_WEIGHTS = _STEP * np.exp(-_NODES * _NODES / 2) / sqrt(2 * pi)
_BELOW = special.ndtr(_NODES)
_GRID = np.concatenate([np.linspace(0, 8, 257), np.linspace(8.25, 64, 224)])
_KNOTS = np.arange(-14, 22, 1 / 16)

# Halving a cell alone reaches rounding in about 50 steps; with Newton's, all distances at once take
# 30 at most. A distance is as exact as it can be when its step is rounding, or where a function
# right to _ROUNDED is so flat that the share correct does not tell more.
_MOST_STEPS = 60
_STILL, _ROUNDED, _LEAST = 1e-14, 1e-15, 1e-300


@dataclass(frozen=True, slots=True)
class Psychometric:
    """A method's probability of a correct answer, as a function of d-prime, and its slope."""

    name: str
    chance: float
    function: Curve
    derivative: Curve

    def d_prime(self, p_c: ArrayLike) -> Floats:
        """d-prime at which p_c of the answers are correct: 0 up to chance, infinite at 1.

        As exact as the function itself. Raises `InputError` outside 0 to 1.
        """
        target = np.asarray(p_c, dtype=np.float64)
        if not np.all((target >= 0) & (target <= 1)):
            raise InputError("p_c must lie from 0 to 1; it is a share of correct answers.")
        distances: Floats = np.where(target < 1, 0.0, inf)
        between = (target > self.chance) & (target < 1)
        distances[between] = self._solve(target[between])
        return distances

    def _solve(self, target: Floats) -> Floats:
        """Newton's steps from a table's cell; a step that leaves the cell becomes a halving."""
        cell = np.searchsorted(_tabulated(self), target).clip(1, _GRID.size - 1)
        low, high = _GRID[cell - 1], _GRID[cell]
        d = (low + high) / 2
        for _ in range(_MOST_STEPS):
            gap, slope = self.function(d) - target, self.derivative(d)
            low, high = np.where(gap < 0, d, low), np.where(gap < 0, high, d)
            step = d - gap / np.maximum(slope, _LEAST)
            moved = np.where((step >= low) & (step <= high), step, (low + high) / 2)
            if np.all(
                np.abs(moved - d) <= _STILL * (1 + d) + _ROUNDED / np.maximum(slope, _ROUNDED)
            ):
                break
            d = moved
        return np.asarray(moved)

    def p_d(self, d_prime: ArrayLike) -> Floats:
        """Proportion of distinguishers that gives the same share of correct answers."""
        return np.asarray((self.function(d_prime) - self.chance) / (1 - self.chance))


@cache
def _tabulated(psychometric: Psychometric) -> Floats:
    return np.asarray(np.maximum.accumulate(psychometric.function(_GRID)))


def _density(x: ArrayLike) -> Floats:
    return np.exp(-np.square(x) / 2) / sqrt(2 * pi)


def _two_afc(d: ArrayLike) -> Floats:
    return np.asarray(special.ndtr(np.divide(d, sqrt(2))))


def _two_afc_slope(d: ArrayLike) -> Floats:
    return _density(np.divide(d, sqrt(2))) / sqrt(2)


def _three_afc(d: ArrayLike) -> Floats:
    h = np.divide(d, sqrt(2))
    return np.asarray(special.ndtr(h) - 2 * special.owens_t(h, 1 / sqrt(3)))


def _three_afc_slope(d: ArrayLike) -> Floats:
    h = np.divide(d, sqrt(2))
    return sqrt(2) * _density(h) * special.ndtr(h / sqrt(3))


def _duo_trio(d: ArrayLike) -> Floats:
    h, g = special.ndtr(np.divide(d, sqrt(2))), special.ndtr(np.divide(d, sqrt(6)))
    return np.asarray(1 - h - g + 2 * h * g)


def _duo_trio_slope(d: ArrayLike) -> Floats:
    h, g = np.divide(d, sqrt(2)), np.divide(d, sqrt(6))
    return np.asarray(
        _density(h) * (2 * special.ndtr(g) - 1) / sqrt(2)
        + _density(g) * (2 * special.ndtr(h) - 1) / sqrt(6)
    )


def _triangle(d: ArrayLike) -> Floats:
    return np.asarray(1 - 4 * special.owens_t(np.divide(d, sqrt(6)), sqrt(3)))


def _triangle_slope(d: ArrayLike) -> Floats:
    h = np.divide(d, sqrt(6))
    return np.asarray(4 / sqrt(6) * _density(h) * (special.ndtr(sqrt(3) * h) - 0.5))


def _tetrad(d: ArrayLike) -> Floats:
    return np.asarray(1 - 8 * special.owens_t(np.divide(d, sqrt(2)), 1 / sqrt(3)))


def _tetrad_slope(d: ArrayLike) -> Floats:
    h = np.divide(d, sqrt(2))
    return np.asarray(8 / sqrt(2) * _density(h) * (special.ndtr(h / sqrt(3)) - 0.5))


def _specified_tetrad(d: ArrayLike) -> Floats:
    return _read(_specified_tetrad_table(), d)


@cache
def _specified_tetrad_table() -> BSpline:
    weights = 2 * _WEIGHTS * _BELOW
    return _table(special.ndtr(_KNOTS[:, None] - _NODES) ** 2 @ weights)


def _specified_tetrad_slope(d: ArrayLike) -> Floats:
    # The derivative under the integral is a bivariate normal orthant of correlation -1/3.
    h, g = np.divide(d, sqrt(2)), np.divide(d, sqrt(6))
    orthant = special.ndtr(g) - 2 * special.owens_t(g, sqrt(2))
    return np.asarray(2 * sqrt(2) * _density(h) * orthant)


def _table(values: Floats) -> BSpline:
    return make_interp_spline(_KNOTS, values, k=9)


def _read(table: BSpline, d: ArrayLike) -> Floats:
    """The table's value; beyond its ends nothing changes any more in double precision."""
    return np.asarray(table(np.clip(d, _KNOTS[0], _KNOTS[-1])))


TWO_AFC = Psychometric("2-AFC", 1 / 2, _two_afc, _two_afc_slope)
THREE_AFC = Psychometric("3-AFC", 1 / 3, _three_afc, _three_afc_slope)
DUO_TRIO = Psychometric("duo-trio", 1 / 2, _duo_trio, _duo_trio_slope)
TRIANGLE = Psychometric("triangle", 1 / 3, _triangle, _triangle_slope)
TETRAD = Psychometric("tetrad", 1 / 3, _tetrad, _tetrad_slope)
SPECIFIED_TETRAD = Psychometric(
    "specified tetrad", 1 / 6, _specified_tetrad, _specified_tetrad_slope
)


def says_same(d_prime: ArrayLike, criterion: ArrayLike) -> Floats:
    """Same-different: probability of the answer "same" for a pair d-prime apart.

    Said when two perceptions lie less than `criterion` (tau) apart:
    Phi((tau - d)/sqrt 2) - Phi((-tau - d)/sqrt 2) (Macmillan and Creelman 2005, ch. 9).
    """
    d, tau = np.asarray(d_prime), np.asarray(criterion)
    return np.asarray(special.ndtr((tau - d) / sqrt(2)) - special.ndtr((-tau - d) / sqrt(2)))


def different_said(d_prime: float, false_alarms: float) -> float:
    """Same-different: how often pairs d-prime apart are called different.

    By people who call this share of the same pairs different. Raises `InputError` outside 0 to 1.

    >>> round(different_said(1.5, 0.3), 3)
    0.528
    """
    share = check_between("false_alarms", false_alarms, 0, 1, _FALSE_ALARMS)
    tau = -sqrt(2) * float(special.ndtri(share / 2))
    return 1 - float(says_same(d_prime, tau))


def not_a_said(d_prime: float, false_alarms: float) -> float:
    """A-not-A: how often cups d-prime from A are called "not A": Phi(d - criterion).

    By people who call this share of the cups of A "not A", whose criterion so lies at its upper
    quantile (ISO 8588; Macmillan and Creelman 2005, ch. 1). Raises `InputError` outside 0 to 1.

    >>> round(not_a_said(1.5, 0.3), 3)
    0.835
    """
    share = check_between("false_alarms", false_alarms, 0, 1, _FALSE_ALARMS)
    return float(special.ndtr(d_prime + special.ndtri(share)))
