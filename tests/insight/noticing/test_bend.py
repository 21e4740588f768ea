"""A response that may bend: its slopes, what the answers say of it, and what follows."""

from dataclasses import replace

import numpy as np
import pytest

from tasting.insight.advice.forecast import curve
from tasting.insight.noticing import words
from tasting.insight.noticing.bend import InverseStep, SquaredDistance, growth
from tasting.insight.noticing.design import POWERS, Distances
from tasting.insight.noticing.distance_model import fit_distance
from tasting.insight.noticing.steps import DriverStep, StepsIn, noticed_steps
from tasting.stats.fitting.likelihood import Likelihood, Rows, bent
from tasting.stats.psychometric import TRIANGLE
from tests.insight.noticing.test_steps import on_a_grid
from tests.insight.panels import LEVELS, MIXED, TA_AND_SUGAR, compared
from tests.insight.workshop import noticed

LAYOUT = Distances((0, 1), np.array([1.0, 14.0]), (0, 1), True)
DELTAS = np.array([[0.5, -7.0], [0.0, 3.0], [1.0, 14.0]])
WITH = np.array([0.0, 1.0, 0.0])
THETA = np.array([[2.0, 1.5, -0.4, 0.8, 0.7]])
STEPS = (0.1, 0.2, 0.4, 0.8, 1.6)


def panel(power, n=2000, largest=3.0):
    """As many tastings of each step as it takes to see a bend; d-prime 3 at the largest."""
    shares = TRIANGLE.function(largest * (np.array(STEPS) / STEPS[-1]) ** power)
    return [
        compared((step, 0), round(n * p), n) for step, p in zip(STEPS, shares.tolist(), strict=True)
    ]


def found(some):
    distance, _ = fit_distance(some, TA_AND_SUGAR, "linear", (0, 1), 0.95)
    shown = StepsIn(np.array(LEVELS), "linear", None, TRIANGLE)
    (acid,) = noticed_steps(distance, TA_AND_SUGAR, shown)
    return distance, acid


def numeric(function, theta):
    steps = 1e-6 * np.eye(theta.shape[1])
    return (function(theta + steps) - function(theta - steps)) / 2e-6


@pytest.mark.parametrize("power", [0.5, 0.8, 1.0, 1.4])
def test_bent_factors_are_those_of_bent_differences(power):
    straight = LAYOUT.factors(DELTAS, WITH)
    other = bent(straight, growth(LAYOUT, straight), np.array(power))

    assert other == pytest.approx(replace(LAYOUT, power=power).factors(DELTAS, WITH))


@pytest.mark.parametrize("sign", [1, -1])
def test_the_slopes_of_both_quantities_are_their_differences(sign):
    """Central differences."""
    drivers = np.array([[1.0, 0, 0, 0, 1.5], [0, 1.0, 0, 0, 0.7]])
    straight = np.column_stack([LAYOUT.factors(DELTAS, WITH), np.zeros(3)])
    for quantity, rows in ((InverseStep(LAYOUT), drivers), (SquaredDistance(LAYOUT), straight)):
        for row in sign * rows:
            _, slopes = quantity(THETA, row[None])
            steps = np.repeat(row[None], THETA.shape[1], axis=0)
            differences = numeric(lambda x, q=quantity, f=steps: q(x, f)[0], THETA)
            assert slopes[0] == pytest.approx(differences, rel=1e-5, abs=1e-8)


@pytest.mark.parametrize("replicates", [1, 3])
def test_the_scores_of_a_bent_likelihood_are_its_slopes(replicates):
    """Central differences, in the power and the spread too."""
    design = LAYOUT.factors(DELTAS, WITH)
    counts = np.random.default_rng(4).integers(0, 6, (3, replicates + 1)).astype(float)
    rows = Rows(TRIANGLE, True, design, counts, np.ones(3), np.arange(3), growth(LAYOUT, design))
    model = Likelihood((rows,), 4, replicates > 1)
    theta = np.append(THETA, [[0.3]], axis=1)[:, : model.parameters]

    differences = numeric(lambda x: model(x).value, theta)
    assert model(theta).score[0] == pytest.approx(differences, rel=1e-5, abs=1e-6)
    assert model.slopes(theta[0])[:, -1] == pytest.approx(
        numeric(lambda x: rows.along(x)[0], np.repeat(theta, 1, axis=0))[4], rel=1e-5, abs=1e-8
    )


@pytest.mark.parametrize("power", [0.5, 0.7, 1.4])
def test_a_power_that_the_answers_show_is_found(power):
    distance, acid = found(panel(power))

    assert not distance.in_proportion
    assert distance.power.low - 1e-3 <= power <= distance.power.high + 1e-3
    assert distance.layout.power == pytest.approx(power, abs=0.03)
    assert isinstance(acid, DriverStep)
    true = STEPS[-1] / 3.0 ** (1 / power)
    one = acid.step_at_d_prime_1.amount
    assert one.low < true < one.high
    assert one.value == pytest.approx(true, rel=0.05)
    assert acid.weight.felt(one.value).value == pytest.approx(1.0, rel=1e-6)
    assert acid.weight.step(1.0, acid.weight.estimate.value) == pytest.approx(one.value, rel=1e-6)


@pytest.mark.parametrize(("power", "n"), [(1.0, 60), (0.5, 12)])
def test_a_bend_that_the_answers_do_not_show_is_in_the_intervals_only(power, n):
    """Ends of the step by weights and powers on a grid."""
    distance, acid = found(panel(power, n))
    one = acid.step_at_d_prime_1.amount

    assert distance.in_proportion
    assert distance.power.low - 1e-3 <= power <= distance.power.high
    assert one.value == pytest.approx(1 / distance.weights["ta"].estimate.value)
    assert (one.low, one.high) == pytest.approx(on_a_grid(panel(power, n), 1.0), rel=0.01)


def test_one_size_of_step_tells_nothing_of_the_power():
    distance, _ = found([compared((0.8, 0), 40, 60), compared((-0.8, 0), 42, 60)])

    assert (distance.power.low, distance.power.high) == pytest.approx(POWERS, abs=0.01)
    assert distance.in_proportion


def test_the_curve_reaches_a_distance_at_the_ends_of_its_step():
    """An end of the band at the end of a step is that distance: they are one profile."""
    distance, acid = found(panel(1.0, n=60))
    one = acid.step_at_d_prime_1.amount
    low, high = distance.curve(0, np.array([one.high, one.low]))[:, 1:]

    assert low[0] == pytest.approx(1.0, rel=0.01)
    assert high[1] == pytest.approx(1.0, rel=0.01)
    assert curve(noticed(), "ta").p_d[0] == pytest.approx(0.0, abs=1e-12)


def test_alike_drinks_are_at_no_distance():
    distance, _ = fit_distance(MIXED, TA_AND_SUGAR, "linear", (0, 1), 0.95)
    one = MIXED[0].a

    assert distance.between([(one, one)], False)[0].tolist() == [0.0, 0.0, 0.0]


def test_what_is_assumed_is_said():
    assumed = words.assumptions(noticed())
    shown = words.assumptions(replace(noticed(), distance=found(panel(0.5))[0]))

    assert assumed.startswith("Assumed: d′ grows in proportion to the step. ")
    assert shown.startswith("The answers show that d′ grows as the step to the power of 0.")
    assert POWERS == (0.4, 1.5)
    for said in (assumed, shown):
        assert "slower growth (the step to the power of 0.4) and faster (of 1.5)" in said
