"""Friedman's test and rank-sum differences."""

from itertools import permutations, product

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
    assert found.p_value == pytest.approx(6.2275e-9, rel=1e-4) or found.exact


@given(st.lists(st.lists(st.integers(1, 5), min_size=4, max_size=4), min_size=3, max_size=12))
def test_statistic_is_scipys(table):
    if all(len(set(row)) == 1 for row in table):
        return
    theirs = friedmanchisquare(*np.transpose(table))
    found = friedman(table)
    assert found.statistic == pytest.approx(theirs.statistic, abs=1e-9)


def test_a_large_panel_is_weighed_by_chi_square_as_scipys():
    table = np.random.default_rng(4).random((400, 4))
    found = friedman(table)
    assert not found.exact
    assert found.p_value == pytest.approx(friedmanchisquare(*np.transpose(table)).pvalue)


@pytest.mark.parametrize(
    ("ratings", "p"),
    [
        # Friedman 1937, JASA 32:675, tables V and VI (from memory): 4 x 3, chi-square 6.5 and 8.
        ([[1, 2, 3], [1, 2, 3], [2, 1, 3], [1, 2, 3]], 0.042),
        ([[1, 2, 3]] * 4, 0.0046),
    ],
)
def test_a_small_panel_is_weighed_by_all_permutations(ratings, p):
    found = friedman(ratings)
    assert found.exact
    assert found.p_value == pytest.approx(p, abs=0.0006)
    assert found.p_value == pytest.approx(counted(ratings))


def counted(ratings):
    """Every order of every row, by brute force, on scipy's statistic."""
    seen = friedmanchisquare(*np.transpose(ratings)).statistic
    every = [
        friedmanchisquare(*np.transpose(rows_)).statistic
        for rows_ in product(*[list(permutations(row)) for row in ratings])
    ]
    return np.mean([one >= seen - 1e-9 for one in every])


def test_ties_are_permuted_as_they_are():
    ratings = [[1, 1, 2], [1, 2, 3], [2, 3, 3], [1, 2, 2]]
    found = friedman(ratings)
    assert found.exact
    assert found.p_value == pytest.approx(counted(ratings))


def test_the_critical_value_of_four_by_three():
    """Chi-square 6 has exact p .069, not chi-square's .0498 (Friedman 1937, from memory)."""
    found = friedman([[1, 2, 3], [1, 2, 3], [2, 1, 3], [2, 1, 3]])
    assert found.statistic == pytest.approx(6.0)
    assert found.p_value == pytest.approx(0.069, abs=0.0005)


def test_pairs_of_a_small_panel_allow_for_all_of_them():
    """By brute force: how often the largest and the smallest rank sum lie so far apart."""
    ratings = np.array([[1, 2, 3], [1, 3, 2], [2, 1, 3], [1, 2, 3]])
    ranges = [
        np.ptp(np.sum(rows_, axis=0)) for rows_ in product(list(permutations((1, 2, 3))), repeat=4)
    ]
    for pair in rank_differences(ratings):
        assert pair.p_value == pytest.approx(np.mean(np.array(ranges) >= abs(pair.difference)))


def test_two_assessors_show_no_pair():
    assert least_difference(2, 3) is None


def test_full_agreement():
    found = friedman([[1, 2, 3]] * 6)
    assert (found.concordance, found.f_p_value) == (pytest.approx(1), 0)


def test_differences_in_print_within_one_rank():
    # Where it is exact, five in six agree, and the others are one above what was printed.
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


def test_pairs_of_a_large_panel_are_weighed_by_the_studentised_range():
    pairs = rank_differences(np.tile(dressings(), (8, 1)))
    p = studentized_range.sf(128 / np.sqrt(256 * 4 * 5 / 12), 4, np.inf)
    assert pairs[-1].p_value == pytest.approx(p)


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
