"""Preference of one pair, with those who have none."""

from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from tasting.errors import InputError
from tasting.stats.preference import preference


def test_worked_numbers_in_three_ways():
    # Own numbers, 45 for A, 30 for B, 25 undecided, computed beforehand with scipy.
    found = preference(45, 30, 25)
    assert found.dropped_p_value == pytest.approx(0.10534, abs=1e-5)
    assert found.split_p_value == pytest.approx(0.19335, abs=1e-5)
    assert (found.model.worth, found.model.tie_weight) == pytest.approx((0.6, 0.6804138))


@given(st.integers(0, 80), st.integers(1, 80))
def test_without_the_undecided_it_is_scipys_two_sided_test(a, b):
    found = preference(a, b)
    theirs = binomtest(a, a + b)
    assert found.dropped_p_value == pytest.approx(theirs.pvalue)
    assert found.split_p_value == found.dropped_p_value
    assert found.share.high == pytest.approx(theirs.proportion_ci(method="exact").high)


@given(st.integers(0, 40), st.integers(1, 40), st.integers(0, 40))
def test_undecided_answers_never_add_evidence(a, b, none):
    assert preference(a, b, none).split_p_value >= preference(a, b).split_p_value * (1 - 1e-9)


@given(st.integers(0, 40), st.integers(1, 40), st.integers(0, 40))
def test_the_products_names_do_not_matter(a, b, none):
    there, back = preference(a, b, none), preference(b, a, none)
    assert there.split_p_value == back.split_p_value
    assert there.model.p_value == pytest.approx(back.model.p_value)
    assert there.model.interval.low == pytest.approx(1 - back.model.interval.high, abs=1e-9)


def test_davidsons_probabilities_give_back_the_shares():
    model = preference(45, 30, 25).model
    w, tie = np.array([model.worth, 1 - model.worth]), model.tie_weight
    root = tie * np.sqrt(w.prod())
    assert [*w / (1 + root), root / (1 + root)] == pytest.approx([0.45, 0.30, 0.25])


def test_the_interval_of_the_worth_lies_within_that_of_clopper_and_pearson():
    found = preference(45, 30, 25)
    assert found.share.low < found.model.interval.low < 0.6
    assert 0.6 < found.model.interval.high < found.share.high


def test_a_product_nobody_chose():
    found = preference(12, 0, 3)
    assert (found.model.worth, found.model.interval.high) == (1, 1)
    assert found.model.tie_weight == inf
    assert preference(12, 0).model.tie_weight == 0


def test_without_a_choice_there_is_no_preference():
    with pytest.raises(InputError, match="nobody chose one of the two"):
        preference(0, 0, 9)
