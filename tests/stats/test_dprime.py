"""Estimates of d-prime, their intervals, comparison and pooling."""

from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.stats import chi2, norm

from tasting.errors import InputError
from tasting.stats.dprime import Score, d_prime, pooled_d_prime
from tasting.stats.psychometric import (
    DUO_TRIO,
    SPECIFIED_TETRAD,
    TETRAD,
    THREE_AFC,
    TRIANGLE,
    TWO_AFC,
)

METHODS = [TWO_AFC, THREE_AFC, TRIANGLE, DUO_TRIO, TETRAD, SPECIFIED_TETRAD]
BY_NAME = {method.name: method for method in METHODS}


@given(st.sampled_from(METHODS), st.integers(1, 60), st.data())
def test_exact_interval_contains_the_estimate(method, n, data):
    found = d_prime(data.draw(st.integers(0, n)), n, method)
    assert found.exact.low <= found.value <= found.exact.high


def test_below_chance_is_zero_with_a_useful_upper_end():
    found = d_prime(2, 12, TRIANGLE)
    assert (found.value, found.interval.low, found.standard_error) == (0, 0, None)
    assert found.interval.high > 0.5
    assert found.exact.high == d_prime(4, 12, TRIANGLE).exact.high


def test_a_perfect_score_has_no_upper_end():
    found = d_prime(12, 12, TRIANGLE)
    assert (found.value, found.interval.high, found.standard_error) == (inf, inf, None)
    # Of all shares below it, that of 12 correct has a probability of 0.025.
    assert found.exact.low == pytest.approx(float(TRIANGLE.d_prime(0.025 ** (1 / 12))))
    assert found.exact.low < found.interval.low


def test_none_correct():
    assert d_prime(0, 12, TWO_AFC).value == 0


def test_a_signed_distance_mirrors():
    more, less = d_prime(9, 12, TWO_AFC, signed=True), d_prime(3, 12, TWO_AFC, signed=True)
    assert less.value == pytest.approx(-more.value)
    assert less.interval.low == pytest.approx(-more.interval.high)
    assert less.exact.high == pytest.approx(-more.exact.low)


def test_two_afc_by_the_normal_quantile():
    assert d_prime(38, 50, TWO_AFC).value == pytest.approx(2**0.5 * norm.ppf(0.76))


def test_only_two_afc_has_a_sign():
    with pytest.raises(InputError, match="only the 2-AFC has a signed d′, not the triangle"):
        d_prime(3, 12, TRIANGLE, signed=True)


def test_impossible_counts_are_refused():
    with pytest.raises(InputError, match="correct is 13 but only 12"):
        d_prime(13, 12, TRIANGLE)
    with pytest.raises(InputError, match="correct is 13 but only 12"):
        Score(13, 12, TRIANGLE)


def test_pooling_one_method_adds_its_counts():
    pooled = pooled_d_prime([Score(12, 20, TRIANGLE), Score(14, 30, TRIANGLE)])
    whole = d_prime(26, 50, TRIANGLE)
    assert pooled.value == pytest.approx(whole.value, abs=1e-7)
    assert pooled.interval.low == pytest.approx(whole.interval.low, abs=1e-6)
    assert pooled.interval.high == pytest.approx(whole.interval.high, abs=1e-6)


def test_pooling_methods_keeps_what_is_at_least_a_twentieth_as_likely():
    scores = [Score(15, 30, TRIANGLE), Score(20, 30, TETRAD)]
    pooled = pooled_d_prime(scores)
    at = np.array([pooled.value, pooled.interval.low, pooled.interval.high])
    highest, *ends = np.exp(sum(score.log_likelihood(at) for score in scores))
    assert ends == pytest.approx([highest / 20] * 2)


def test_homogeneity_is_the_likelihood_ratio_of_the_two_by_two_table():
    pooled = pooled_d_prime([Score(12, 20, TRIANGLE), Score(14, 30, TRIANGLE)])
    observed, expected = np.array([12, 8, 14, 16]), np.array([10.4, 9.6, 15.6, 14.4])
    ratio = 2 * np.sum(observed * np.log(observed / expected))
    assert pooled.p_value == pytest.approx(chi2.sf(ratio, 1))


def test_pooling_methods_by_a_general_optimiser():
    scores = [Score(15, 30, TRIANGLE), Score(20, 30, TETRAD), Score(24, 30, TWO_AFC)]

    def loss(d):
        return -sum(s.log_likelihood(d)[0] for s in scores)

    theirs = minimize(loss, [1.0], method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-12})
    assert pooled_d_prime(scores).value == pytest.approx(theirs.x[0], abs=1e-6)


def test_pooling_a_single_or_perfect_or_hopeless_score():
    assert pooled_d_prime([Score(9, 12, TRIANGLE)]).p_value == 1
    assert pooled_d_prime([Score(9, 9, TRIANGLE)] * 2).interval.high == inf
    assert pooled_d_prime([Score(1, 9, TRIANGLE)] * 2).value == 0


def test_there_must_be_something_to_pool():
    with pytest.raises(InputError, match="no score to pool"):
        pooled_d_prime([])
