"""A plan says what is fixed beforehand; a session lives from planned to closed, and no further."""

from collections.abc import Mapping
from datetime import timedelta
from random import Random

import pytest
from hypothesis import given, settings
from pydantic import ValidationError

from tasting.errors import InputError, LifeCycleError
from tasting.panel.serving import ServingSet
from tasting.panel.session import Answer, Plan, Sample, Session
from tasting.records import checked
from tests import strategies
from tests.ui.workshop import START, answered, closed, opened, planned, sample

LATER = START + timedelta(days=31)
PAIR = {"method": "paired", "attribute": "more sour"}


def plan(**more: object) -> Plan:
    fields = {"method": "triangle", "a": sample("spritz-1"), "b": sample("spritz-2")}
    return checked(Plan, {**fields, "assessors": ("Ann", "Bo"), **more})


@pytest.mark.parametrize(
    ("more", "match"),
    [
        ({"method": "guess"}, "unknown method 'guess'; use one of: triangle"),
        ({"alpha": 0.5}, "alpha: Input should be less than 0.5"),
        ({"alpha": 0}, "alpha: Input should be greater than 0"),
        ({"alpha": float("nan")}, "alpha: Input should be a finite number"),
        ({"beta": 0.5}, "beta: Input should be less than 0.5"),
        ({"p_d": 0}, "p_d: Input should be greater than 0"),
        ({"p_d": 1}, "p_d: Input should be less than 1"),
        ({"assessors": ()}, "needs 1 to 500 assessors"),
        ({"assessors": [f"P{number}" for number in range(501)]}, "needs 1 to 500 assessors"),
        ({"assessors": ("Ann", "Bo", "ANN")}, "assessor 'ann' is listed twice"),
        ({"assessors": ("Ann", " Ann ")}, "assessor 'ann' is listed twice"),
        ({"assessors": ("Ann", " ")}, "assessors.1: "),
        ({"replicates": 0}, "replicates: Input should be greater than or equal to 1"),
        ({"replicates": 21}, "replicates: Input should be less than or equal to 20"),
        ({"serving_ml": 0}, "serving_ml: Input should be greater than 0"),
        ({"alcohol_percent_vol": 101}, "alcohol_percent_vol: Input should be less than or equal"),
        ({"b": sample("spritz-1")}, "samples A and B are the same drink; choose two different"),
        ({"method": "paired"}, "needs an attribute to ask about: 'more sour'"),
        ({"attribute": "more sour"}, "takes no attribute and no expected sample"),
        ({"method": "preference", "expected": "B"}, "takes no attribute and no expected sample"),
        ({**PAIR, "expected": "C"}, "expected: Input should be 'A' or 'B'"),
        ({"colour": "red"}, "colour: this field is not known here"),
    ],
)
def test_a_plan_that_makes_no_sense_is_refused(more: Mapping[str, object], match: str) -> None:
    with pytest.raises(InputError, match=match):
        plan(**more)


def test_a_version_and_a_reference_may_share_an_id() -> None:
    bottle = Sample(kind="reference", id="spritz-1", name="bottle")

    assert plan(b=bottle).b == bottle


@pytest.mark.parametrize(
    ("more", "sides"),
    [({}, 1), (PAIR, 2), ({**PAIR, "expected": "A"}, 1), ({"method": "preference"}, 2)],
)
def test_the_sides_are_fixed_by_the_plan(more: Mapping[str, object], sides: int) -> None:
    assert plan(**more).sides == sides


def test_the_ballot_asks_for_the_attribute() -> None:
    assert plan(**PAIR).question == "Which sample is more sour?"


def test_tastings_are_assessors_times_replicates() -> None:
    assert plan(replicates=3).tastings == 6


@pytest.mark.parametrize(
    ("more", "order", "counted"),
    [
        ({}, "AAB", [False, False, True]),
        (PAIR, "AB", [False, True]),
        ({**PAIR, "expected": "B"}, "BA", [True, False]),
        ({**PAIR, "expected": "A"}, "BA", [False, True]),
        ({"method": "preference"}, "AB", [False, True]),
    ],
)
def test_the_expected_sample_counts_else_b(
    more: Mapping[str, object], order: str, counted: list[bool]
) -> None:
    codes = ("314", "271", "577")[: len(order)]
    served = ServingSet(assessor="Ann", replicate=1, order=order, codes=codes)

    assert [plan(**more).counts(served, code) for code in codes] == counted


