"""Searching maxima and interval ends, on functions whose answers are known."""

import numpy as np
import pytest
from scipy.stats import binom, chi2

from tasting.stats.likelihood import (
    binomial_log_likelihood,
    chi_square_cut,
    chi_square_tail,
    deviance_end,
    peak,
    profile,
    support_cut,
)


def test_binomial_likelihood_up_to_its_constant():
    p = np.array([0.2, 0.5, 0.9])
    constant = binom.logpmf(3, 10, p) - binomial_log_likelihood(3, 10, p)
    assert constant == pytest.approx(np.full(3, np.log(120)))


@pytest.mark.parametrize(("correct", "p"), [(0, 0.0), (10, 1.0)])
def test_certainty_has_likelihood_one(correct, p):
    assert float(binomial_log_likelihood(correct, 10, np.asarray(p))) == 0


def test_chi_square():
    assert chi_square_cut(0.95) == pytest.approx(3.841459, abs=1e-6)
    assert chi_square_tail(3.841459, 1) == pytest.approx(0.05, abs=1e-7)
    assert chi_square_tail(-1e-15, 3) == chi2.sf(0, 3)


def test_the_support_cut_is_the_chi_square_quantile_of_two_degrees():
    # For two degrees of freedom the chi-square tail is exp(-x / 2).
    assert [support_cut(c) for c in (0.9, 0.95, 0.99)] == pytest.approx(
        chi2.ppf([0.9, 0.95, 0.99], 2)
    )


def test_a_perfect_score_keeps_by_support_what_the_exact_test_keeps():
    n = 12
    end = deviance_end(lambda p: -2 * n * np.log(p), 1.0, 0.01, support_cut(0.95))
    assert binom.sf(n - 1, n, end) == pytest.approx(0.05)


def test_end_of_a_parabola():
    assert deviance_end(lambda v: (v - 1) ** 2, 1.0, 50.0, 4.0) == pytest.approx(3)
    assert deviance_end(lambda v: (v - 1) ** 2, 1.0, -50.0, 4.0) == pytest.approx(-1)


def test_a_flat_deviance_ends_at_the_limit():
    assert deviance_end(lambda v: 0.0, 1.0, 7.0, 4.0) == 7


def test_nothing_lies_between_a_limit_and_itself():
    assert deviance_end(lambda v: 9.0 * (v != 2), 2.0, 2.0, 4.0) == 2


def test_peak_within_and_at_the_edge():
    at, value = peak(lambda v: -((v - 0.3) ** 2), 0, 1)
    assert (at, value) == (pytest.approx(0.3, abs=1e-7), pytest.approx(0, abs=1e-13))
    assert peak(lambda v: v, 0, 1) == (1, 1)


def test_profile_of_a_ridge():
    kept = np.array([0.0, 0.25, 1.0])
    values = profile(lambda a, b: -(a**2) - (b - a) ** 2, kept, 0, 1)
    assert values == pytest.approx(-(kept**2), abs=1e-13)
