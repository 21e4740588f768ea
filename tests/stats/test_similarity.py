"""Similarity by the exact rule, and the formula that is only shown."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, binomtest

from tasting.errors import InputError
from tasting.stats.similarity import (
    approximate_limit,
    largest_similar,
    similarity_size,
    upper_limit,
)

from .published import rows

CELLS = rows("stat_similarity.csv")
PRINTED = [row for row in CELLS if row["status"] == "seen"]

# Printed one lower (stricter) than the exact rule, all at beta 0.001; unexplained: (n, p_d).
STRICTER = {("126", "0.4"), ("126", "0.5"), ("132", "0.3"), ("132", "0.4"), ("132", "0.5")}


@given(st.integers(1, 300), st.sampled_from([1 / 2, 1 / 3]), st.floats(0.05, 0.9))
def test_largest_similar_is_where_the_tail_crosses_beta(n, chance, p_d):
    x, p_c = largest_similar(n, chance, p_d), chance + (1 - chance) * p_d
    assert binom.cdf(x, n, p_c) <= 0.05 * (1 + 1e-9)
    assert binom.cdf(x + 1, n, p_c) > 0.05 * (1 - 1e-9)


@given(st.integers(1, 200), st.floats(0.1, 0.8), st.data())
def test_the_rule_and_the_upper_limit_agree(n, p_d, data):
    correct = data.draw(st.integers(0, n))
    within = correct <= largest_similar(n, 1 / 3, p_d)
    assert within == (upper_limit(correct, n, 1 / 3) <= p_d)


def test_upper_limit_is_scipys_one_sided_limit():
    theirs = binomtest(22, 60, alternative="less").proportion_ci(0.95, "exact").high
    assert upper_limit(22, 60, 1 / 3) == pytest.approx((theirs - 1 / 3) * 1.5)


def test_everyone_right_leaves_no_limit():
    assert upper_limit(12, 12, 1 / 3) == 1


def test_approximate_limit_of_24_in_60():
    # Own worked numbers: p_d 0.100, standard error 0.0949, one-sided 95 % limit 0.256.
    assert approximate_limit(24, 60, 1 / 3) == pytest.approx(0.256, abs=5e-4)


def test_approximate_limit_as_printed_for_paired_comparison():
    # ISO 5495:2005: [2 (x/n) - 1] + 2 z sqrt((n x - x^2) / n^3), z = 1.64 at beta 0.05.
    printed = 2 * 70 / 126 - 1 + 2 * 1.64 * np.sqrt((126 * 70 - 70**2) / 126**3)
    assert approximate_limit(70, 126, 0.5) == pytest.approx(printed, abs=1e-3)


def test_too_few_tastings_never_show_similarity():
    assert largest_similar(3, 1 / 3, 0.1) == -1


@pytest.mark.parametrize("chance", [1 / 10, 1 / 3, 1 / 2])
@pytest.mark.parametrize("p_d", [0.25, 0.4, 0.95])
def test_size_is_what_its_definition_says(chance, p_d):
    n = np.arange(1, 700)
    x = binom.ppf(0.05, n, chance + (1 - chance) * p_d) - 1
    enough = binom.cdf(x, n, chance) >= 0.8
    found = similarity_size(chance, p_d, alpha=0.2, beta=0.05)
    assert found.n == n[enough.argmax()]
    assert found.lasting_n == n[~enough].max(initial=0) + 1


def test_size_states_how_often_nothing_may_be_concluded():
    found = similarity_size(1 / 3, 0.3)
    assert found.below_chance == pytest.approx(binom.cdf(np.ceil(found.n / 3) - 1, found.n, 1 / 3))
    assert found.below_chance < found.power
    assert found.beta <= 0.05


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((60, 1 / 3, 0.0), "p_d is 0 but must lie"),
        ((60, 1 / 3, 0.3, 0.5), "beta is 0.5 but must lie"),
        ((60, 0.0, 0.3), "chance is 0 but must lie"),
    ],
)
def test_largest_similar_refuses(arguments, message):
    with pytest.raises(InputError, match=message):
        largest_similar(*arguments)


@pytest.mark.parametrize("limit", [upper_limit, approximate_limit])
def test_limits_refuse_impossible_counts(limit):
    with pytest.raises(InputError, match="correct is 61 but only 60"):
        limit(61, 60, 1 / 3)


def test_size_refuses_the_endless():
    with pytest.raises(InputError, match="over 20000 tastings"):
        similarity_size(1 / 3, 0.01)
