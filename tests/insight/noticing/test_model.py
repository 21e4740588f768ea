"""The noticing model against other ways to the same numbers, and its invariants."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, stats

from tasting.insight.noticing.attribute_models import fit_attribute
from tasting.insight.noticing.design import POWERS, Distances
from tasting.insight.noticing.distance_model import fit_distance
from tasting.insight.noticing.drivers import DRIVERS
from tasting.stats.fitting.likelihood import Likelihood, Rows, categories
from tasting.stats.psychometric import TRIANGLE, TWO_AFC
from tests.insight.panels import MIXED, TA_AND_SUGAR, compared, swapped

PAIRS = [
    compared((0.5, 0), 16, 24, method="paired"),
    compared((1.0, 4), 18, 24, method="paired"),
    compared((0.2, 10), 9, 24, method="paired"),
    compared((-0.4, 8), 3, 20, method="paired"),
]


def fitted(comparisons, drivers=TA_AND_SUGAR, pair=(0, 1), confidence=0.95):
    return fit_distance(comparisons, drivers, "linear", pair, confidence)


def weight(distance, key):
    return distance.weights[key].estimate


def by_hand(parameters, comparisons, power=1.0):
    """Log-likelihood of binomial counts at w_a, w_s, rho, c, from the model's formula; weights are
    d-prime at the largest step, for each unit."""
    w_a, w_s, rho, c = parameters
    delta = np.array([one.delta for one in comparisons])
    largest = np.abs(delta).max(axis=0)
    delta = largest * np.sign(delta) * np.abs(delta / largest) ** power
    acid, sugar = w_a * delta[:, 0], w_s * delta[:, 1]
    gap = c * np.array([one.with_reference for one in comparisons])
    square = acid**2 + sugar**2 + 2 * rho * acid * sugar + gap**2
    p = TRIANGLE.function(np.sqrt(np.maximum(square, 0.0)))
    right = np.array([one.count for one in comparisons])
    wrong = np.array([one.n - one.count for one in comparisons])
    return float(right @ np.log(p) + wrong @ np.log1p(-p))


# The likelihood itself


@pytest.mark.parametrize("replicates", [1, 2, 5])
@pytest.mark.parametrize("squared", [True, False])
def test_scores_are_the_slopes_of_the_likelihood(squared, replicates):
    """Against central differences."""
    random = np.random.default_rng(3)
    design = random.uniform(0.1, 1, (6, 2))
    counts = random.integers(0, 5, (6, replicates + 1)).astype(float)
    rows = Rows(TRIANGLE, squared, design, counts, np.ones(6), np.arange(6))
    model = Likelihood((replace(rows, psychometric=TRIANGLE if squared else TWO_AFC),), 2, True)
    theta = np.array([0.7, 0.4, 0.2])
    steps = 1e-6 * np.eye(3)
    numeric = (model(theta + steps).value - model(theta - steps).value) / 2e-6

    assert model(theta[None]).score[0] == pytest.approx(numeric, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("spread", [0.001, 0.2, 0.8])
def test_replicates_are_beta_binomial(spread):
    """Against scipy's beta-binomial distribution, for a method without a right answer."""
    rows = Rows(TWO_AFC, False, np.ones((1, 1)), np.zeros((1, 5)), np.ones(1), np.arange(1))
    share = np.array([[0.7]])
    found, *_ = categories(rows, share, np.array([[spread]]))
    a, b = 0.7 * (1 / spread - 1), 0.3 * (1 / spread - 1)

    assert found[0, 0] == pytest.approx(stats.betabinom.pmf(range(5), 4, a, b), rel=1e-9)


def test_guessing_alone_is_binomial_whatever_the_spread():
    """If nobody notices, each answer is right by chance (ISO 10399)."""
    rows = Rows(TRIANGLE, True, np.ones((1, 1)), np.zeros((1, 4)), np.ones(1), np.arange(1))
    found, *_ = categories(rows, np.array([[1 / 3]]), np.array([[0.6]]))

    assert found[0, 0] == pytest.approx(stats.binom.pmf(range(4), 3, 1 / 3), abs=1e-12)


# Against other ways to the same maximum


