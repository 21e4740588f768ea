"""Numbers of tastings, against recalled tables and against a search by definition."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.stats import binom

from tasting.errors import InputError
from tasting.stats.power import (
    detectable,
    panel_size,
    power,
    power_curve,
)
from tasting.stats.psychometric import (
    DUO_TRIO,
    SPECIFIED_TETRAD,
    TETRAD,
    THREE_AFC,
    TRIANGLE,
    TWO_AFC,
)

from .published import rows

METHODS = {m.name: m for m in (TWO_AFC, THREE_AFC, TRIANGLE, DUO_TRIO, TETRAD, SPECIFIED_TETRAD)}
CELLS = rows("stat_panel_size.csv")
RECALLED = [row for row in CELLS if row["status"] == "memory"]

# Where the table as recalled differs from the exact first n. Which of the two is wrong (the memory
# or the print) cannot be told without the standard in hand: (chance, sides, p_d, alpha, beta).
DISAGREE = {
    ("1/3", "1", "0.1", "0.05", "0.001"): (1181, 1178),
    ("1/2", "1", "0.1", "0.2", "0.05"): (637, 618),
    ("1/2", "1", "0.1", "0.01", "0.1"): (1310, 1301),
    ("1/2", "1", "0.1", "0.01", "0.05"): (1577, 1582),
    ("1/2", "1", "0.1", "0.01", "0.01"): (2146, 2170),
    ("1/2", "1", "0.1", "0.01", "0.001"): (2909, 2927),
    ("1/2", "2", "0.4", "0.05", "0.2"): (44, 49),
    ("1/2", "2", "0.4", "0.05", "0.1"): (63, 65),
    ("1/2", "2", "0.3", "0.001", "0.2"): (181, 188),
    ("1/2", "2", "0.3", "0.001", "0.1"): (222, 229),
    ("1/2", "2", "0.3", "0.001", "0.05"): (249, 267),
}


def by_definition(chance, p_d, alpha, beta, sides, most):
    """Powers of n = 1 ... most from scipy.stats alone: first and stable n."""
    n = np.arange(1, most + 1)
    # A tail that equals alpha on paper, 0.1^2 at 0.01, comes out an ulp above it.
    critical = binom.isf(alpha / sides * (1 + 1e-12), n, chance) + 1
    enough = binom.sf(critical - 1, n, chance + (1 - chance) * p_d) >= 1 - beta
    return int(n[enough.argmax()]), int(n[~enough].max(initial=0)) + 1


@given(
    st.sampled_from([(1 / 2, 1), (1 / 2, 2), (1 / 3, 1), (1 / 6, 1), (1 / 10, 1)]),
    st.floats(0.25, 0.95),
    st.floats(0.01, 0.3),
    st.floats(0.01, 0.3),
)
@example((1 / 10, 1), 0.875, 0.01, 0.25)
def test_panel_size_is_what_its_definition_says(chance_sides, p_d, alpha, beta):
    chance, sides = chance_sides
    found = panel_size(chance, p_d, alpha, beta, sides)
    expected = by_definition(chance, p_d, alpha, beta, sides, most=1500)
    assert (found.n, found.lasting_n) == expected


def test_actual_risks_are_those_at_n():
    found = panel_size(1 / 3, 0.5, 0.2, 0.2)
    # P(X >= 4) of 7 at 1/3 and at 2/3, in integers over 3^7.
    assert found.alpha == pytest.approx(379 / 2187)
    assert found.power == pytest.approx(1808 / 2187)


def test_a_power_in_print():
    # Wingfeet (blog post of 10 March 2013): 35 triangles, 1/3 distinguishers: 84 %.
    assert power(35, 1 / 3, 1 / 3) == pytest.approx(0.84, abs=0.005)


def test_power_saws():
    curve = [power(n, 1 / 3, 0.4) for n in range(10, 60)]
    assert np.any(np.diff(curve) < 0)
    assert curve[-1] > curve[0]


@given(st.integers(1, 200), st.floats(0.05, 0.9))
def test_power_rises_with_the_share_who_notice(n, p_d):
    assert power(n, 1 / 3, p_d) <= power(n, 1 / 3, p_d + 0.05)


def test_too_few_tastings_have_no_power():
    assert power(2, 0.5, 0.9) == 0


def test_one_tasting_can_be_enough_where_guessing_is_hard():
    found = panel_size(0.1, 0.9, alpha=0.2)
    assert (found.n, found.lasting_n) == (1, 1)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((1 / 3, 0.0), "p_d is 0 but must lie between 0 and 1"),
        ((1 / 3, 1.0), "p_d is 1 but must lie between 0 and 1"),
        ((1 / 3, 0.3, 0.6), "alpha is 0.6 but must lie between 0 and 0.5"),
        ((1 / 3, 0.3, 0.05, 0.0), "beta is 0 but must lie between 0 and 0.5"),
        ((1 / 3, 0.3, 0.05, 0.2, 2), "two-sided test needs a chance of 1/2"),
        ((1 / 3, 1e-4), "more than two million tastings"),
    ],
)
def test_panel_size_refuses(arguments, message):
    with pytest.raises(InputError, match=message):
        panel_size(*arguments)


def test_power_curve_starts_at_the_actual_alpha_and_ends_at_one():
    curve = power_curve(24, 1 / 3, np.array([0.0, 0.3, 1.0]))
    assert curve == pytest.approx([binom.sf(12, 24, 1 / 3), power(24, 1 / 3, 0.3), 1])


def test_power_curve_of_too_few_tastings_is_flat():
    assert power_curve(2, 0.5, np.array([0.0, 0.5, 1.0])).tolist() == [0, 0, 0]


@given(st.integers(5, 500), st.sampled_from([1 / 3, 1 / 2]), st.floats(0.01, 0.3))
def test_what_is_detectable_is_detected_at_the_power_asked_for(n, chance, beta):
    p_d = detectable(n, chance, beta=beta)
    assert power(n, chance, p_d) == pytest.approx(1 - beta)


def test_nothing_is_detectable_with_two_cups():
    assert detectable(2, 0.5) is None


def test_power_curve_refuses_shares_beyond_one():
    with pytest.raises(InputError, match="p_d must lie from 0 to 1"):
        power_curve(24, 1 / 3, np.array([1.2]))
