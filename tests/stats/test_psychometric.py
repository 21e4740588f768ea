"""Psychometric functions against 20-digit integrals of the tasting itself."""

import mpmath as mp
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from tasting.errors import InputError
from tasting.stats.psychometric import (
    DUO_TRIO,
    SPECIFIED_TETRAD,
    TETRAD,
    THREE_AFC,
    TRIANGLE,
    TWO_AFC,
    says_same,
)

METHODS = [TWO_AFC, THREE_AFC, TRIANGLE, DUO_TRIO, TETRAD, SPECIFIED_TETRAD]
by_name = pytest.mark.parametrize("method", METHODS, ids=lambda method: method.name)


def phi(x):
    return mp.npdf(x)


def big_phi(x):
    return mp.ncdf(x)


# Integrals as the literature writes them, none in the closed form that the code uses:
# m-AFC Hacker and Ratcliff 1979; triangle Frijters, Kooistra and Vereijken 1980; duo-trio by
# conditioning on the reference; tetrads Ennis and Jesionka 2011.
def m_afc_integral(d, m):
    return mp.quad(lambda x: phi(x - d) * big_phi(x) ** (m - 1), [-12, 0, d, d + 12])


def triangle_integral(d):
    def both(z):
        shift = d * mp.sqrt(mp.mpf(2) / 3)
        return big_phi(-z * mp.sqrt(3) + shift) + big_phi(-z * mp.sqrt(3) - shift)

    return 2 * mp.quad(lambda z: both(z) * phi(z), [0, 1, 4, 15])


def duo_trio_integral(d):
    # Reference r and its fellow s are N(0, 1), the other o is N(d, 1): right if |s - r| < |o - r|.
    node, weight = np.polynomial.legendre.leggauss(200)
    r, gap = 9 * node[:, None], 7 * (node + 1)
    farther = norm.cdf(r - gap - d) + norm.sf(r + gap - d)
    inner = (norm.pdf(r - gap) + norm.pdf(r + gap)) * farther @ (7 * weight)
    return norm.pdf(r[:, 0]) * inner @ (9 * weight)


def specified_tetrad_integral(d):
    def ordered(x):
        return 2 * phi(x) * big_phi(x) * (1 - big_phi(x - d)) ** 2

    return mp.quad(ordered, [-12, 0, 3, 12])


def tetrad_integral(d):
    return specified_tetrad_integral(d) + specified_tetrad_integral(-d)


INTEGRALS = {
    "2-AFC": lambda d: m_afc_integral(d, 2),
    "3-AFC": lambda d: m_afc_integral(d, 3),
    "triangle": triangle_integral,
    "tetrad": tetrad_integral,
    "specified tetrad": specified_tetrad_integral,
}


@pytest.mark.parametrize("d", [0, 0.03, 1, 2.5, 6])
@pytest.mark.parametrize("method", [m for m in METHODS if m is not DUO_TRIO], ids=lambda m: m.name)
def test_thirteen_digits_of_the_integral(method, d):
    with mp.workdps(20):
        exact = float(INTEGRALS[method.name](mp.mpf(d)))
    assert float(method.function(d)) == pytest.approx(exact, abs=1e-13)


@pytest.mark.parametrize("d", [0, 0.3, 1, 2.5, 5])
def test_duo_trio_is_its_double_integral(d):
    assert float(DUO_TRIO.function(d)) == pytest.approx(duo_trio_integral(d), abs=1e-12)


@by_name
def test_slope_is_the_derivative(method):
    d = np.linspace(0.05, 5, 60)
    step = 1e-5
    difference = (method.function(d + step) - method.function(d - step)) / (2 * step)
    assert method.derivative(d) == pytest.approx(difference, abs=2e-10)


@by_name
def test_nothing_to_notice_means_chance(method):
    assert float(method.function(0.0)) == pytest.approx(method.chance, abs=1e-15)


@by_name
def test_inverse_returns_where_it_came_from(method):
    d = np.linspace(0.1, 5, 50)
    assert method.d_prime(method.function(d)) == pytest.approx(d, abs=1e-9)


@by_name
def test_inverse_at_its_ends(method):
    ends = method.d_prime([0.0, method.chance, 1.0])
    assert ends.tolist() == [0, 0, np.inf]


@by_name
def test_almost_perfect_stays_finite(method):
    d = method.d_prime(np.nextafter(1, 0))
    assert 5 < d < 40


@given(st.sampled_from(METHODS), st.floats(0, 8), st.floats(0.001, 2))
def test_more_distance_is_more_correct(method, d, more):
    assert method.function(d) <= method.function(d + more)


@pytest.mark.parametrize("method", [TRIANGLE, DUO_TRIO, TETRAD], ids=lambda method: method.name)
def test_slope_is_zero_where_there_is_nothing_to_notice(method):
    assert float(method.derivative(0.0)) == 0


@pytest.mark.parametrize(
    ("method", "p_c"), [(TWO_AFC, 0.76), (THREE_AFC, 0.63), (DUO_TRIO, 0.58), (TRIANGLE, 0.42)]
)
def test_widely_quoted_shares_at_one(method, p_c):
    # From memory, not read in print: the shares correct at d-prime 1 in Ennis 1993.
    assert float(method.function(1.0)) == pytest.approx(p_c, abs=0.005)


def test_tetrad_by_drawing_cups():
    rng = np.random.default_rng(4)
    cups = rng.standard_normal((200_000, 4)) + [0, 0, 1, 1]
    weak, strong = np.sort(cups[:, :2], axis=1), np.sort(cups[:, 2:], axis=1)
    apart = (weak[:, 1] < strong[:, 0]) | (strong[:, 1] < weak[:, 0])
    assert float(TETRAD.function(1.0)) == pytest.approx(apart.mean(), abs=0.004)


def test_arrays_keep_their_shape():
    assert SPECIFIED_TETRAD.function(np.ones((2, 3))).shape == (2, 3)
    assert SPECIFIED_TETRAD.function(np.ones(10_000)).shape == (10_000,)


def test_distinguishers_of_a_d_prime():
    # p_c = p_d + chance (1 - p_d), ISO 4120.
    p_d = float(TRIANGLE.p_d(2.0))
    assert p_d + (1 - p_d) / 3 == pytest.approx(float(TRIANGLE.function(2.0)))


@pytest.mark.parametrize("d", [0.0, 0.5, 2.0])
def test_same_is_said_when_perceptions_are_close(d):
    with mp.workdps(30):
        exact = mp.quad(lambda x: mp.npdf(x, d, mp.sqrt(2)), [-1.2, 1.2])
    assert float(says_same(d, 1.2)) == pytest.approx(float(exact), abs=1e-14)


def test_an_impossible_share_is_refused():
    with pytest.raises(InputError, match="p_c must lie from 0 to 1"):
        TRIANGLE.d_prime(1.2)