def test_pairs_are_a_probit_regression_without_an_intercept():
    """statsmodels: Binomial family, probit link, on the differences over the square root of 2."""
    attribute, _ = fit_attribute("more sour", PAIRS, TA_AND_SUGAR, "linear", 0.95)
    deltas = np.array([one.delta for one in PAIRS]) / np.sqrt(2)
    answers = [(one.count, one.n - one.count) for one in PAIRS]
    family = sm.families.Binomial(sm.families.links.Probit())
    other = sm.GLM(np.array(answers), deltas, family=family).fit(tol=1e-12)

    weights = [attribute.weights[key].estimate.value for key in ("ta", "sugar")]
    assert weights == pytest.approx(other.params, rel=1e-6)


def test_the_ratio_test_of_pairs_is_the_deviance_of_probit_regressions():
    """statsmodels, with and without sugar."""
    attribute, _ = fit_attribute("more sour", PAIRS, TA_AND_SUGAR, "linear", 0.95)
    deltas = np.array([one.delta for one in PAIRS]) / np.sqrt(2)
    answers = np.array([(one.count, one.n - one.count) for one in PAIRS])
    family = sm.families.Binomial(sm.families.links.Probit())
    both, acid = (sm.GLM(answers, x, family=family).fit(tol=1e-12) for x in (deltas, deltas[:, :1]))

    statistic = acid.deviance - both.deviance
    assert attribute.weights["sugar"].statistic == pytest.approx(statistic, rel=1e-6)


def test_one_weight_is_found_by_a_fine_grid_too():
    acid = [one for one in MIXED if not one.delta[1] and one.delta[0]]
    distance, _ = fitted(acid, TA_AND_SUGAR[:1], None)
    grid, powers = np.linspace(0, 8, 8001), np.linspace(*POWERS, 45)[:, None]
    largest = max(one.delta[0] for one in acid)
    height = np.zeros((len(powers), len(grid)))
    for one in acid:
        p = TRIANGLE.function(grid * largest * (one.delta[0] / largest) ** powers)
        height += one.count * np.log(p) + (one.n - one.count) * np.log1p(-p)
    inside = grid[np.any(2 * (height.max() - height) <= stats.chi2.ppf(0.95, 1), axis=0)]

    found = weight(distance, "ta")
    straight = height[powers[:, 0] == 1][0]
    assert (found.value, found.low, found.high) == pytest.approx(
        (grid[straight.argmax()], inside[0], inside[-1]), abs=4e-3
    )


def test_the_triangle_maximum_is_that_of_a_brute_grid():
    """w_a, w_s, rho and c on a grid: none is higher, and the best is next to what was found."""
    distance, _ = fitted(MIXED)
    axes = np.linspace(1, 3, 9), np.linspace(0.1, 0.26, 9), np.linspace(-0.6, 0.6, 7)
    grid = list(product(*axes, np.linspace(0, 2, 9)))
    heights = [by_hand(point, MIXED) for point in grid]

    assert max(heights) <= distance.fitted.value + 1e-9
    assert max(heights) > distance.fitted.value - 0.1


def test_no_random_start_climbs_higher():
    """scipy.optimize.minimize (L-BFGS-B) from 20 random starts, on the formula itself."""
    distance, _ = fitted(MIXED)
    random = np.random.default_rng(7)
    bounds = [(0, 10), (0, 1), (-1, 1), (0, 5)]
    starts = random.uniform([0.2, 0.02, -0.9, 0.1], [5, 0.5, 0.9, 3], (20, 4))
    best = [
        optimize.minimize(lambda x: -by_hand(x, MIXED), start, bounds=bounds) for start in starts
    ]
    top = min(best, key=lambda result: result.fun)

    assert -top.fun == pytest.approx(distance.fitted.value, abs=1e-6)
    values = [weight(distance, "ta").value, weight(distance, "sugar").value]
    found = [*values, distance.rho.value, distance.gap.estimate.value]
    assert top.x == pytest.approx(found, rel=5e-3, abs=5e-3)


def test_an_end_of_an_interval_is_where_the_profile_reaches_the_cut():
    """Profile over the other parameters, the power too, by scipy at the ends that were found."""
    distance, _ = fitted(MIXED)
    for end in (distance.gap.estimate.low, distance.gap.estimate.high):
        if end > 0:
            fall = optimize.minimize(
                lambda x, c=end: -by_hand((*x[:3], c), MIXED, x[3]),
                (2.0, 0.2, 0.0, 1.0),
                bounds=[(0, 10), (0, 1), (-1, 1), POWERS],
            )
            statistic = 2 * (distance.bent.value + fall.fun)
            assert statistic == pytest.approx(stats.chi2.ppf(0.95, 1), abs=0.02)


