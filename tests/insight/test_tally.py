"""The counts that a finding rests on."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tasting.errors import InputError
from tasting.insight.tally import Tally
from tasting.panel.methods import METHODS, PAIRED, PREFERENCE, TRIANGLE, Method
from tasting.panel.paper import paper_answers
from tasting.panel.session import Session
from tests import strategies
from tests.insight.tallies import tally_of
from tests.ui.workshop import closed, planned

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
    attribute = {"attribute": "more sour"} if method is PAIRED else {}
    return Tally.of_paper(paper_answers(COUNTED_BY_HAND, method), method, **attribute, **more)


def test_a_session_is_counted_with_its_plan() -> None:
    tally = Tally.of_session(closed(planned("acid", alpha=0.1), 3, 4, "The bottle broke"))

    assert (tally.a, tally.b, tally.alpha) == ("Spritz, v1", "Spritz, v2", 0.1)
    assert (tally.count, tally.n, tally.planned, tally.assessors) == (3, 7, 12, 7)
    assert tally.early_reason == "The bottle broke"


def by_hand(session: Session) -> int:
    """Counted from letters alone: the odd cup of a triangle, else the expected sample or B."""
    sets = {(served.assessor, served.replicate): served for served in session.sets}
    count = 0
    for given_ in session.answers:
        served = sets[given_.assessor, given_.replicate]
        letter = served.order[served.codes.index(given_.code)]
        asked = letter == (session.plan.expected or "B")
        count += served.order.count(letter) == 1 if session.plan.method == "triangle" else asked
    return count


FIRST_THREE = ("triangle", "paired", "preference")


@given(
    strategies.sessions(states=("open", "closed")).filter(lambda s: s.plan.method in FIRST_THREE)
)
@settings(max_examples=40, deadline=None)
def test_any_session_is_counted_as_by_hand(session: Session) -> None:
    tally = Tally.of_session(session)

    assert (tally.count, tally.n) == (by_hand(session), len(session.answers))


@pytest.mark.parametrize(("expected", "count"), [(None, 3), ("B", 3), ("A", 2)])
def test_a_paper_panel_counts_the_expected_sample_else_b(expected, count: int) -> None:
    tally = on_paper(expected=expected)

    assert (tally.count, tally.n, tally.planned, tally.assessors) == (count, 5, 5, 4)


def test_a_paper_panel_brings_its_names() -> None:
    assert (on_paper().a, on_paper(b="v2").b) == ("sample A", "v2")


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
        Tally.of_paper(paper_answers(COUNTED_BY_HAND, method), method, **more)


@pytest.mark.parametrize(
    ("method", "expected", "sides"),
    [(TRIANGLE, None, 1), (PAIRED, None, 2), (PAIRED, "A", 1), (PREFERENCE, None, 2)],
)
def test_sides_follow_the_question(method: Method, expected, sides: int) -> None:
    assert tally_of(method, 5, 10, expected=expected).sides == sides


@given(st.sampled_from(list(METHODS.values())), st.integers(0, 30))
def test_two_sided_the_larger_count_is_compared(method: Method, count: int) -> None:
    tally = tally_of(method, count, 30)

    assert tally.extreme == (count if tally.sides == 1 else max(count, 30 - count))


@pytest.mark.parametrize(("assessors", "replicated"), [(10, False), (5, True), (1, True)])
def test_someone_who_answered_twice_is_noticed(assessors: int, replicated: bool) -> None:
    assert tally_of(TRIANGLE, 5, 10, assessors=assessors).replicated is replicated
