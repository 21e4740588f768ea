"""Climbing to a maximum inside bounds, and walking to the ends of a likelihood region."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy import optimize, stats

from tasting.stats.fitting.barrier import MOST, Bounds, first_root
from tasting.stats.fitting.likelihood import Likelihood, Rows
from tasting.stats.fitting.maximise import maximise, solve
from tasting.stats.fitting.profile import profile_interval
from tasting.stats.psychometric import TRIANGLE, TWO_AFC

CUT = float(stats.chi2.ppf(0.95, 1))
CONE = Bounds((0, 1, 2), (), (0, 1, 2))


def single(right, n, squared=False):
    """One comparison at difference 1: one parameter."""
    rows = Rows(
        TRIANGLE if squared else TWO_AFC,
        squared,
        np.ones((1, 1)),
        np.array([[n - right, right]], dtype=float),
        np.ones(1),
        np.arange(1),
    )
    return Likelihood((rows,), 1, False)


def interval(model, bounds, start):
    summit = maximise(model, bounds, np.array([start]))
    found = profile_interval(
        model, bounds, summit, np.eye(model.parameters), np.full(model.parameters, CUT)
    )
    return summit.theta[0], found


def shares_within(right, n):
    """Ends of the share correct whose deviance is at most the cut, by scipy."""

    def over(p):
        return 2 * (stats.binom.logpmf(right, n, right / n) - stats.binom.logpmf(right, n, p)) - CUT

    share = right / n
    return optimize.brentq(over, 1e-9, share), optimize.brentq(over, share, 1 - 1e-9)


@pytest.mark.parametrize(("right", "n"), [(12, 24), (17, 24), (30, 50), (3, 20)])
def test_a_single_pair_has_the_interval_of_its_share(right, n):
    theta, found = interval(single(right, n), Bounds((0,)), [0.0])
    low, high = shares_within(right, n)

    assert float(TWO_AFC.function(theta[0])) == pytest.approx(right / n, abs=1e-9)
    assert TWO_AFC.function(found[0]) == pytest.approx([low, high], abs=1e-4)


@pytest.mark.parametrize(("right", "n"), [(15, 24), (20, 24), (30, 60)])
def test_a_single_triangle_has_the_interval_of_its_share(right, n):
    theta, found = interval(single(right, n, squared=True), Bounds((0,), (0,)), [0.5])
    low, high = shares_within(right, n)
    reached = TRIANGLE.function(np.sqrt(np.maximum(found[0], 0)))

    assert float(TRIANGLE.function(np.sqrt(theta[0]))) == pytest.approx(right / n, abs=1e-6)
    assert reached == pytest.approx([max(low, 1 / 3), high], abs=1e-3)


def test_below_chance_the_maximum_is_at_the_bound():
    theta, found = interval(single(5, 24, squared=True), Bounds((0,), (0,)), [0.5])

    assert theta[0] == pytest.approx(0, abs=1e-6)
    assert found[0, 0] == pytest.approx(0, abs=1e-4)


def test_a_perfect_score_runs_to_the_edge_and_no_further():
    theta, found = interval(single(24, 24), Bounds((0,)), [0.0])

    assert 10 < theta[0] < MOST
    assert found[0, 1] > 0.98 * MOST
    # The lower end is where 24 of 24 are just likely enough: p^24 = exp(-cut/2).
    assert float(TWO_AFC.function(found[0, 0])) == pytest.approx(np.exp(-CUT / 48), abs=1e-3)


@given(st.floats(0.1, 50), st.floats(-50, 50), st.floats(-50, 50))
@example(1.0, 5e-324, 0.0)
def test_until_finds_the_first_root(start, slope, hessian):
    root = float(first_root(np.array([start]), np.array([slope]), np.array([hessian]))[0])
    here = np.linspace(0, min(root, 100), 200)[:-1]

    assert root > 0
    assert np.all(start + slope * here + hessian * here**2 > -1e-6 * (1 + start))


@given(st.floats(0.05, 5), st.floats(0.05, 5), st.floats(-0.95, 0.95), st.integers(0, 999))
def test_no_step_leaves_the_cone(a, s, rho, seed):
    theta = np.array([[a, s, rho * np.sqrt(a * s)]])
    step = np.random.default_rng(seed).normal(0, 5, (1, 3))
    moved = (theta + CONE.max_step(theta, step)[:, None] * step)[0]

    assert moved[0] > 0
    assert moved[1] > 0
    assert moved[2] ** 2 < moved[0] * moved[1]


@pytest.mark.parametrize(
    ("bounds", "theta"),
    [
        (CONE, [1.2, 0.7, -0.3]),
        (Bounds((0, 1), (1,), None, ((2, 0.0, 0.99),)), [-2.0, 0.4, 0.3]),
    ],
)
def test_the_slopes_of_the_barrier_are_its_differences(bounds, theta):
    point, steps = np.array(theta), 1e-5 * np.eye(3)
    gradient, hessian = bounds.slopes(point[None])
    numeric = (bounds.value(point + steps) - bounds.value(point - steps)) / 2e-5
    curved = (bounds.slopes(point + steps)[0] - bounds.slopes(point - steps)[0]) / 2e-5

    assert gradient[0] == pytest.approx(numeric, rel=1e-6)
    assert hessian[0] == pytest.approx(-curved, rel=1e-5, abs=1e-6)


def test_many_problems_are_climbed_at_once_as_one_by_one():
    model = single(17, 24)
    together = maximise(model, Bounds((0,)), np.array([[-1.0], [0.0], [2.0]])).theta

    assert together == pytest.approx(np.full((3, 1), together[0, 0]), abs=1e-8)


def test_systems_are_solved_one_by_one():
    """Against numpy's solver."""
    random = np.random.default_rng(2)
    root = random.normal(size=(4, 3, 3))
    matrix = root @ np.swapaxes(root, 1, 2) + np.eye(3)
    right = random.normal(size=(4, 3))
    wanted = [np.linalg.solve(m, r) for m, r in zip(matrix, right, strict=True)]

    assert solve(matrix, right) == pytest.approx(np.array(wanted), rel=1e-6)


def test_pooling_like_comparisons_changes_no_likelihood():
    counts = np.array([[10.0, 14], [7, 17], [12, 12]])
    design = np.array([[1.0], [1.0], [0.5]])
    rows = Rows(TRIANGLE, True, design, counts, np.ones(3), np.arange(3))
    apart = Likelihood((rows,), 1, False)
    pooled, theta = apart.pooled(), np.array([[1.3]])

    assert len(pooled.rows[0].design) == 2
    assert pooled(theta).value == pytest.approx(apart(theta).value)
    assert pooled(theta).information == pytest.approx(apart(theta).information)