def test_the_ratio_test_compares_with_the_model_without_the_driver():
    distance, _ = fitted(MIXED)
    without = optimize.minimize(
        lambda x: -by_hand((x[0], 0.0, 0.0, x[1]), MIXED), (2.0, 1.0), bounds=[(0, 10), (0, 5)]
    )
    statistic = 2 * (distance.fitted.value + without.fun)

    tested = distance.weights["sugar"]
    assert tested.statistic == pytest.approx(statistic, rel=1e-5)
    # Half chi-square of 1, half of 2 degrees of freedom (Self and Liang 1987).
    tails = stats.chi2.sf(statistic, [1, 2])
    assert tested.p_value == pytest.approx(tails.mean(), rel=1e-4)


@pytest.mark.parametrize("right", [13, 14, 15, 16])
def test_a_weight_that_is_not_shown_has_an_interval_that_holds_zero(right):
    """Without the weight q falls away too, so the plain cut of the profile would be too narrow."""
    some = [*MIXED[:2], compared((0, 8), right, 24), compared((0.8, 9), 15, 24)]
    tested = fitted(some)[0].weights["sugar"]

    assert (tested.estimate.low == 0) >= (tested.p_value > 0.05)


# Invariants

steps = st.tuples(st.sampled_from([0.0, 0.4, 0.9]), st.sampled_from([-9.0, 0.0, 7.0, 12.0]))
panels = st.lists(st.tuples(steps, st.integers(4, 24), st.booleans()), min_size=1, max_size=5)


@settings(max_examples=8, deadline=None)
@given(panels)
def test_swapping_the_samples_of_difference_tests_changes_nothing(drawn):
    some = [*MIXED, *(compared(d, count, 24, reference=r) for d, count, r in drawn)]
    one, other = fitted(some)[0], fitted([swapped(each) for each in some])[0]

    assert other.fitted.theta == pytest.approx(one.fitted.theta, rel=1e-6, abs=1e-7)


@settings(max_examples=8, deadline=None)
@given(st.lists(st.integers(3, 17), min_size=4, max_size=4))
def test_swapping_the_samples_of_pairs_turns_the_sign_of_differences_only(counts):
    pairs = [
        compared(one.delta, count, 20, method="paired")
        for one, count in zip(PAIRS, counts, strict=True)
    ]
    turned = [swapped(one) for one in pairs]
    one, other = (
        fit_attribute("more sour", each, TA_AND_SUGAR, "linear", 0.95)[0]
        for each in (pairs, turned)
    )
    leads = one.lead(np.array([[0.5, 3.0]]))[0], other.lead(np.array([[-0.5, -3.0]]))[0]

    assert one.fitted.theta == pytest.approx(other.fitted.theta, abs=1e-6)
    assert leads[1] == pytest.approx([-leads[0][0], -leads[0][2], -leads[0][1]], abs=1e-3)


