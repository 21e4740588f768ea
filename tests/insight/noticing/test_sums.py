"""Equal comparisons are added up: the sums give what every session for itself would give."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from tasting.insight.noticing.comparisons import Counted, SessionScore, comparisons, pooled
from tasting.insight.noticing.drivers import Reading
from tasting.insight.noticing.fit_check import drawn_deviances
from tasting.panel.methods import METHODS
from tests.insight.noticing.test_comparisons import BOTH, DRINKS
from tests.insight.noticing.test_model import by_hand, fitted, weight
from tests.insight.panels import MIXED, compared
from tests.ui.workshop import closed, planned


def again(times, seed=5):
    """The same comparisons on several evenings, each by 14 of the same 20 people."""
    random = np.random.default_rng(seed)
    made = []
    for one in MIXED * times:
        right = random.random(14) < one.count / one.n
        who = random.permutation(20)[:14]
        counts = zip(right.tolist(), who.tolist(), strict=True)
        made.append(replace(one, counts=tuple(Counted(1, int(r), w) for r, w in counts)))
    return made


def apart(some):
    """The same, kept from being added up by what no difference test looks at."""
    return [replace(one, attribute=str(place)) for place, one in enumerate(some)]


def test_equal_comparisons_are_fitted_as_sums_and_give_the_same():
    some = again(6)
    sums, each = fitted(some)[0], fitted(apart(some))[0]

    assert (len(sums.compared), len(each.compared)) == (len(MIXED), len(some))
    assert sums.fitted.theta == pytest.approx(each.fitted.theta, rel=1e-9, abs=1e-9)
    for key in ("ta", "sugar"):
        one, other = sums.weights[key], each.weights[key]
        ends = [(at.estimate.low, at.estimate.high, at.p_value) for at in (one, other)]
        assert ends[0] == pytest.approx(ends[1], rel=1e-7)
    assert sums.fitted.inflation(np.eye(4)) == pytest.approx(each.fitted.inflation(np.eye(4)))


def test_the_likelihood_of_sums_is_that_of_every_session():
    some = again(6)
    distance = fitted(some)[0]
    values = [weight(distance, key).value for key in ("ta", "sugar")]
    parameters = (*values, distance.rho.value, distance.gap.estimate.value)

    assert distance.fitted.value == pytest.approx(by_hand(parameters, some), rel=1e-6)


def test_the_deviance_is_that_of_every_session():
    """By scipy's binomial: one evening may differ from the next although the pair is the same."""
    some = again(6)
    distance = fitted(some)[0]
    n, right = 14, np.array([one.count for one in some])
    own = stats.binom.logpmf(right, n, right / n).sum()
    ways = stats.binom.logpmf(right, n, 0.5).sum() + len(some) * n * np.log(2)

    deviance = distance.deviance(distance.fitted.theta)
    assert deviance == pytest.approx(2 * (own - distance.fitted.value - ways), rel=1e-6)


@pytest.mark.parametrize("replicates", [1, 2])
def test_drawn_deviances_are_drawn_session_by_session(replicates):
    """Whether sums are drawn or every session for itself: the same distribution (scipy,
    Kolmogorov and Smirnov)."""
    some = [replace(one, counts=tuple(Counted(replicates, 1) for _ in range(9))) for one in MIXED]
    random = np.random.default_rng(2)
    sums, each = (
        drawn_deviances(fitted(those)[0], 400, random) for those in (some * 3, apart(some * 3))
    )

    assert stats.ks_2samp(sums, each, method="asymp").pvalue > 0.01


def test_sessions_of_the_same_pair_by_the_same_method_are_added_up():
    some = [
        closed(planned("one"), 9, 3),
        closed(planned("two"), 6, 6),
        closed(planned("other", b="spritz-3"), 6, 6),
    ]
    first, second = pooled(comparisons(some, DRINKS.drink, BOTH))

    assert (first.sessions, first.n, first.count) == (2, 24, 15)
    assert (second.sessions, second.n, second.count) == (1, 12, 6)
    assert first.scores == {SessionScore(1, 12, 9): 1, SessionScore(1, 12, 6): 1}
    assert set(first.answers[:, 2].tolist()) == set(range(12))


@pytest.mark.parametrize(
    "change",
    [
        {"lead": -1},
        {"attribute": "more sour"},
        {"with_reference": True},
        {"method": METHODS["tetrad"]},
        {"b": Reading(np.array([5.5, 60.0]), {"titration": np.array([0.2, 0.0])})},
        {"b": Reading(np.array([5.6, 60.0]), {})},
    ],
)
def test_what_differs_in_anything_that_counts_stays_apart(change):
    one = compared((0.5, 0), 12, 24)
    same = replace(one, b=Reading(one.b.levels.copy(), {}), name="another evening")

    assert len(pooled([one, same])) == 1
    assert len(pooled([one, replace(one, **change)])) == 2
