"""Exact tails and critical numbers, against scipy and against integers."""

from fractions import Fraction
from math import comb

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binomtest

from tasting.errors import InputError
from tasting.stats.binomial import (
    critical_number,
    distinguishers,
    lower_tail,
    p_value,
    proportion_interval,
)

THIRD = 1 / 3
chances = st.sampled_from([(1, 2), (1, 3), (1, 6), (1, 10)])


def exact_tail(correct: int, n: int, chance: Fraction) -> Fraction:
    """P(X >= correct) in integers: the definition itself."""
    terms = (comb(n, x) * chance**x * (1 - chance) ** (n - x) for x in range(correct, n + 1))
    return sum(terms, Fraction(0))


@given(chances, st.integers(1, 60), st.data())
def test_p_value_is_the_sum_of_its_terms(chance, n, data):
    correct = data.draw(st.integers(0, n))
    exact = exact_tail(correct, n, Fraction(*chance))
    assert p_value(correct, n, chance[0] / chance[1]) == pytest.approx(float(exact), rel=1e-11)


@given(st.integers(1, 400), st.data())
def test_two_sided_p_value_equals_scipys(n, data):
    correct = data.draw(st.integers(0, n))
    assert p_value(correct, n, 0.5, sides=2) == pytest.approx(binomtest(correct, n).pvalue)


def test_two_sided_p_value_of_an_even_split_is_one():
    assert p_value(5, 10, 0.5, sides=2) == 1


def test_none_correct_is_no_evidence():
    assert p_value(0, 10, THIRD) == 1


def test_lower_and_upper_tail_share_the_distribution():
    x = np.arange(1, 31)
    assert lower_tail(x - 1, 30, 0.3) == pytest.approx(1 - p_value(x, 30, 0.3))


@given(st.integers(1, 300), st.floats(0.05, 0.95))
def test_p_value_falls_with_each_correct_answer(n, chance):
    assert np.all(np.diff(p_value(np.arange(n + 1), n, chance)) <= 0)


@settings(max_examples=20)
@given(chances, st.integers(1, 80), st.sampled_from([0.2, 0.1, 0.05, 0.01, 0.001]))
def test_critical_number_is_the_first_within_alpha(chance, n, alpha):
    tails = [exact_tail(x, n, Fraction(*chance)) for x in range(n + 2)]
    first = next(x for x, tail in enumerate(tails) if tail <= Fraction(alpha))
    assert critical_number(n, chance[0] / chance[1], alpha) == first


@given(st.integers(1, 5000), st.floats(0.02, 0.98), st.floats(1e-6, 0.49))
def test_critical_number_is_where_the_p_value_crosses_alpha(n, chance, alpha):
    x = critical_number(n, chance, alpha)
    assert x == n + 1 or p_value(x, n, chance) <= alpha * (1 + 1e-9)
    assert x == 0 or p_value(x - 1, n, chance) > alpha * (1 - 1e-9)


@given(st.integers(3, 300), st.sampled_from([0.2, 0.05, 0.001]))
def test_two_sided_critical_number_halves_alpha(n, alpha):
    assert critical_number(n, 0.5, alpha, sides=2) == critical_number(n, 0.5, alpha / 2)


def test_critical_number_rises_by_at_most_one_an_answer():
    steps = np.diff(critical_number(np.arange(1, 500), THIRD))
    assert set(steps.tolist()) == {0, 1}


def test_a_score_out_of_reach_is_n_plus_one():
    assert critical_number(2, 0.5, 0.05) == 3


def test_a_tail_equal_to_alpha_counts():
    assert critical_number(3, THIRD, 1 / 27) == 3


def test_numbers_give_numbers_and_arrays_arrays():
    assert type(critical_number(10)) is int
    assert type(p_value(3, 10, THIRD)) is float
    assert critical_number(np.array([[5, 6]])).shape == (1, 2)


@given(st.integers(1, 500), st.sampled_from([0.8, 0.9, 0.95, 0.99]), st.data())
def test_proportion_interval_equals_scipys(n, confidence, data):
    correct = data.draw(st.integers(0, n))
    interval = proportion_interval(correct, n, confidence)
    theirs = binomtest(correct, n).proportion_ci(confidence, "exact")
    assert (interval.low, interval.high) == pytest.approx((theirs.low, theirs.high), abs=1e-9)


def test_ends_of_the_interval_leave_half_the_risk_in_each_tail():
    interval = proportion_interval(13, 24)
    assert p_value(13, 24, interval.low) == pytest.approx(0.025)
    assert lower_tail(np.array(13), np.array(24), interval.high) == pytest.approx(0.025)


def test_distinguishers_by_abbotts_formula():
    # 20 of 30 correct at chance 1/3: (2/3 - 1/3) / (2/3).
    assert distinguishers(20, 30, THIRD).value == pytest.approx(0.5)


def test_distinguishers_below_chance_are_none():
    estimate = distinguishers(5, 30, THIRD)
    assert (estimate.value, estimate.low) == (0, 0)


def test_everyone_right_means_everyone_distinguishes():
    estimate = distinguishers(12, 12, 0.5)
    assert (estimate.value, estimate.high) == (1, 1)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((13, 12, THIRD), r"correct is 13 but only 12 were tasted \(n\)"),
        ((-1, 12, THIRD), "correct is -1; a count cannot be below 0"),
        (([1, 20], [10, 12], THIRD), "correct is 20 but only 12"),
        ((1.5, 12, THIRD), "correct is 1.5; give a whole number"),
        (("six", 12, THIRD), "correct is 'six'; give a whole number"),
        ((True, 12, THIRD), "correct is True; give a whole number"),
        ((0, 0, THIRD), "n is 0; at least 1 tasting is needed"),
        ((1, 12, 1.0), "chance is 1 but must lie between 0 and 1"),
        ((1, 12, float("nan")), "chance is nan; give a number"),
        ((1, 12, 0.5, 3), "sides is 3; give 1 or 2"),
        ((1, 12, THIRD, 2), "two-sided test needs a chance of 1/2"),
    ],
)
def test_p_value_refuses(arguments, message):
    with pytest.raises(InputError, match=message):
        p_value(*arguments)


@pytest.mark.parametrize("alpha", [0, 0.5, 1, -0.1, "much"])
def test_critical_number_refuses_alpha(alpha):
    with pytest.raises(InputError, match="alpha is"):
        critical_number(12, THIRD, alpha)


def test_interval_refuses_a_confidence_of_one():
    with pytest.raises(InputError, match="confidence is 1 but must lie between 0 and 1"):
        proportion_interval(3, 12, 1)
