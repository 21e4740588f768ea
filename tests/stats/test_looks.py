"""Looks of a sequential test: real risks, mean sizes, and what the moment of a stop tells."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from tasting.stats.looks import balanced_looks, look_cost
from tasting.stats.sequential import EACH, Decision, Looks, WaldTest, run, wald_test
from tasting.stats.sequential_interval import stopped_interval

TRIANGLES = wald_test(1 / 3, 0.3, 0.05, 0.2)
USUAL = Looks((13,), 5)
"""What is offered for a triangle test at p_d = 0.3, α = 0.05, β = 0.2."""
SMALL = wald_test(1 / 3, 0.5, 0.05, 0.10, Looks((5,), 3))


@pytest.mark.parametrize(
    ("looks", "expected"),
    [
        (EACH, [1, 2, 3, 4]),
        (Looks((13,), 5), [13, 18, 23, 28]),
        (Looks((12, 17, 21), 5), [12, 17, 21, 26]),
    ],
)
def test_the_looks_that_follow(looks: Looks, expected: list[int]) -> None:
    found, n = [], 0
    for _ in expected:
        n = looks.following(n)
        found.append(n)

    assert found == expected
    assert [n for n in range(1, expected[-1] + 1) if looks.include(n)] == expected


@given(
    st.sampled_from([1 / 3, 1 / 2, 1 / 4]),
    st.floats(0.1, 0.9),
    st.floats(0.01, 0.3),
    st.floats(0.01, 0.3),
)
@settings(max_examples=60)
def test_at_each_of_the_least_looks_both_decisions_are_possible(chance, p_d, alpha, beta) -> None:
    """By carrying the counts that can still be undecided, without any probability."""
    test = wald_test(chance, p_d, alpha, beta)
    looks, n, open_counts = test.least_looks(), 0, {0}
    for _ in range(6):
        step = looks.following(n) - n
        n += step
        reached = {count + more for count in open_counts for more in range(step + 1)}
        decisions = {count: test.decide(count, n) for count in reached}
        assert {Decision.DIFFERENT, Decision.SIMILAR} <= set(decisions.values())
        open_counts = {one for one, told in decisions.items() if told is Decision.GO_ON}
        if not open_counts:
            break


def test_one_look_has_the_risks_of_a_binomial_test() -> None:
    """With a first look so late that all is decided there, both risks are scipy's binomial."""
    test = replace(TRIANGLES, looks=Looks((400,), 400))
    upper = next(x for x in range(401) if test.decide(x, 400) is Decision.DIFFERENT)
    lower = max(x for x in range(401) if test.decide(x, 400) is Decision.SIMILAR)
    cost = look_cost(test)

    assert cost.alpha == pytest.approx(binom.sf(upper - 1, 400, 1 / 3), rel=1e-3)
    assert cost.beta == pytest.approx(binom.cdf(lower, 400, 1 / 3 + 0.2), rel=1e-3)
    assert cost.tastings == pytest.approx((400, 400), rel=1e-3)


def test_risks_and_sizes_are_those_of_drawn_panels() -> None:
    test, rng = replace(TRIANGLES, looks=USUAL), np.random.default_rng(17)
    cost = look_cost(test)
    drawn = {p: [run(test, rng.random(500) < p) for _ in range(3000)] for p in (1 / 3, 1 / 3 + 0.2)}
    none, some = drawn.values()

    wrong = np.mean([one.decision is Decision.DIFFERENT for one in none])
    missed = np.mean([one.decision is Decision.SIMILAR for one in some])
    assert wrong == pytest.approx(cost.alpha, abs=4 * (cost.alpha / 3000) ** 0.5)
    assert missed == pytest.approx(cost.beta, abs=4 * (cost.beta / 3000) ** 0.5)
    for panels, mean in zip((none, some), cost.tastings, strict=True):
        sizes = [one.n for one in panels]
        assert np.mean(sizes) == pytest.approx(mean, abs=4 * np.std(sizes) / 3000**0.5)
        assert {(n - 13) % 5 for n in sizes} == {0}


def test_what_looks_cost() -> None:
    """Pinned: α 0.043 → 0.033, β 0.170 → 0.109; 19 and 26 tastings → 26 and 34."""
    each, looked = look_cost(TRIANGLES), look_cost(replace(TRIANGLES, looks=USUAL))

    assert (each.alpha, each.beta) == pytest.approx((0.0428, 0.1701), abs=5e-5)
    assert (looked.alpha, looked.beta) == pytest.approx((0.0326, 0.1092), abs=5e-5)
    assert each.tastings == pytest.approx((18.9, 25.8), abs=0.05)
    assert looked.tastings == pytest.approx((26.4, 33.6), abs=0.05)
    assert (each.telling, looked.telling) == pytest.approx((1.0, 0.73), abs=0.005)


@pytest.mark.parametrize(
    "test", [wald_test(c, p, 0.05, b) for c in (1 / 3, 1 / 2) for p, b in ((0.3, 0.2), (0.5, 0.1))]
)
def test_the_looks_offered_tell_little_and_spend_no_more_than_planned(test: WaldTest) -> None:
    cost = look_cost(replace(test, looks=balanced_looks(test)))

    assert cost.telling <= 0.75 < look_cost(test).telling
    assert cost.alpha <= test.alpha
    assert cost.beta <= test.beta


def test_a_test_longer_than_any_session_is_not_searched() -> None:
    test = wald_test(1 / 2, 1e-12, 0.05, 0.2)
    assert balanced_looks(test).at[0] > 10_000


def test_the_interval_covers_with_looks_too() -> None:
    """Every row of 11 answers, with the look at which it stops; 95 % at least for each share."""
    weights: dict[tuple[object, int], list[int]] = {}
    for answers in product((False, True), repeat=11):
        found = run(SMALL, answers)
        key = found, sum(answers[: found.n])
        weights.setdefault(key, []).append(sum(answers))
    intervals = {key: stopped_interval(SMALL, *key) for key in weights}

    for p_d in np.linspace(0, 0.99, 25):
        p_c = 1 / 3 + 2 / 3 * p_d
        covered = sum(
            float(np.sum(p_c ** np.array(right) * (1 - p_c) ** (11 - np.array(right))))
            for key, right in weights.items()
            if intervals[key].low <= p_d <= intervals[key].high
        )
        assert covered >= 0.95