@given(strategies.plans("acid"))
@settings(max_examples=30, deadline=None)
def test_any_plan_lives_through_its_states(session: Session) -> None:
    running = session.opened(LATER, Random(1))
    done = running.closed(LATER, "Nobody came")

    assert [each.state for each in (session, running, done)] == ["planned", "open", "closed"]
    assert len(done.sets) == session.plan.tastings
    assert (done.plan, done.sets, done.early) == (session.plan, running.sets, True)


def test_a_session_is_opened_once() -> None:
    with pytest.raises(LifeCycleError, match="'Session acid' was opened already"):
        opened(planned("acid")).opened(LATER, Random(2))


@pytest.mark.parametrize("session", [planned("acid"), closed(planned("acid"), 10, 2)])
def test_only_an_open_session_is_closed(session: Session) -> None:
    with pytest.raises(LifeCycleError, match=f"is {session.state}, so it cannot be closed"):
        session.closed(LATER + timedelta(days=9), "again")


def test_a_complete_session_needs_no_reason_and_keeps_none() -> None:
    done = answered(opened(planned("acid")), 10, 2).closed(START + timedelta(days=32), "no reason")

    assert (done.early, done.early_reason) == (False, "")


def test_an_early_end_says_why() -> None:
    running = answered(opened(planned("acid")), 3, 1)
    with pytest.raises(InputError, match="8 answers are missing; to close early, say why"):
        running.closed(START + timedelta(days=32), " ")

    assert running.closed(START + timedelta(days=32), "The bottle broke").early


def changed(session: Session, **more: object) -> Session:
    return checked(Session, {**dict(session), **more})


def answer(**more: object) -> Answer:
    """The first answer of the closed session, changed."""
    return closed(planned("acid"), 10, 2).answers[0].model_copy(update=more)


@pytest.mark.parametrize(
    ("more", "match"),
    [
        ({"sets": ()}, "its sets do not fit its plan"),
        ({"opened_at": None}, "it is closed but was never opened"),
        ({"opened_at": START}, "have to be in this order"),
        ({"answers": (answer(), answer())}, "of assessor 'Assessor 1' to set 1: it is there twice"),
        ({"answers": (answer(assessor="Ann"),)}, "assessor 'Ann' to set 1: there is no such set"),
        ({"answers": (answer(replicate=2),)}, "to set 2: there is no such set"),
        ({"answers": (answer(code="000"),)}, "no cup of it has the code 000"),
        ({"answers": ()}, "it was closed early; early_reason has to say why"),
    ],
)
def test_a_closed_session_that_contradicts_itself_is_refused(
    more: Mapping[str, object], match: str
) -> None:
    with pytest.raises(InputError, match=match):
        changed(closed(planned("acid"), 10, 2), **more)


def test_a_planned_session_has_no_key_yet() -> None:
    with pytest.raises(InputError, match="its sets do not fit its plan"):
        changed(planned("acid"), sets=opened(planned("acid")).sets)


@pytest.mark.parametrize(
    ("more", "match"),
    [
        ({"order": "AB"}, "set 1 of assessor 'Assessor 1': 'AB' is not a serving order"),
        ({"codes": ("314", "271")}, "it needs 3 three-digit codes"),
        ({"codes": ("314", "271", "1٣٤")}, "it needs 3 three-digit codes"),
        ({"codes": ("314", "271", "314")}, "a code occurs twice for assessor 'Assessor 1'"),
    ],
)
def test_a_set_that_cannot_be_served_is_refused(more: Mapping[str, object], match: str) -> None:
    session = opened(planned("acid"))
    sets = (session.sets[0].model_copy(update=more), *session.sets[1:])
    with pytest.raises(InputError, match=match):
        changed(session, sets=sets)


def test_nothing_in_a_session_can_be_changed() -> None:
    session = opened(planned("acid"))
    for record, field in (
        (session, "opened_at"),
        (session.plan, "alpha"),
        (session.sets[0], "order"),
    ):
        with pytest.raises(ValidationError, match="frozen"):
            setattr(record, field, None)
