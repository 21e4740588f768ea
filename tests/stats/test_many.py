"""Many sessions: false alarms, adjusted p-values against statsmodels, combined comparisons."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from statsmodels.stats.multitest import multipletests

from tasting.errors import InputError
from tasting.stats.binomial import p_value
from tasting.stats.many import benjamini_hochberg, combine, false_alarms, holm

THIRD = 1 / 3
lists_of_p = st.lists(st.floats(0, 1), min_size=1, max_size=30)


@settings(max_examples=4)
@given(lists_of_p)
def test_holm_is_statsmodels(p):
    assert holm(p) == pytest.approx(multipletests(p, method="holm")[1])


@settings(max_examples=4)
@given(lists_of_p)
def test_benjamini_hochberg_is_statsmodels(p):
    assert benjamini_hochberg(p) == pytest.approx(multipletests(p, method="fdr_bh")[1])


def test_holm_by_hand():
    # Four p-values: 4 x .01, 3 x .02 = .06, 2 x .03 = .06, 1 x .04 raised to .06.
    assert holm([0.02, 0.01, 0.04, 0.03]) == pytest.approx([0.06, 0.04, 0.06, 0.06])


def test_nothing_to_adjust():
    assert holm([]).size == benjamini_hochberg([]).size == 0


def test_false_alarms_to_expect():
    found = false_alarms([0.05, 0.03, 0.02])
    assert (found.tests, found.expected) == (3, pytest.approx(0.1))
    assert found.at_least_one == pytest.approx(1 - 0.95 * 0.97 * 0.98)


def test_no_test_no_alarm():
    assert false_alarms([]).at_least_one == 0


def test_combined_sessions_are_one_longer_session():
    found = combine([12, 9, 14], [24, 24, 30], THIRD)
    assert (found.correct, found.n) == (35, 78)
    assert found.p_value == p_value(35, 78, THIRD)


def test_several_weak_sessions_can_be_strong_together():
    single = p_value(14, 30, THIRD)
    assert single > 0.05
    assert combine([14] * 3, [30] * 3, THIRD).p_value < 0.01


@pytest.mark.parametrize("p", [[1.2], [-0.1], [np.nan]])
def test_adjusting_refuses_what_is_no_p_value(p):
    with pytest.raises(InputError, match="p-values must be a list of numbers from 0 to 1"):
        holm(p)


def test_false_alarms_refuse_alpha():
    with pytest.raises(InputError, match="alpha is 0.7"):
        false_alarms([0.05, 0.7])
