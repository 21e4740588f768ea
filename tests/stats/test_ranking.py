"""Friedman's test and rank-sum differences."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import friedmanchisquare, studentized_range

from tasting.errors import InputError
from tasting.stats.ranking import friedman, least_difference, rank_differences

from .published import rows

# Korosteleva 2013, Nonparametric Methods in Statistics with SAS Applications: three beers rated by
# ten tasters.
BEERS = [
    [4, 5, 8], [3, 7, 6], [2, 8, 8], [5, 7, 9], [1, 3, 6],
    [4, 4, 6], [3, 6, 8], [2, 5, 5], [2, 7, 9], [6, 4, 5],
]  # fmt: skip
PRINTED = rows("stat_rank_sum_differences.csv")


def dressings():
    lines = rows("stat_tartness.csv")
    ranks = [[int(line[c]) for c in "abcd"] for line in lines]
    return np.repeat(ranks, [int(line["assessors"]) for line in lines], axis=0)


def test_beers_with_ties():
    found = friedman(BEERS)
    assert found.rank_sums == (12.5, 20.5, 27.0)
    assert found.statistic == pytest.approx(friedmanchisquare(*np.transpose(BEERS)).statistic)
    # The book's exact critical values are 6.2 (5 %) and 9.6 (1 %).
    assert found.statistic > 9.6


def test_tartness_of_dressings():
    # Vargo 1989: computed beforehand with scipy.
    found = friedman(dressings())
    assert found.rank_sums == (110, 46, 74, 90)
    assert (found.statistic, found.concordance) == pytest.approx((41.1, 0.428125))
    assert found.f_statistic == pytest.approx(23.20765, abs=1e-5)
    assert found.p_value == pytest.approx(6.2275e-9, rel=1e-4)


@given(st.lists(st.lists(st.integers(1, 5), min_size=4, max_size=4), min_size=3, max_size=12))
def test_statistic_is_scipys(table):
    if all(len(set(row)) == 1 for row in table):
        return
    theirs = friedmanchisquare(*np.transpose(table))
    found = friedman(table)
    assert found.statistic == pytest.approx(theirs.statistic, abs=1e-9)
    assert found.p_value == pytest.approx(theirs.pvalue)


def test_full_agreement():
    found = friedman([[1, 2, 3]] * 6)
    assert (found.concordance, found.f_p_value) == (pytest.approx(1), 0)


def test_differences_in_print_within_one_rank():
    # Exact tables against the approximation for many assessors; two thirds agree when rounded up.
    gaps = [
        int(row["critical"]) - least_difference(int(row["assessors"]), int(row["products"]))
        for row in PRINTED
    ]
    assert len(gaps) == 126
    assert min(gaps) > -2
    assert max(gaps) < 2
    assert np.mean([0 <= gap < 1 for gap in gaps]) > 0.6


def test_differences_of_dressings_without_ties():
    pairs = rank_differences(dressings())
    assert [pair.difference for pair in pairs] == [-64, -36, -20, 28, 44, 16]
    p = studentized_range.sf(64 / np.sqrt(32 * 4 * 5 / 12), 4, np.inf)
    assert pairs[0].p_value == pytest.approx(p)


def test_a_difference_that_counts_has_its_p_value_below_alpha():
    least = least_difference(32, 4)
    for pair in rank_differences(dressings()):
        assert (abs(pair.difference) >= least) == (pair.p_value <= 0.05)


@pytest.mark.parametrize(
    ("ratings", "message"),
    [
        ([[1, 2, 3]], "at least 2 assessors"),
        ([[1, 2], [2, 1]], "3 products"),
        ([[1, 2, np.nan], [1, 2, 3]], "a rating is missing"),
        ([[2, 2, 2], [3, 3, 3]], "ties all products"),
    ],
)
def test_friedman_refuses(ratings, message):
    with pytest.raises(InputError, match=message):
        friedman(ratings)


def test_least_difference_refuses_one_product():
    with pytest.raises(InputError, match="at least 2 assessors and 2 products"):
        least_difference(10, 1)
