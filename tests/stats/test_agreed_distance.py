"""One distance for several sessions, against pooling by hand and a random-effects integral."""

from math import inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, chi2, chi2_contingency, norm

from tasting.errors import InputError
from tasting.stats.agreed_distance import Comparison, agreed_distance, compare_distances
from tasting.stats.dprime import Score, d_prime
from tasting.stats.psychometric import TETRAD, TRIANGLE, TWO_AFC


def scores(*counts: int, n: int = 24) -> list[Score]:
    return [Score(count, n, TRIANGLE) for count in counts]


def test_sessions_that_agree_are_one_score() -> None:
    found = agreed_distance(scores(14, 15))

    assert not found.spread_allowed
    assert found.value == pytest.approx(d_prime(29, 48, TRIANGLE).value, abs=1e-5)
    assert found.interval == d_prime(29, 48, TRIANGLE).interval


def test_a_single_session_agrees_with_itself() -> None:
    found = agreed_distance(scores(15))

    assert (found.p_value, found.disagree) == (1.0, False)


def test_sessions_that_disagree_have_a_mean_and_a_wide_interval() -> None:
    """5 of 24, then 15 of 24: d-prime 0 and 2.1."""
    found, pooled = agreed_distance(scores(5, 15)), d_prime(20, 48, TRIANGLE)

    assert found.disagree
    assert found.p_value < 0.01
    width = found.interval.high - found.interval.low
    assert width > 2 * (pooled.exact.high - pooled.exact.low)
    assert found.interval.low <= found.value <= found.interval.high


def test_the_mean_of_sessions_that_disagree_is_that_of_the_integral() -> None:
    """Normal distances around a mean, summed over a fine grid; scipy's binomial and normal."""
    counts, n = (17, 25, 29), 30
    d = np.linspace(-3, 8, 1101)
    shares = norm.cdf(np.maximum(d, 0) / 2**0.5)
    likelihood = np.array([binom.pmf(count, n, shares) for count in counts])
    means, spreads = np.linspace(0.5, 3, 126), np.linspace(0.05, 2, 40)
    best = max(
        (np.log(likelihood @ norm.pdf(d, mean, spread)).sum(), mean)
        for mean in means
        for spread in spreads
    )
    found = agreed_distance([Score(count, n, TWO_AFC) for count in counts])

    assert found.disagree
    assert found.value == pytest.approx(best[1], abs=0.05)


def compared(one: Score, other: Score) -> Comparison:
    return compare_distances([one], [other])


def test_comparison_of_2_afc_scores_is_a_comparison_of_probits() -> None:
    found = compared(Score(40, 50, TWO_AFC), Score(30, 50, TWO_AFC))
    ratio = chi2_contingency([[40, 10], [30, 20]], correction=False, lambda_="log-likelihood")

    assert found.difference == pytest.approx(2**0.5 * (norm.ppf(0.8) - norm.ppf(0.6)))
    assert found.p_value == pytest.approx(ratio.pvalue)


def test_the_interval_of_a_difference_excludes_zero_when_the_test_says_so() -> None:
    found = compared(Score(42, 50, TWO_AFC), Score(29, 50, TWO_AFC))

    assert found.p_value < chi2.sf(chi2.ppf(0.95, 2), 1)
    assert found.interval.low > 0


@settings(max_examples=15)
@given(st.integers(0, 23), st.integers(0, 23))
def test_comparison_mirrors(a: int, b: int) -> None:
    there = compared(Score(a, 24, TRIANGLE), Score(b, 24, TETRAD))
    back = compared(Score(b, 24, TETRAD), Score(a, 24, TRIANGLE))

    assert there.interval.low == pytest.approx(-back.interval.high, abs=1e-5)
    assert there.p_value == pytest.approx(back.p_value, abs=1e-6)


def test_sessions_that_disagree_weaken_a_comparison() -> None:
    alike = compare_distances(scores(20), scores(8, 8))
    torn = compare_distances(scores(20), scores(2, 15))

    assert alike.interval.low > 0
    assert torn.interval.low < 0


def test_perfect_scores_have_no_upper_end() -> None:
    found = compare_distances(scores(24), scores(8))

    assert (found.difference, found.interval.high) == (inf, inf)
    assert found.interval.low > 0


def test_without_sessions_there_is_nothing() -> None:
    with pytest.raises(InputError, match="no score to pool"):
        agreed_distance([])
