"""No sentence contradicts its number: every score of every panel up to forty tastings."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tasting.insight.findings.finding import Finding, conclude
from tasting.insight.findings.tally import Given
from tasting.insight.findings.verdict import FAR_BELOW, Verdict
from tasting.panel.methods import (
    DUO_TRIO,
    METHODS,
    PAIRED,
    PREFERENCE,
    TETRAD_SPECIFIED,
    THREE_AFC,
    TRIANGLE,
    Method,
)
from tests.insight.tallies import tally_by_assessor, tally_in_order, tally_of

SIZES = range(1, 41)
NUMBER = r"(−?(?:\d+\.?\d*|∞))"
WITH_ENDS = re.compile(rf"{NUMBER}(?: %)?[^()%;=]*\(95 % (?:\w+ )?interval {NUMBER} ?– ?{NUMBER}")
UP_TO = re.compile(rf"\(95 % interval {NUMBER} ?– ?{NUMBER} %\).*? up to {NUMBER} %")


def value(text: str) -> float:
    return float(text.replace("−", "-").replace("∞", "inf"))


def check_numbers(found: Finding) -> None:
    """Every number with an interval behind it lies in that, and so does what stays possible."""
    for sentence in found.sentences:
        for number, low, high in WITH_ENDS.findall(sentence):
            assert value(low) <= value(number) <= value(high), sentence
        for low, high, most in UP_TO.findall(sentence):
            assert value(low) <= value(most) <= value(high), sentence


def check_headline(found: Finding) -> None:
    """The headline goes with p; where it does not go with the interval, a sentence says why."""
    evidence, design = found.evidence, found.tally.design
    said = " ".join(found.sentences)
    assert evidence.verdict.difference is (evidence.p_value <= design.alpha * (1 + 1e-9))
    assert (
        "not shown" in found.headline
        or "No preference" in found.headline
        or ("Neither" in found.headline)
    ) is (evidence.verdict is Verdict.NEITHER)
    interval = getattr(evidence, "noticed", None) or evidence.lead
    if f"{round(100 * interval.low)} %" == "0 %" and evidence.verdict.difference:
        assert re.search(r"interval is two-sided|the plan allowed|just above 0", said)
    if interval.low > 0 and not evidence.verdict.difference and not evidence.low:
        assert "The interval excludes 0, but the plan asked for" in said
    if evidence.verdict.similarity:
        assert f"β = {design.beta:g}" in found.headline
        assert evidence.limit.p_d < design.p_d
        assert interval.high < design.p_d or "the claim rests on β" in said


def check_low(found: Finding) -> None:
    """A score far below guessing has its caution, no estimate, and asks for the key first."""
    evidence = found.evidence
    if not evidence.low:
        return
    said = " ".join(found.sentences)
    assert evidence.lower_tail <= FAR_BELOW
    assert found.tally.count < found.tally.n * found.tally.design.chance
    assert any("heck the serving key and the cups" in caution for caution in found.cautions)
    assert "d′" not in said
    assert found.sentences[-1].startswith("Next: check the serving key")
    assert not evidence.verdict.difference


ONE_SIDED = {"expected": "B"}
CASES = [
    (TRIANGLE, {}),
    (TRIANGLE, {"alpha": 0.01}),
    (TRIANGLE, {"alpha": 0.2, "aim": "similarity"}),
    (DUO_TRIO, {"aim": "similarity", "p_d": 0.5, "beta": 0.05}),
    (PAIRED, {}),
    (PAIRED, {"alpha": 0.2}),
    (PAIRED, {"alpha": 0.01}),
    (PAIRED, ONE_SIDED),
    (PAIRED, {**ONE_SIDED, "aim": "similarity", "p_d": 0.4}),
    (PREFERENCE, {}),
    (PREFERENCE, {"undecided": 13}),
    (THREE_AFC, {}),
    (THREE_AFC, {"aim": "similarity", "p_d": 0.5}),
    (TETRAD_SPECIFIED, {}),
]


@pytest.mark.parametrize(("method", "more"), CASES)
def test_no_headline_contradicts_its_p_value_or_its_interval(method: Method, more) -> None:
    for n in SIZES:
        for count in range(n + 1):
            found = conclude(tally_of(method, count, n, **more))
            check_numbers(found)
            check_headline(found)
            check_low(found)


scores = st.lists(st.tuples(st.integers(0, 4), st.just(4)), min_size=2, max_size=14)
uneven = st.lists(
    st.integers(1, 4).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))),
    min_size=2,
    max_size=10,
)


@given(st.sampled_from(CASES[:2] + CASES[4:8] + CASES[9:10] + CASES[11:12]), scores | uneven)
@settings(deadline=None, max_examples=25)
def test_nor_does_that_of_repeated_answers(case, each) -> None:
    method, more = case
    found = conclude(tally_by_assessor(method, each, **more))
    check_numbers(found)
    evidence, said = found.evidence, " ".join(found.sentences)
    assert evidence.verdict.difference is (
        evidence.p_value <= found.tally.design.alpha * (1 + 1e-9)
    )
    interval = evidence.lead if method is PREFERENCE else evidence.noticed
    shown = evidence.verdict.difference
    if shown and round(100 * interval.low) == 0:
        assert re.search(r"two-sided\.|just above 0|the plan allowed|whether anyone notices", said)
    if not shown and interval.low > 0 and not evidence.low:
        assert "The interval excludes 0, but the plan asked for α = 0.01" in said


@given(
    st.sampled_from([TRIANGLE, DUO_TRIO, THREE_AFC]),
    st.text("+-", min_size=1, max_size=40),
    st.sampled_from(["difference", "similarity"]),
    st.sampled_from([0.05, 0.2]),
)
@settings(deadline=None, max_examples=25)
def test_nor_does_that_of_a_sequence(method: Method, answers: str, aim: str, risk: float) -> None:
    found = conclude(tally_in_order(method, answers, sequential=True, aim=aim, beta=risk))
    evidence, said = found.evidence, " ".join(found.sentences)
    check_numbers(found)
    assert evidence.verdict.similarity <= (aim == "similarity")
    assert evidence.noticed.low <= evidence.noticed.value <= evidence.noticed.high
    if evidence.verdict.similarity:
        assert f"β = {risk:g}" in found.headline
        assert evidence.upper_limit < 0.3
        assert evidence.low or evidence.noticed.high < 0.3 or "the claim rests on β" in said
        below = evidence.correct < evidence.decided_after * method.chance
        assert below is any("guessing" in caution for caution in found.cautions)
    if evidence.verdict.difference and round(100 * evidence.noticed.low) == 0:
        assert re.search(r"interval is two-sided|just above 0", said)


def swapped(text: str) -> str:
    return text.replace("v1", "\0").replace("v2", "v1").replace("\0", "v2")


@given(
    st.sampled_from([PAIRED, PREFERENCE]),
    st.integers(1, 40).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))),
    st.sampled_from([0, 7]),
    st.integers(1, 3),
)
@settings(deadline=None, max_examples=25)
def test_swapping_the_answers_mirrors_every_sentence(method, count_n, undecided, times) -> None:
    """Two-sided: what was said of v1 is said of v2."""
    count, n = count_n
    undecided = undecided if method is PREFERENCE else 0
    people = max(1, n // times)
    tally = tally_of(method, count, n, undecided=undecided, assessors=people)
    one, other = conclude(tally), conclude(turned(tally))
    assert plain(swapped(one.headline)) == plain(other.headline)
    for first, second in zip(one.sentences, other.sentences, strict=True):
        assert plain(swapped(first)) == plain(second)


def turned(tally):
    """The same with every choice the other way round."""
    given_ = tuple(
        Given(one.assessor, not one.counted and not one.undecided, one.undecided)
        for one in tally.given
    )
    fields = {name: getattr(tally, name) for name in type(tally).__slots__ if name != "scores"}
    return type(tally)(**{**fields, "given": given_})


def plain(text: str) -> str:
    """Where both samples are named alike, their order says nothing."""
    return text.replace("v2 and v1", "v1 and v2").replace("Neither v2 nor v1", "Neither v1 nor v2")


@given(
    st.sampled_from([PAIRED]),
    st.integers(1, 40).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))),
)
@settings(deadline=None, max_examples=30)
def test_expecting_the_other_sample_mirrors_it_too(method, count_n) -> None:
    """One-sided: so many choices of A where A is expected, or of B where B is."""
    one, other = (conclude(tally_of(method, *count_n, expected=letter)) for letter in "AB")
    for first, second in zip(
        (one.headline, *one.sentences, *one.cautions),
        (other.headline, *other.sentences, *other.cautions),
        strict=True,
    ):
        assert swapped(first) == second


@pytest.mark.parametrize("method", [m for m in METHODS.values() if m.psychometric])
def test_none_ever_says_to_keep_a_version(method: Method) -> None:
    for count in range(0, 31, 5):
        assert "keep" not in " ".join(conclude(tally_of(method, count, 30)).sentences)
