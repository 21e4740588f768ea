"""The counts that a finding rests on."""

from dataclasses import asdict

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tasting.errors import InputError
from tasting.insight.findings.tally import Given, Tally
from tasting.panel.design import TestDesign
from tasting.panel.entries import Amendment, Exclusion
from tasting.panel.methods import (
    A_NOT_A,
    METHODS,
    PAIRED,
    PREFERENCE,
    SAME_DIFFERENT,
    TETRAD,
    TRIANGLE,
    Method,
)
from tasting.panel.paper_import import PaperCount, paper_answers
from tasting.panel.session import Session
from tests import strategies
from tests.insight.tallies import tally_by_assessor, tally_of
from tests.ui.workshop import START, answered, closed, opened, planned

COUNTED_BY_HAND = """\
assessor,replicate,serving_order,chosen
Ann,1,AB,2
Bo,1,BA,1
Cy,1,AB,1
Dee,1,BA,2
Ann,2,BA,1
"""
"""B was chosen by Ann, Bo and Ann again; A by Cy and Dee."""


def on_paper(method: Method = PAIRED, **more: object) -> Tally:
    named = {"attribute": "more sour"} if method is PAIRED else {}
    named |= {name: text for name, text in more.items() if name != "expected"}
    design = TestDesign(method, more.get("expected"))
    return Tally.of_paper(paper_answers(COUNTED_BY_HAND, method), design, **named)


def test_a_session_is_counted_with_its_plan() -> None:
    tally = Tally.of_session(closed(planned("acid", alpha=0.1), 3, 4, "The bottle broke"))

    assert (tally.a, tally.b, tally.design.alpha) == ("Spritz, v1", "Spritz, v2", 0.1)
    assert (tally.count, tally.n, tally.planned, tally.assessors) == (3, 7, 12, 7)
    assert tally.early_reason == "The bottle broke"


@pytest.mark.parametrize(
    ("more", "brought"),
    [
        ({"aim": "similarity", "p_d": 0.4}, {"aim": "similarity", "p_d": 0.4}),
        ({"sequential": True, "beta": 0.1}, {"sequential": True, "beta": 0.1}),
        ({"alone": True, "assessors": ("Ann",)}, {"alone": True, "planned": 1}),
        ({}, {"aim": "difference", "sequential": False, "alone": False, "by_option": None}),
    ],
)
def test_the_plan_says_how_it_is_weighed(more, brought: dict[str, object]) -> None:
    tally = Tally.of_session(answered(opened(planned("acid", **more)), 1, 0))
    known = {**asdict(tally.design), **{name: getattr(tally, name) for name in tally.__slots__}}

    assert known.items() >= brought.items()


def by_hand(session: Session) -> list[bool]:
    """Counted from letters alone, for methods that choose one cup, and the amendments by hand."""
    counted = []
    for one in session.answers:
        if one.assessor in [gone.assessor for gone in session.exclusions]:
            continue
        served = session.served[one.assessor, one.replicate]
        place = (one.assessor, one.replicate)
        changes = [c for c in session.amendments if (c.assessor, c.replicate) == place]
        choice = changes[-1].choice if changes else one.choice
        letter = served.letters[served.codes.index(choice)] if choice in served.codes else ""
        odd = session.plan.method == "triangle"
        right = served.letters.count(letter) == 1 if odd else letter == _asked(session, served)
        counted.append(bool(letter) and right)
    return counted


def _asked(session: Session, served) -> str:
    return served.reference or session.plan.expected or "B"


ONE_CUP = ("triangle", "duo-trio", "duo-trio-constant", "3-afc", "paired", "preference")


@given(strategies.sessions(states=("open", "closed")).filter(lambda s: s.plan.method in ONE_CUP))
@settings(max_examples=25, deadline=None)
def test_any_session_is_counted_as_by_hand(session: Session) -> None:
    tally = Tally.of_session(session)

    assert [one.counted for one in tally.given] == by_hand(session)
    assert tally.excluded == len(session.exclusions)
    assert tally.n + tally.undecided == len(tally.given)


def test_an_amended_answer_counts_as_corrected_and_an_excluded_assessor_not_at_all() -> None:
    running = answered(opened(planned("acid")), 12, 0)
    served = running.sets[0]
    wrong = next(code for code in served.codes if not running.plan.is_counted(served, code))
    change = Amendment(
        assessor=served.assessor, replicate=1, choice=wrong, reason="mistyped", made_at=START
    )
    gone = Exclusion(assessor=running.sets[1].assessor, reason="had a cold", made_at=START)
    corrected = {**dict(running), "amendments": (change,), "exclusions": (gone,)}
    tally = Tally.of_session(Session.model_validate(corrected))

    assert (tally.count, tally.n, tally.planned, tally.excluded) == (10, 11, 12, 1)
    assert tally.given[0] == Given(served.assessor, counted=False)


def test_no_preference_is_given_but_chooses_nothing() -> None:
    session = opened(planned("liking", "preference", no_preference=True))
    answers = answered(session, 8, 4).answers
    neither = answers[0].model_copy(update={"choice": "no preference"})
    tally = Tally.of_session(
        Session.model_validate({**dict(session), "answers": (neither, *answers[1:])})
    )

    assert (tally.count, tally.n, tally.undecided, tally.assessors) == (7, 11, 1, 12)
    assert len(tally.choosing) == 11