@pytest.mark.parametrize("factor", [1e-3, 7.0, 1e4])
def test_units_scale_out(factor):
    base = (5.0 * factor, 60.0)
    scaled = [
        compared(one.delta * [factor, 1], one.count, one.n, reference=one.with_reference, base=base)
        for one in MIXED
    ]
    one, other = fitted(MIXED)[0], fitted(scaled)[0]

    assert factor * weight(other, "ta").high == pytest.approx(weight(one, "ta").high, rel=1e-9)
    assert other.rho.value == pytest.approx(one.rho.value, rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(steps, st.booleans())
def test_one_more_session_never_takes_information_away(delta, reference):
    """The information matrix, at any parameters, grows in every direction."""
    layout = Distances((0, 1), np.array([1.0, 10.0]), (0, 1), True)
    theta = np.array([[3.0, 2.0, -0.5, 1.0]])

    def information(some):
        deltas = np.array([one.delta for one in some])
        design = layout.factors(deltas, np.array([one.with_reference for one in some]))
        counts = np.array([[one.n - one.count, one.count] for one in some], dtype=float)
        ones = np.ones(len(some))
        rows = Rows(TRIANGLE, True, design, counts, ones, np.arange(len(some)))
        return Likelihood((rows,), 4, False)(theta).information[0]

    more = information([*MIXED, compared(delta, 12, 24, reference=reference)])
    assert np.linalg.eigvalsh(more - information(MIXED)).min() > -1e-9


def test_twice_the_answers_narrow_every_interval():
    one = fitted(MIXED)[0]
    twice = fitted([*MIXED, *MIXED])[0]

    for key in ("ta", "sugar"):
        assert weight(twice, key).value == pytest.approx(weight(one, key).value, rel=1e-6)
        assert weight(twice, key).high < weight(one, key).high


def test_a_doubt_about_a_level_widens_the_interval():
    unsure = [
        compared(
            one.delta,
            one.count,
            one.n,
            reference=one.with_reference,
            doubts={"titration": np.array([0.2, 0])} if one.with_reference else None,
        )
        for one in MIXED
    ]
    sure, doubting = fitted(MIXED)[0].gap.estimate, fitted(unsure)[0].gap.estimate

    assert doubting.value == sure.value
    assert doubting.high > sure.high


def test_replicates_by_the_same_people_are_worth_less_where_people_differ():
    """All or none by each assessor: the spread is shown, and the interval is wider."""
    even = [compared((0.8, 0), 14, 24, replicates=1), compared((0.5, 0), 12, 24)]
    bunched = [
        compared((0.8, 0), 14, 24, replicates=1),
        compared((0.5, 0), 12, 24),
    ]
    groups = [replace(one, counts=_bunched(one)) for one in bunched]
    alone, grouped = (fitted(each, TA_AND_SUGAR[:1], None)[0] for each in (even, groups))

    assert grouped.spread.value > 0.3
    assert _width(weight(grouped, "ta")) > _width(weight(alone, "ta"))


def _bunched(one):
    counted = type(one.counts[0])
    full, rest = divmod(one.count, 4)
    scores = [4] * full + [rest] + [0] * (one.n // 4 - full - 1)
    return tuple(counted(4, score) for score in scores)


def _width(estimate):
    return estimate.high - estimate.low


# Honest refusals


def whys(comparisons, drivers=TA_AND_SUGAR, pair=(0, 1)):
    return {one.about: one.why for one in fitted(comparisons, drivers, pair)[1]}


def test_acid_and_sugar_that_always_moved_together_cannot_be_told_apart():
    together = [compared((step, 10 * step), 14, 24) for step in (0.4, 0.8, 1.2)]

    found = whys(together)
    assert found["ta"] == found["sugar"] == "moved together"


def test_two_drivers_that_moved_together_name_each_other():
    drivers = (DRIVERS["ta"], DRIVERS["alcohol"])
    together = [compared((s, s), 14, 24, base=(5, 5)) for s in (0.4, 0.8, 1.2)]
    refused = {one.about: one for one in fitted(together, drivers, None)[1]}

    assert "changed alcohol with it" in refused["ta"].sentence
    assert "TA only" in refused["ta"].remedy


def test_sugar_that_never_varied_is_refused_and_acid_is_not():
    distance, refused = fitted([compared((0.8, 0.1), 15, 24), compared((0.5, 0), 12, 24)])

    assert [one.about for one in refused if one.why == "nothing varied"] == ["sugar"]
    assert set(distance.weights) == {"ta"}


def test_a_perfect_score_gives_no_upper_end():
    assert whys([compared((1.0, 0), 24, 24), compared((0, 9), 13, 24)])["ta"] == "separation"


def test_the_other_driver_is_still_reported_beside_a_perfect_score():
    distance, _ = fitted([compared((1.0, 0), 24, 24), compared((0, 9), 15, 24)])
    alone, _ = fitted([compared((0, 9), 15, 24)])

    assert weight(distance, "sugar").value == pytest.approx(weight(alone, "sugar").value, rel=1e-4)
    assert weight(distance, "sugar").high == pytest.approx(weight(alone, "sugar").high, rel=1e-3)


def test_without_a_reference_there_is_no_character_gap():
    distance, refused = fitted([compared((0.8, 0), 15, 24)])

    assert distance.gap is None
    assert "Run a triangle test of your best version" in str(refused[-1])


def test_acid_and_sugar_never_changed_at_once_leave_their_sum_open():
    distance, refused = fitted([compared((0.8, 0), 15, 24), compared((0, 9), 15, 24)])

    assert distance.rho is None
    assert ("rho", "nothing varied") in [(one.about, one.why) for one in refused]


@pytest.mark.parametrize(("some", "why"), [([], "nothing tasted"), (MIXED[:1], "too little")])
def test_too_little_is_refused(some, why):
    few = [replace(one, counts=one.counts[:8]) for one in some]
    distance, (refused,) = fitted(few)

    assert distance is None
    assert refused.why == why
    assert refused.remedy
