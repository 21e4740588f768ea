"""Serving plans: balanced, coded, and telling nothing."""

from collections import Counter
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chi2_contingency, chisquare

from tasting.panel.methods import METHODS, TRIANGLE, Method
from tasting.panel.serving import CODES, ServingSet, serving_orders, serving_plan

methods = st.sampled_from(list(METHODS.values()))
seeds = st.integers(0, 2**32)
STRIKING = 0.001  # a chi-squared p-value below this, with a fixed seed, would be a fault


def plan(method: Method, people: int, replicates: int, seed: int) -> tuple[ServingSet, ...]:
    names = [f"P{number}" for number in range(people)]
    return serving_plan(method, names, replicates, Random(seed))


@given(methods, st.integers(1, 40), seeds)
def test_each_complete_block_uses_each_order_once(method: Method, sets: int, seed: int) -> None:
    """Orders "at random in complete blocks" (ISO 4120, from memory)."""
    orders, block = serving_orders(method, sets, Random(seed)), len(method.orders)

    assert len(orders) == sets
    for start in range(0, sets - block + 1, block):
        assert sorted(orders[start : start + block]) == sorted(method.orders)


@given(methods, st.integers(1, 20), st.integers(1, 4), seeds)
@settings(max_examples=50, deadline=None)
def test_orders_are_as_balanced_as_the_number_of_sets_allows(
    method: Method, people: int, replicates: int, seed: int
) -> None:
    counts = Counter(served.order for served in plan(method, people, replicates, seed))
    used = [counts[order] for order in method.orders]

    assert max(used) - min(used) <= 1


@given(methods, st.integers(1, 12), st.integers(1, 5), seeds)
@settings(max_examples=50, deadline=None)
def test_every_cup_of_an_assessor_has_its_own_three_digit_code(
    method: Method, people: int, replicates: int, seed: int
) -> None:
    """Three-digit random numbers, a new one for each cup (common practice, no source)."""
    sets = plan(method, people, replicates, seed)
    for who in {served.assessor for served in sets}:
        codes = [code for served in sets if served.assessor == who for code in served.codes]

        assert len(set(codes)) == len(codes) == method.cups * replicates
        assert all(len(code) == 3 and 100 <= int(code) <= 999 for code in codes)


@given(methods, st.integers(1, 40), st.integers(1, 4), seeds)
@settings(max_examples=50, deadline=None)
def test_no_two_cups_of_a_session_share_a_code(
    method: Method, people: int, replicates: int, seed: int
) -> None:
    sets = plan(method, people, replicates, seed)
    codes = [code for served in sets for code in served.codes]

    assert len(codes) > len(CODES) or len(set(codes)) == len(codes)


@given(methods, st.integers(1, 12), st.integers(1, 5), seeds)
@settings(max_examples=50, deadline=None)
def test_everyone_gets_each_of_their_sets_round_after_round(
    method: Method, people: int, replicates: int, seed: int
) -> None:
    places = [
        (served.replicate, served.assessor) for served in plan(method, people, replicates, seed)
    ]

    assert places == [
        (turn, f"P{number}") for turn in range(1, replicates + 1) for number in range(people)
    ]


def test_the_same_seed_gives_the_same_plan_and_another_one_another() -> None:
    assert plan(TRIANGLE, 6, 2, seed=1) == plan(TRIANGLE, 6, 2, seed=1)
    assert plan(TRIANGLE, 6, 2, seed=1) != plan(TRIANGLE, 6, 2, seed=2)


def test_each_order_is_as_likely_as_any_other() -> None:
    """Chi-squared goodness of fit by scipy, over 3000 first sets."""
    random = Random(20260301)
    first = Counter(serving_orders(TRIANGLE, 1, random)[0] for _ in range(3000))

    assert chisquare([first[order] for order in TRIANGLE.orders]).pvalue > STRIKING


def test_a_code_tells_nothing_of_its_sample() -> None:
    """Chi-squared contingency by scipy: hundreds digit of a code against sample, 6000 cups."""
    table = np.zeros((2, 9), dtype=int)
    for served in plan(TRIANGLE, 500, 4, seed=20260302):
        for letter, code in zip(served.order, served.codes, strict=True):
            table["AB".index(letter), int(code[0]) - 1] += 1

    assert table.sum() == 6000
    assert chi2_contingency(table).pvalue > STRIKING


@pytest.mark.parametrize("striking", ["111", "123", "321", "100", "200", "196", "618", "888"])
def test_remarkable_codes_are_not_used(striking: str) -> None:
    """Repeated, in sequence, round, or legible upside down: common practice, no source."""
    assert striking not in CODES


def test_enough_codes_are_left() -> None:
    assert len(CODES) > 700
    assert len(set(CODES)) == len(CODES)


def test_a_set_knows_the_sample_behind_a_code() -> None:
    served = ServingSet(assessor="P1", replicate=1, order="ABA", codes=("314", "271", "577"))

    assert [served.sample_of(code) for code in served.codes] == ["A", "B", "A"]
