"""d-prime with criteria: same-different and A-not-A, against closed forms and statsmodels."""

from math import inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chi2, norm
from statsmodels.miscmodels.ordinal_model import OrderedModel

from tasting.errors import InputError
from tasting.stats.criterion import a_not_a, same_different
from tasting.stats.psychometric import says_same

# Christensen, Cleaver and Brockhoff 2011 (Food Qual Prefer 22:542), 185 people: answers from
# "reference, sure" to "not reference, sure" for the reference and for the other soups.
REFERENCE = [132, 161, 65, 41, 121, 219]
OTHER = [96, 99, 50, 57, 156, 650]


def by_statsmodels(for_a, for_not_a):
    kinds = np.repeat([0, 1], [sum(for_a), sum(for_not_a)])
    levels = range(len(for_a))
    answers = np.concatenate([np.repeat(levels, for_a), np.repeat(levels, for_not_a)])
    return OrderedModel(answers, kinds[:, None], distr="probit").fit(method="bfgs", disp=False)


def test_soup_with_sureness_is_the_ordered_probit_of_statsmodels():
    theirs, ours = by_statsmodels(REFERENCE, OTHER), a_not_a(REFERENCE, OTHER)
    assert ours.value == pytest.approx(theirs.params[0], abs=1e-4)


def test_soup_with_two_answers_is_a_difference_of_quantiles():
    # "Not reference" 381 of 739 and 863 of 1108: d' .72940 (computed).
    found = a_not_a([739 - 381, 381], [1108 - 863, 863])
    assert found.value == pytest.approx(norm.ppf(863 / 1108) - norm.ppf(381 / 739), abs=1e-6)


@settings(max_examples=10)
@given(st.lists(st.integers(1, 40), min_size=4, max_size=4))
def test_two_answers_have_a_closed_form(counts):
    found = a_not_a(counts[:2], counts[2:])
    z = norm.ppf([counts[1] / sum(counts[:2]), counts[3] / sum(counts[2:])])
    assert found.value == pytest.approx(z[1] - z[0], abs=1e-5)


@settings(max_examples=5)
@given(st.lists(st.integers(0, 12), min_size=8, max_size=8))
def test_a_and_not_a_exchanged_change_the_sign(counts):
    a, other = [n + 1 for n in counts[:4]], [n + 1 for n in counts[4:]]
    there, back = a_not_a(a, other), a_not_a(other, a)
    assert there.value == pytest.approx(-back.value, abs=1e-5)
    assert there.interval.low == pytest.approx(-back.interval.high, abs=1e-5)


def test_a_category_that_nobody_used_says_nothing():
    assert a_not_a([9, 0, 5], [4, 0, 11]).value == pytest.approx(a_not_a([9, 5], [4, 11]).value)


@pytest.mark.parametrize(
    ("for_a", "for_not_a", "value"),
    [([10, 0], [4, 6], inf), ([5, 5], [0, 10], inf), ([0, 10], [5, 5], -inf)],
)
def test_no_false_alarm_or_no_miss_leaves_one_end_open(for_a, for_not_a, value):
    found = a_not_a(for_a, for_not_a)
    assert found.value == value
    assert value in (found.interval.low, found.interval.high)
    assert min(abs(found.interval.low), abs(found.interval.high)) > 0


def test_sure_answers_recover_a_drawn_distance():
    rng = np.random.default_rng(9)
    edges = [-inf, -0.5, 0.2, 0.9, 1.6, inf]
    a, other = rng.standard_normal(20_000), rng.standard_normal(20_000) + 1.3
    counts = [np.histogram(np.clip(x, -9, 9), edges)[0].tolist() for x in (a, other)]
    found = a_not_a(*counts)
    assert found.interval.low < 1.3 < found.interval.high


def test_same_different_reproduces_both_shares():
    found = same_different(30, 40, 20, 40)
    tau = 2**0.5 * norm.ppf(1.75 / 2)  # at which same pairs are called same in 75 %
    assert float(says_same(0.0, tau)) == pytest.approx(0.75)
    assert float(says_same(found.value, tau)) == pytest.approx(0.5)


def test_same_different_interval_by_a_grid_over_the_criterion():
    found = same_different(32, 40, 18, 40)
    tau = np.linspace(0.5, 4, 40_001)

    def best(d):
        p, q = says_same(0.0, tau), says_same(d, tau)
        terms = 32 * np.log(p) + 8 * np.log1p(-p) + 18 * np.log(q) + 22 * np.log1p(-q)
        return terms.max()

    for end in (found.interval.low, found.interval.high):
        assert 2 * (best(found.value) - best(end)) == pytest.approx(chi2.ppf(0.95, 2), abs=1e-4)


def test_same_different_without_difference():
    found = same_different(20, 40, 30, 40)
    assert (found.value, found.interval.low) == (0, 0)


def test_no_different_pair_called_same_is_infinitely_far():
    found = same_different(30, 40, 0, 40)
    assert (found.value, found.interval.high) == (inf, inf)
    assert found.interval.low > 2


def test_whoever_calls_everything_same_has_told_nothing():
    found = same_different(40, 40, 40, 40)
    assert (found.interval.low, found.interval.high) == (0, inf)


@pytest.mark.parametrize(
    ("for_a", "for_not_a", "message"),
    [
        ([5, 5], [5, 5, 1], "2 and 3 categories were counted"),
        ([5], [5], "1 and 1 categories were counted"),
        ([5, -1], [5, 5], "a count is below 0"),
        ([0, 0], [5, 5], "no cup of one kind was judged"),
        ([5, 0], [7, 0], "every answer was the same"),
        ([5, 0.5], [7, 1], "give a whole number"),
    ],
)
def test_a_not_a_refuses(for_a, for_not_a, message):
    with pytest.raises(InputError, match=message):
        a_not_a(for_a, for_not_a)


def test_same_different_refuses_impossible_counts():
    with pytest.raises(InputError, match="different pairs called same is 41 but only 40"):
        same_different(30, 40, 41, 40)
