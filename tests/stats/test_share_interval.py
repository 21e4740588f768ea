"""The exact likelihood interval of a share, against sums over every count."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import xlog1py, xlogy
from scipy.stats import binom, binomtest

from tasting.errors import InputError
from tasting.stats.binomial import proportion_interval
from tasting.stats.share_interval import share_interval, share_p_value


def by_hand(correct: int, n: int, share: float, floor: float) -> float:
    """The p-value, count by count."""

    def deviance(count: int) -> float:
        best = max(count / n, floor)
        fit, at = (xlogy(count, p) + xlog1py(n - count, -p) for p in (best, share))
        return float(fit - at)

    no_better = [k for k in range(n + 1) if deviance(k) >= deviance(correct) - 1e-10]
    return float(binom.pmf(no_better, n, share).sum())


@pytest.mark.parametrize("n", [5, 12, 31])
def test_at_one_half_it_is_the_two_sided_test_of_scipy(n):
    # At 1/2 the order by likelihood ratio is the order by probability, which binomtest uses.
    ours = [share_p_value(x, n, np.array([0.5]))[0] for x in range(n + 1)]
    assert ours == pytest.approx([binomtest(x, n, 0.5).pvalue for x in range(n + 1)])


@given(st.integers(1, 40), st.sampled_from([0.0, 1 / 6, 1 / 3, 1 / 2]), st.floats(0, 1), st.data())
def test_p_value_is_the_sum_over_counts_that_fit_no_better(n, floor, part, data):
    correct, share = data.draw(st.integers(0, n)), floor + (1 - floor) * (0.001 + 0.998 * part)
    ours = share_p_value(correct, n, np.array([share]), floor)[0]
    assert ours == pytest.approx(by_hand(correct, n, share, floor), abs=1e-9)


@pytest.mark.parametrize("floor", [0.0, 1 / 6, 1 / 3, 1 / 2])
@pytest.mark.parametrize("n", [7, 24, 60])
def test_it_covers_every_share_as_often_as_stated(n, floor):
    found = [share_interval(correct, n, floor, 0.9) for correct in range(n + 1)]
    low, high = np.array([(interval.low, interval.high) for interval in found]).T
    share = np.linspace(floor, 1, 1001)[:-1, None]
    inside = (low <= share + 1e-9) & (share - 1e-9 <= high)
    coverage = np.sum(binom.pmf(np.arange(n + 1), n, share) * inside, axis=1)
    assert coverage.min() >= 0.9 - 1e-4


@pytest.mark.parametrize("n", [8, 30, 90])
def test_more_correct_answers_never_lower_an_end(n):
    found = [share_interval(correct, n, 1 / 3) for correct in range(n + 1)]
    assert np.all(np.diff([interval.low for interval in found]) >= 0)
    assert np.all(np.diff([interval.high for interval in found]) >= 0)


@given(st.integers(1, 60), st.data())
def test_it_mirrors(n, data):
    correct = data.draw(st.integers(0, n))
    there, back = share_interval(correct, n), share_interval(n - correct, n)
    assert there.low == pytest.approx(1 - back.high, abs=1e-7)


def test_on_average_it_is_narrower_than_that_of_clopper_and_pearson():
    n, shares = 30, np.linspace(0.02, 0.98, 97)[:, None]
    likely = [share_interval(x, n) for x in range(n + 1)]
    exact = [proportion_interval(x, n) for x in range(n + 1)]
    weight = binom.pmf(np.arange(n + 1), n, shares)
    widths = [weight @ [i.high - i.low for i in found] for found in (likely, exact)]
    assert np.all(widths[0] < widths[1])


@pytest.mark.parametrize(("correct", "end"), [(0, "low"), (5, "low"), (30, "high")])
def test_a_score_at_the_edge_has_its_end_there(correct, end):
    assert getattr(share_interval(correct, 30, 1 / 3), end) == {"low": 1 / 3, "high": 1}[end]


def test_a_thousand_answers_are_as_good_as_normal():
    interval = share_interval(600, 1000)
    reach = 1.959964 * (0.6 * 0.4 / 1000) ** 0.5
    assert (interval.low, interval.high) == pytest.approx((0.6 - reach, 0.6 + reach), abs=1e-3)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((13, 12), "correct is 13 but only 12"),
        ((3, 12, -0.1), "floor is −0.1"),
        ((3, 12, 0.5, 1.0), "confidence is 1"),
    ],
)
def test_what_cannot_be_is_refused(arguments, message):
    with pytest.raises(InputError, match=message):
        share_interval(*arguments)
