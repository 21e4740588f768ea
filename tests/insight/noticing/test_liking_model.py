"""The best liked level, from preference tests."""

import numpy as np
import pytest
from scipy import stats

from tasting.insight.noticing.liking_model import fit_liking
from tests.insight.panels import TA_AND_SUGAR, compared


def test_the_ideal_is_where_a_grid_of_utilities_is_likeliest():
    """Grid over ideal and curvature of -k (x - ideal)^2, with the ideal's profile interval."""
    levels = [(4.5, 5.5, 20), (5.0, 6.0, 15), (5.5, 6.5, 8), (4.5, 6.5, 13)]
    pairs = [
        compared((b - a, 0), count, 24, method="preference", base=(a, 60.0))
        for a, b, count in levels
    ]
    liking, _ = fit_liking(pairs, TA_AND_SUGAR, "linear", 0.95)
    ideal, k = np.meshgrid(np.linspace(4.5, 6.5, 1001), np.linspace(0.01, 4, 400), indexing="ij")
    height = np.zeros_like(ideal)
    for a, b, count in levels:
        lead = k * ((a - ideal) ** 2 - (b - ideal) ** 2)
        height += stats.binom.logpmf(count, 24, stats.norm.cdf(lead / np.sqrt(2)))
    profile = height.max(axis=1)
    inside = ideal[2 * (profile.max() - profile) <= stats.chi2.ppf(0.95, 1), 0]

    (found,) = liking.ideals
    assert (found.level.value, found.level.low, found.level.high) == pytest.approx(
        (ideal[profile.argmax(), 0], inside[0], inside[-1]), abs=6e-3
    )
    assert found.curvature.value == pytest.approx(
        k[np.unravel_index(height.argmax(), k.shape)], abs=0.02
    )


def test_a_preference_that_only_goes_up_brackets_no_ideal():
    rising = [
        compared((1, 0), 20, 24, method="preference", base=(a, 60.0)) for a in (4.0, 5.0, 6.0)
    ]
    liking, refused = fit_liking(rising, TA_AND_SUGAR, "linear", 0.95)

    assert liking.ideals == ()
    assert "not bracketed" in [one.why for one in refused]


def test_liking_is_not_asked_of_too_few():
    few = [compared((1, 0), 4, 8, method="preference")]
    liking, (refused,) = fit_liking(few, TA_AND_SUGAR, "linear", 0.95)

    assert liking is None
    assert refused.why == "too little"


def test_the_lead_is_the_difference_of_the_utilities():
    """At the estimates: -k (x - ideal)^2, by hand."""
    levels = [(4.5, 5.5, 20), (5.0, 6.0, 15), (5.5, 6.5, 8), (4.5, 6.5, 13)]
    pairs = [
        compared((b - a, 0), count, 24, method="preference", base=(a, 60.0))
        for a, b, count in levels
    ]
    liking, _ = fit_liking(pairs, TA_AND_SUGAR, "linear", 0.95)
    (ideal,) = liking.ideals
    best, k = ideal.level.value, ideal.curvature.value
    lead = liking.lead([(np.array([5.0, 60.0]), np.array([5.6, 60.0]))])[0]

    assert lead[0] == pytest.approx(k * ((5.0 - best) ** 2 - (5.6 - best) ** 2), rel=1e-6)
    assert lead[1] < lead[0] < lead[2]