@pytest.mark.parametrize("key", ["same-different", "a-not-a"])
def test_answers_to_sets_with_and_without_a_difference_are_kept_apart(key: str) -> None:
    session = closed(planned("acid", key), 12, 0)
    none, some = Tally.of_session(session).by_option
    held = [set(served.order.replace(":", "")) == {"A", "B"} for served in session.sets]

    assert (sum(none), sum(some)) == (held.count(False), held.count(True))
    counted = [METHODS[key].is_counted("", option) for option in range(len(none))]
    assert (
        sum(row[option] for row in (none, some) for option, yes in enumerate(counted) if yes) == 12
    )


@pytest.mark.parametrize(("expected", "count"), [(None, 3), ("B", 3), ("A", 2)])
def test_a_paper_panel_counts_the_expected_sample_else_b(expected, count: int) -> None:
    tally = on_paper(expected=expected)

    assert (tally.count, tally.n, tally.planned, tally.assessors) == (count, 5, 5, 4)


def test_a_paper_panel_brings_its_names() -> None:
    assert (on_paper().a, on_paper(b="v2").b) == ("sample A", "v2")


def test_a_paper_panel_of_words_is_counted_by_option() -> None:
    """Set without a difference: "alike" by Ann; with one: "different" by Bo, "alike" by Cy."""
    text = "assessor,replicate,serving_order,chosen\nAnn,1,AA,1\nBo,1,AB,2\nCy,1,BA,1\n"
    tally = Tally.of_paper(paper_answers(text, SAME_DIFFERENT), TestDesign(SAME_DIFFERENT))

    assert tally.by_option == ((1, 0), (1, 1))


def test_a_paper_tetrad_counts_pairings() -> None:
    """In AABB the first cup goes with the second, pairing 1; in ABBA with the fourth, pairing 3."""
    text = "assessor,replicate,serving_order,chosen\nAnn,1,AABB,1\nBo,1,ABBA,3\nCy,1,ABBA,1\n"
    tally = Tally.of_paper(paper_answers(text, TETRAD), TestDesign(TETRAD))

    assert [one.counted for one in tally.given] == [True, True, False]


def test_counts_alone_weigh_as_much_as_answers() -> None:
    counts = [
        PaperCount(assessor="Ann", tastings=3, correct=2),
        PaperCount(assessor="Bo", tastings=3, correct=0),
    ]
    tally = Tally.of_counts(counts, TestDesign(TRIANGLE))

    assert tally.scores == ((2, 3), (0, 3))
    assert (tally.count, tally.n, tally.planned, tally.replicated) == (2, 6, 6, True)


def test_counts_alone_are_not_enough_where_the_set_has_to_be_known() -> None:
    with pytest.raises(InputError, match="counts are not enough for a-not-a: it needs every"):
        Tally.of_counts([PaperCount(assessor="Ann", tastings=2, correct=1)], TestDesign(A_NOT_A))


@pytest.mark.parametrize(
    ("method", "more", "match"),
    [
        (PREFERENCE, {"expected": "A"}, "takes no attribute and no expected sample"),
        (PREFERENCE, {"attribute": "more sour"}, "takes no attribute"),
        (PAIRED, {"attribute": ""}, "needs an attribute"),
    ],
)
def test_a_question_that_does_not_fit_the_method_is_refused(
    method: Method, more: dict[str, object], match: str
) -> None:
    with pytest.raises(InputError, match=match):
        on_paper(method, **more)


@pytest.mark.parametrize(
    ("method", "expected", "sides"),
    [(TRIANGLE, None, 1), (PAIRED, None, 2), (PAIRED, "A", 1), (PREFERENCE, None, 2)],
)
def test_sides_follow_the_question(method: Method, expected, sides: int) -> None:
    assert tally_of(method, 5, 10, expected=expected).design.sides == sides


@given(st.sampled_from(list(METHODS.values())), st.integers(0, 30))
@settings(max_examples=30)
def test_two_sided_the_larger_count_is_compared(method: Method, count: int) -> None:
    tally = tally_of(method, count, 30)

    assert tally.extreme == (count if tally.design.sides == 1 else max(count, 30 - count))


@pytest.mark.parametrize(("assessors", "replicated"), [(10, False), (5, True), (1, True)])
def test_someone_who_answered_twice_is_noticed(assessors: int, replicated: bool) -> None:
    assert tally_of(TRIANGLE, 5, 10, assessors=assessors).replicated is replicated


def test_each_assessor_has_a_score_of_answers_that_chose() -> None:
    tally = tally_by_assessor(PREFERENCE, [(2, 3), (0, 1)])
    given_ = (*tally.given, Given("P1", False, undecided=True), Given("P2", False, undecided=True))
    more = Tally(TestDesign(PREFERENCE), a="v1", b="v2", given=given_, planned=6)

    assert tally.scores == more.scores == ((2, 3), (0, 1))
    assert (more.undecided, more.assessors, more.n) == (2, 3, 4)
