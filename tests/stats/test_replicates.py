"""The beta-binomial model against closed forms, scipy and drawn panels."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import betabinom, binom, chi2

from tasting.errors import InputError
from tasting.stats.binomial import p_value
from tasting.stats.replicates import (
    fit_replicates,
    log_probabilities,
    replicated_limit,
    sign_change_p_value,
    variance_inflation,
)
from tasting.stats.similarity import upper_limit

# 54 assessors x 2 triangles, 29 of 108 correct (stats.stackexchange.com, question 86605). The split
# over assessors is not printed there; this one has that total.
FEW_RIGHT = [0] * 28 + [1] * 23 + [2] * 3


def spread(zero, one, two):
    return [0] * zero + [1] * one + [2] * two


def closed_form(zero, one, two):
    """With 2 replicates the model is saturated: mu is the share, gamma the correlation."""
    n = zero + one + two
    mu = (one + 2 * two) / (2 * n)
    return mu, (two / n - mu**2) / (mu * (1 - mu))


@pytest.mark.parametrize("counts", [(8, 9, 13), (10, 10, 10), (5, 12, 13)])
def test_two_replicates_have_a_closed_form(counts):
    fit = fit_replicates(spread(*counts), 2)
    assert (fit.mu.value, fit.gamma.value) == pytest.approx(closed_form(*counts), abs=1e-6)


def test_two_replicates_corrected_for_guessing():
    # Share .5333 and pairs .3333: p_d = (.5333 - 1/3) / (2/3) = .3; the pairs give gamma .5238.
    fit = fit_replicates(spread(8, 12, 10), 2, 1 / 3)
    assert (fit.mu.value, fit.gamma.value) == pytest.approx((0.3, 0.523810), abs=1e-6)


def test_geisslers_sibships():
    # Geissler's families of 12, figures as quoted in reference works (from memory): alpha 34.09558,
    # beta 31.5715, AIC 24989.74, of the binomial 25070.34. Alpha is loose: the likelihood is flat.
    boys = [3, 24, 104, 286, 670, 1033, 1343, 1112, 829, 478, 181, 45, 7]
    fit = fit_replicates(np.repeat(np.arange(13), boys).tolist(), 12)
    alpha = fit.mu.value * (1 / fit.gamma.value - 1)
    assert 4 - 2 * fit.log_likelihood == pytest.approx(24989.74, abs=0.01)
    assert 2 - 2 * fit.log_likelihood + fit.statistic == pytest.approx(25070.34, abs=0.01)
    assert alpha == pytest.approx(34.0956, abs=0.02)


@given(st.integers(1, 8), st.floats(0.05, 0.95), st.floats(0.01, 0.9))
def test_plain_probabilities_are_scipys(replicates, mu, gamma):
    ours = np.exp(log_probabilities(replicates, np.asarray(mu), np.asarray(gamma)))
    a, b = mu * (1 / gamma - 1), (1 - mu) * (1 / gamma - 1)
    assert ours == pytest.approx(betabinom.pmf(np.arange(replicates + 1), replicates, a, b))


def test_probabilities_with_guessing_by_summing_over_noticing():
    r, mu, gamma, chance = 3, 0.4, 0.3, 1 / 3
    a, b = mu * (1 / gamma - 1), (1 - mu) * (1 / gamma - 1)
    share = betabinom.pmf(np.arange(r + 1), r, a, b)
    lucky = [binom.pmf(np.arange(r + 1) - k, r - k, chance) for k in range(r + 1)]
    ours = np.exp(log_probabilities(r, np.asarray(mu), np.asarray(gamma), chance))
    assert ours == pytest.approx(share @ lucky)


def test_no_spread_is_binomial():
    ours = np.exp(log_probabilities(4, np.asarray(0.25), np.asarray(0.0), 0.5))
    assert ours == pytest.approx(binom.pmf(np.arange(5), 4, 0.625))


@pytest.mark.parametrize("mu", [0.0, 0.4, 1.0])
@pytest.mark.parametrize("gamma", [0.0, 1.0])
def test_probabilities_sum_to_one_at_the_boundary(mu, gamma):
    logs = log_probabilities(3, np.asarray(mu), np.asarray(gamma), 1 / 3)
    assert np.exp(logs).sum() == pytest.approx(1)


def test_half_of_the_null_lies_at_zero():
    fit = fit_replicates(spread(8, 9, 13), 2)
    assert fit.p_value == pytest.approx(chi2.sf(fit.statistic, 1) / 2)


def test_less_spread_than_chance_is_no_spread():
    fit = fit_replicates([1] * 20, 2)
    assert (fit.gamma.value, fit.statistic, fit.p_value) == (0, 0, 1)


def test_below_chance_nobody_notices_and_the_spread_is_unknown():
    fit = fit_replicates(FEW_RIGHT, 2, 1 / 3)
    assert (fit.mu.value, fit.gamma.value) == (0, 0)
    assert (fit.gamma.low, fit.gamma.high) == (0, 1)


def test_all_or_none_is_a_spread_of_one():
    fit = fit_replicates([0] * 6 + [3] * 6, 3)
    assert fit.gamma.value == pytest.approx(1, abs=1e-5)
    assert fit.mu.value == pytest.approx(0.5)


def test_interval_ends_have_the_deviance_of_the_confidence():
    fit = fit_replicates(spread(8, 9, 13), 2)
    gammas = np.linspace(0, 0.999, 20001)
    rows = log_probabilities(2, np.asarray(fit.mu.low), gammas)
    best = (rows @ np.array([8, 9, 13])).max()
    assert 2 * (fit.log_likelihood - best) == pytest.approx(chi2.ppf(0.95, 2), abs=1e-4)


def test_spread_widens_the_limit_of_p_d():
    alike, apart = [1] * 24, [0] * 16 + [3] * 8
    assert replicated_limit(apart, 3, 1 / 3) > replicated_limit(alike, 3, 1 / 3)
    assert replicated_limit(apart, 3, 1 / 3) > upper_limit(24, 72, 1 / 3)


def test_fit_recovers_a_drawn_panel():
    rng = np.random.default_rng(6)
    p = 1 / 3 + 2 / 3 * rng.beta(1.2, 2.8, 3000)
    fit = fit_replicates(rng.binomial(4, p).tolist(), 4, 1 / 3)
    assert fit.mu.value == pytest.approx(0.3, abs=0.03)
    assert fit.gamma.value == pytest.approx(0.2, abs=0.06)


def test_variance_inflation_is_that_of_the_drawn_count():
    rng = np.random.default_rng(7)
    counts = rng.binomial(3, rng.beta(1.5, 1.5, (40_000, 12))).sum(axis=1)
    inflation = counts.var() / (36 * 0.25)
    assert variance_inflation(3, 1 / 4) == 1.5
    assert inflation == pytest.approx(1.5, abs=0.03)


@given(st.lists(st.integers(-3, 3), min_size=1, max_size=8))
def test_sign_changes_by_listing_them(excesses):
    signs = product([-1, 1], repeat=len(excesses))
    totals = [abs(sum(s * e for s, e in zip(sign, excesses, strict=True))) for sign in signs]
    share = np.mean([total >= abs(sum(excesses)) for total in totals])
    assert sign_change_p_value(excesses) == pytest.approx(share)


def test_one_assessors_replicates_speak_for_that_one():
    # Five people, each sure of the same product three times: 2 of 2^5 sign patterns, not of 2^15.
    assert sign_change_p_value([3] * 5) == pytest.approx(2 / 2**5)
    assert p_value(15, 15, 0.5, sides=2) == pytest.approx(2 / 2**15)


def test_replicated_preference_keeps_its_level_where_pooling_does_not():
    rng = np.random.default_rng(8)
    panels = rng.binomial(3, rng.beta(7 / 6, 7 / 6, (20_000, 12)))
    ours = [sign_change_p_value((2 * panel - 3).tolist()) <= 0.05 for panel in panels[:400]]
    pooled = p_value(panels.sum(axis=1), 36, 0.5, sides=2) <= 0.05
    assert np.mean(ours) < 0.05 + 2.5 * (0.05 * 0.95 / 400) ** 0.5
    # Computed beforehand by simulation: pooled size .086 against .029 at gamma 0.3.
    assert np.mean(pooled) == pytest.approx(0.086, abs=0.006)


@pytest.mark.parametrize(
    ("correct", "replicates", "message"),
    [
        ([1, 1], 1, "replicates is 1; at least 2"),
        ([3, 1], 2, "correct is 3 but only 2"),
        ([], 2, "there is no assessor"),
    ],
)
def test_fit_refuses(correct, replicates, message):
    with pytest.raises(InputError, match=message):
        fit_replicates(correct, replicates)


def test_inflation_refuses_a_spread_above_one():
    with pytest.raises(InputError, match="gamma is 1.2 but must lie from 0 to 1"):
        variance_inflation(3, 1.2)
