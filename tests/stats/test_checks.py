"""What is refused at the door, and how it is said."""

import numpy as np
import pytest

from tasting.errors import InputError
from tasting.stats.checks import as_number, check_between, check_counts, check_n, whole


def test_whole_floats_are_whole_numbers():
    assert whole("n", np.array([3.0, 4.0])).dtype == np.int64


@pytest.mark.parametrize("value", [None, "3", 2.5, True, float("nan"), [1, None]])
def test_what_is_not_whole_is_named(value):
    with pytest.raises(InputError, match="^n is .*; give a whole number.$"):
        whole("n", value)


def test_a_long_value_is_cut_short():
    with pytest.raises(InputError, match=r"n is \[0\.5.*\.\.\.; give a whole number"):
        whole("n", [0.5] * 100)


def test_the_first_impossible_pair_is_named():
    with pytest.raises(InputError, match="correct is 9 but only 8"):
        check_counts([1, 9, 10], [8, 8, 9])


def test_counts_may_share_one_n():
    counts, sizes = check_counts([1, 2], 3)
    assert (counts.tolist(), int(sizes)) == ([1, 2], 3)


def test_nothing_to_check_is_no_error():
    assert check_n([]).size == 0


@pytest.mark.parametrize("value", ["much", None, float("nan")])
def test_what_is_no_number_is_named(value):
    with pytest.raises(InputError, match="alpha is .*; give a number"):
        as_number("alpha", value)


def test_bounds_are_open_unless_said_otherwise():
    assert check_between("gamma", 1, 0, 1, closed=True) == 1
    with pytest.raises(InputError, match="gamma is 1 but must lie between 0 and 1; so there."):
        check_between("gamma", 1, 0, 1, "so there")
