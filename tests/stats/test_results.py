"""Shared results."""

from dataclasses import FrozenInstanceError

import pytest

from tasting.stats.results import Estimate, Interval


def test_an_estimate_lends_its_interval_s_ends():
    estimate = Estimate(0.4, Interval(0.1, 0.7, 0.95))
    assert (estimate.low, estimate.high) == (0.1, 0.7)


def test_results_are_frozen():
    with pytest.raises(FrozenInstanceError):
        Interval(0.1, 0.7, 0.95).low = 0.2
