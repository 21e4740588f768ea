"""Wald's lines and the worked example of the standard."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.errors import InputError
from tasting.stats.sequential import Decision, lower_tail, run, wald_test


def test_intercepts_of_a_handbooks_selection_of_assessors():
    # From memory, not read in print: a triangle chart with intercepts -1.625 and 2.085.
    found = wald_test(1 / 3, 0.5, 0.05, 0.10)
    assert (found.lower, found.upper) == pytest.approx((-1.625, 2.085), abs=2e-3)


def test_the_lines_are_the_likelihood_ratio():
    found = wald_test(1 / 3, 0.5, 0.05, 0.10)
    # On the upper line the likelihood ratio (p_1/p_0)^x (q_1/q_0)^(n-x) is (1 - beta)/alpha.
    n = 30
    x = found.slope * n + found.upper
    assert 2**x * 0.5 ** (n - x) == pytest.approx(0.90 / 0.05)


def test_risks_by_drawing_sequences():
    plan, rng = wald_test(1 / 3, 0.5, 0.05, 0.10), np.random.default_rng(16)
    nobody = [run(plan, rng.random(300) < 1 / 3).decision for _ in range(1500)]
    half = [run(plan, rng.random(300) < 2 / 3).decision for _ in range(1500)]
    assert nobody.count(Decision.DIFFERENT) / 1500 < 0.05 + 0.015
    assert half.count(Decision.SIMILAR) / 1500 < 0.10 + 0.02


@pytest.mark.parametrize("plan", [(1 / 3, 0.5, 0.05, 0.10), (1 / 3, 0.3, 0.05, 0.2)])
def test_expected_tastings_are_those_of_drawn_sequences(plan):
    """Wald's formula says 8.6 and 10.3, and 16.5 for the other: it leaves out the overshoot."""
    test, rng = wald_test(*plan), np.random.default_rng(3)
    p_1 = plan[0] + (1 - plan[0]) * plan[1]
    for p, expected in zip((plan[0], p_1), test.expected_tastings(), strict=True):
        drawn = [run(test, rng.random(400) < p).n for _ in range(3000)]
        assert np.mean(drawn) == pytest.approx(expected, abs=4 * np.std(drawn) / 3000**0.5)


def test_where_many_are_needed_walds_formula_is_near():
    """Below the limit the exact mean, above it the formula: neighbours agree within 2 %."""
    exact, formula = (
        wald_test(1 / 3, p_d, 0.05, 0.2).expected_tastings()[0] for p_d in (0.0267, 0.0260)
    )
    assert exact * (0.0267 / 0.0260) ** 2 == pytest.approx(formula, rel=0.02)


def test_the_lower_tail_is_that_of_every_sequence():
    """By hand: as low as a stop after 5 wrong answers is only that, (2/3)^5."""
    test = wald_test(1 / 3, 0.3, 0.05, 0.2)
    assert lower_tail(test, run(test, [False] * 5), 0) == pytest.approx((2 / 3) ** 5)
    assert lower_tail(test, run(test, [False, True]), 1) == pytest.approx(8 / 9)
    assert lower_tail(test, run(test, [True] * 6), 6) == pytest.approx(1.0)


@pytest.mark.parametrize("p_d", [0.2, 0.4, 0.6])
def test_least_tastings_are_where_pure_sequences_stop(p_d):
    plan = wald_test(1 / 3, p_d, 0.05, 0.1)
    pure = run(plan, [True] * 200).n, run(plan, [False] * 200).n
    assert plan.least_tastings() == pure


def test_no_answers_decide_nothing():
    assert run(wald_test(1 / 3, 0.4), []).decision is Decision.GO_ON


@given(st.lists(st.booleans(), max_size=80))
def test_a_decision_once_made_stays(answers):
    plan = wald_test(1 / 2, 0.5)
    first = run(plan, answers)
    assert run(plan, answers[: first.n]) == first


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((0.0, 0.4), "chance is 0"),
        ((1 / 3, 1.0), "p_d is 1"),
        ((1 / 3, 0.4, 0.7), "alpha is 0.7"),
        ((1 / 3, 0.4, 0.05, 0.6), "beta is 0.6"),
    ],
)
def test_a_plan_refuses(arguments, message):
    with pytest.raises(InputError, match=message):
        wald_test(*arguments)


def test_an_impossible_count_is_refused():
    with pytest.raises(InputError, match="correct is 4 but only 3"):
        wald_test(1 / 3, 0.4).decide(4, 3)
