"""Directions, low scores and leads: against brute force and scipy, and as the benchmark decides."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, binomtest, fisher_exact

from tasting.insight.findings.evidence import evaluate
from tasting.insight.findings.finding import conclude
from tasting.insight.findings.kinds.attribute import AttributeEvidence
from tasting.insight.findings.kinds.whole_people import WholePeopleEvidence
from tasting.panel.methods import (
    A_NOT_A,
    DUO_TRIO,
    PAIRED,
    PREFERENCE,
    SAME_DIFFERENT,
    TETRAD_SPECIFIED,
    THREE_AFC,
    TRIANGLE,
)
from tests.benchmarks.verdict_size import direction_shown
from tests.insight.tallies import contrasted, tally_by_assessor, tally_in_order, tally_of

few = settings(max_examples=12, deadline=None)
scores = st.lists(st.integers(0, 3), min_size=2, max_size=9)


def turned(excesses: list[int], sides: int) -> float:
    """Every way to turn assessors round, counted."""
    totals = [
        sum(s * e for s, e in zip(signs, excesses, strict=True))
        for signs in product((1, -1), repeat=len(excesses))
    ]
    seen = sum(excesses)
    return float(np.mean([abs(t) >= abs(seen) if sides == 2 else t >= seen for t in totals]))


@given(scores, st.sampled_from([1, 2]))
@few
def test_repeated_pairs_are_weighed_by_whole_assessors(own: list[int], sides: int) -> None:
    expected = {"expected": "B"} if sides == 1 else {}
    found = evaluate(tally_by_assessor(PAIRED, [(one, 3) for one in own], **expected))
    excesses = [2 * one - 3 for one in own]

    assert isinstance(found, WholePeopleEvidence)
    assert found.p_value == pytest.approx(turned(excesses, sides))
    if sides == 1:
        assert found.lower_tail == pytest.approx(turned([-one for one in excesses], 1))
    assert found.least_p_value == pytest.approx(sides / 2 ** len(own))


@given(scores, st.sampled_from([(PAIRED, 1), (PAIRED, 2), (THREE_AFC, 1), (TETRAD_SPECIFIED, 1)]))
@few
def test_findings_decide_on_a_direction_as_the_benchmark_does(own: list[int], asked) -> None:
    method, sides = asked
    expected = {"expected": "B"} if sides == 1 else {}
    found = conclude(tally_by_assessor(method, [(one, 3) for one in own], **expected))
    claimed = " was found more sour than " in found.headline

    assert claimed is direction_shown(np.array(own), 3, method.chance, sides)


@pytest.mark.parametrize("method", [THREE_AFC, TETRAD_SPECIFIED])
def test_a_direction_is_claimed_only_above_one_half(method) -> None:
    """One set each: against one half by scipy's binomtest; that of the count against guessing."""
    for count in range(25):
        found = evaluate(tally_of(method, count, 24))
        assert isinstance(found, AttributeEvidence)
        half = binomtest(count, 24, 0.5, "greater").pvalue
        assert found.direction_p_value == pytest.approx(half)
        assert found.p_value == pytest.approx(binomtest(count, 24, method.chance, "greater").pvalue)
        said = found.headline(tally_of(method, count, 24))
        assert ("no common direction" in said) is bool(found.p_value <= 0.05 < half)


def test_one_person_has_one_direction() -> None:
    found = conclude(tally_by_assessor(THREE_AFC, [(9, 15)]))

    assert found.headline == "v2 was found more sour than v1"
    assert not any("disagree" in sentence for sentence in found.sentences)


@pytest.mark.parametrize(
    ("method", "people", "headline"),
    [
        (PAIRED, 12, "v2 was found more sour than v1"),
        (PAIRED, 1, "v2 was found more sour than v1"),
        (PAIRED, 4, "A difference was shown between v1 and v2 when asked which is more sour"),
        (THREE_AFC, 12, "A difference was shown between v1 and v2 when asked which is more sour"),
    ],
)
def test_a_sequence_shows_a_direction_only_where_people_cannot_hold_to_one(
    method, people: int, headline: str
) -> None:
    tally = tally_in_order(method, "+" * 12, sequential=True, expected="B", p_d=0.5)
    given_ = tuple(type(one)(f"P{n % people}", one.counted) for n, one in enumerate(tally.given))
    fields = {name: getattr(tally, name) for name in type(tally).__slots__ if name != "scores"}

    assert conclude(type(tally)(**{**fields, "given": given_})).headline.startswith(headline)


@pytest.mark.parametrize("method", [TRIANGLE, DUO_TRIO])
def test_the_lower_tail_is_scipys(method) -> None:
    for count in range(25):
        found = evaluate(tally_of(method, count, 24))
        tail = binom.cdf(count, 24, method.chance)
        assert found.lower_tail == pytest.approx(tail)
        assert found.low is bool(tail <= 0.05)


def test_two_sided_no_score_is_low() -> None:
    assert evaluate(tally_of(PAIRED, 0, 24)).lower_tail is None


def test_fewer_reports_where_there_is_a_difference_are_cautioned() -> None:
    """By scipy's fisher_exact, alternative "less"."""
    found = evaluate(contrasted(SAME_DIFFERENT, (4, 12), (12, 4)))
    less = fisher_exact([[4, 12], [12, 4]], alternative="less").pvalue

    assert found.lower_tail == pytest.approx(less)
    assert found.low


def test_a_not_a_says_the_distance_by_both_rules() -> None:
    """By the reference: as same-different of the answers without their sureness."""
    found = evaluate(contrasted(A_NOT_A, (6, 4, 3, 1), (2, 2, 4, 6)))
    pairs = evaluate(contrasted(SAME_DIFFERENT, (10, 4), (4, 10)))

    assert found.by_reference == pairs.distance
    assert pairs.by_reference is None
    assert found.by_reference.value > found.distance.value


def test_a_lead_is_that_of_all_answers() -> None:
    """45 : 30 with 60 undecided: 15 of 135."""
    found = evaluate(tally_of(PREFERENCE, 45, 75, undecided=60))

    assert found.lead.value == pytest.approx(15 / 135)
    assert evaluate(tally_of(PREFERENCE, 45, 75)).lead.value == pytest.approx(15 / 75)
    took = binomtest(75, 135).proportion_ci(0.95, "exact")
    chose = binomtest(45, 75).proportion_ci(0.95, "exact")
    assert found.lead.high == pytest.approx(took.high * (2 * chose.high - 1))


@given(st.integers(1, 40).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
@few
def test_a_lead_with_undecided_answers_holds_zero_just_when_that_of_the_choices_does(pair) -> None:
    with_some, without = (evaluate(tally_of(PREFERENCE, *pair, undecided=x)) for x in (9, 0))

    assert (with_some.lead.low > 0) is (without.lead.low > 0)
    assert with_some.p_value == without.p_value
