"""A session lives from planned to closed or abandoned, and no further."""

from collections.abc import Mapping
from datetime import timedelta
from random import Random

import pytest
from hypothesis import given, settings
from pydantic import ValidationError

from tasting.errors import InputError, LifeCycleError
from tasting.panel.session import Session, state
from tests import strategies
from tests.panel.sessions import (
    AFTER,
    DURING,
    amendment,
    answer,
    changed,
    exclusion,
    other_choice,
)
from tests.ui.workshop import START, answered, closed, opened, planned

LATER = START + timedelta(days=31)


@given(strategies.plans("acid"))
@settings(max_examples=20, deadline=None)
def test_any_plan_lives_through_its_states(session: Session) -> None:
    running = session.opened(LATER, Random(1))
    done = running.closed(LATER, "Nobody came")

    assert [each.state for each in (session, running, done)] == ["planned", "open", "closed"]
    assert len(done.sets) == session.plan.tastings
    assert (done.plan, done.sets, done.early) == (session.plan, running.sets, True)


@pytest.mark.parametrize(
    ("moments", "named"),
    [
        ((None, None, None), "planned"),
        ((START, None, None), "open"),
        ((START, START, None), "closed"),
        ((None, None, START), "abandoned"),
        ((START, None, START), "abandoned"),
    ],
)
def test_the_moments_make_the_state(moments, named: str) -> None:
    assert state(*moments) == named


def test_too_long_a_reason_and_a_clock_set_back_are_told_in_one_sentence() -> None:
    running = opened(planned("acid"))
    with pytest.raises(InputError, match="abandoned_reason: too long; write at most 2000"):
        running.abandoned(AFTER, "x" * 2001)
    with pytest.raises(InputError, match="early_reason: too long; write at most 2000"):
        running.closed(AFTER, "x" * 2001)
    with pytest.raises(InputError, match="have to be in this order"):
        running.closed(START, "early")


def test_a_session_is_opened_once() -> None:
    with pytest.raises(LifeCycleError, match="'Session acid' was opened already"):
        opened(planned("acid")).opened(LATER, Random(2))


@pytest.mark.parametrize(
    "session",
    [
        planned("acid"),
        closed(planned("acid"), 10, 2),
        opened(planned("acid")).abandoned(LATER, "Rain"),
    ],
    ids=lambda session: session.state,
)
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


@pytest.mark.parametrize("session", [planned("acid"), opened(planned("acid"))])
def test_a_session_is_abandoned_with_a_reason_and_for_ever(session: Session) -> None:
    given_up = session.abandoned(AFTER, "The bottle broke")

    assert (given_up.state, given_up.abandoned_reason) == ("abandoned", "The bottle broke")
    for again in (given_up.abandoned, given_up.closed):
        with pytest.raises(LifeCycleError, match="is abandoned"):
            again(AFTER, "again")


def test_to_abandon_needs_a_reason() -> None:
    with pytest.raises(InputError, match="to abandon a session, say why"):
        opened(planned("acid")).abandoned(AFTER, " ")


def test_a_closed_session_is_not_abandoned() -> None:
    with pytest.raises(LifeCycleError, match="'Session acid' is closed already"):
        closed(planned("acid"), 10, 2).abandoned(AFTER, "regret")


def test_an_abandoned_session_may_go_without_its_key() -> None:
    given_up = opened(planned("acid")).abandoned(AFTER, "The bottle broke")
    hidden = changed(given_up, sets=(), salt="")

    assert (hidden.state, hidden.sealed) == ("abandoned", given_up.sealed)


def test_an_abandoned_session_that_shows_its_key_has_to_show_the_right_one() -> None:
    given_up = opened(planned("acid")).abandoned(AFTER, "The bottle broke")
    with pytest.raises(InputError, match="the seal does not fit"):
        changed(given_up, sets=opened(planned("acid"), seed=2).sets)


RUNNING = answered(opened(planned("acid")), 10, 2)


def test_an_amended_answer_counts_as_it_was_corrected_and_both_stay() -> None:
    fixed = changed(RUNNING, amendments=(amendment(RUNNING),))

    assert fixed.answers == RUNNING.answers
    assert fixed.counted_answers[0].choice == other_choice(RUNNING)
    assert fixed.counted_answers[1:] == RUNNING.answers[1:]


def test_of_two_amendments_the_later_one_counts() -> None:
    back = amendment(RUNNING, choice=RUNNING.answers[0].choice)
    fixed = changed(RUNNING, amendments=(amendment(RUNNING), back))

    assert fixed.counted_answers == RUNNING.answers


def test_an_excluded_assessor_counts_no_more_but_stays_on_record() -> None:
    without = changed(RUNNING, exclusions=(exclusion("Assessor 1"),))

    assert without.answers == RUNNING.answers
    assert without.counted_answers == RUNNING.answers[1:]


def test_an_exclusion_leaves_a_complete_session_complete() -> None:
    without = changed(RUNNING, exclusions=(exclusion("Assessor 1"),)).closed(AFTER)

    assert not without.early


@pytest.mark.parametrize(
    ("more", "match"),
    [
        ({"amendments": (amendment(RUNNING, choice="000"),)}, "'000' cannot be chosen there"),
        ({"amendments": (amendment(RUNNING, assessor="Ann"),)}, "there is no answer to amend"),
        ({"amendments": (amendment(RUNNING, replicate=2),)}, "set 2: there is no answer to amend"),
        ({"exclusions": (exclusion("Ann"),)}, "exclusion of 'Ann': there is no such assessor"),
    ],
)
def test_a_correction_of_nothing_is_refused(more: Mapping[str, object], match: str) -> None:
    with pytest.raises(InputError, match=match):
        changed(RUNNING, **more)


@pytest.mark.parametrize(
    "more",
    [
        {"amendments": (amendment(RUNNING, made_at=AFTER),)},
        {"exclusions": (exclusion("Assessor 1", made_at=AFTER),)},
    ],
    ids=["amended", "excluded"],
)
def test_corrections_are_made_before_unblinding(more: Mapping[str, object]) -> None:
    done = RUNNING.closed(DURING)
    with pytest.raises(InputError, match="made before closing, not after it"):
        changed(done, **more)


def test_a_correction_at_the_moment_of_closing_still_counts() -> None:
    done = changed(RUNNING.closed(DURING), amendments=(amendment(RUNNING, made_at=DURING),))
    assert len(done.amendments) == 1


@pytest.mark.parametrize(
    ("more", "match"),
    [
        ({"sets": ()}, "its sets do not fit its plan"),
        ({"opened_at": None}, "it is closed but was never opened"),
        ({"opened_at": START}, "have to be in this order"),
        ({"abandoned_at": AFTER, "abandoned_reason": "x"}, "it is both closed and abandoned"),
        ({"answers": (answer(), answer())}, "of assessor 'Assessor 1' to set 1: it appears twice"),
        ({"answers": (answer(assessor="Ann"),)}, "assessor 'Ann' to set 1: there is no such set"),
        ({"answers": (answer(replicate=2),)}, "to set 2: there is no such set"),
        ({"answers": (answer(choice="000"),)}, "'000' cannot be chosen there"),
        ({"answers": (answer(choice="no preference"),)}, "'no preference' cannot be chosen there"),
        ({"answers": ()}, "it was closed early; early_reason has to say why"),
        ({"sealed": ""}, "a session has a seal once it was opened"),
    ],
)
def test_a_closed_session_that_contradicts_itself_is_refused(
    more: Mapping[str, object], match: str
) -> None:
    with pytest.raises(InputError, match=match):
        changed(closed(planned("acid"), 10, 2), **more)


def test_an_abandoned_session_says_why() -> None:
    with pytest.raises(InputError, match="it was abandoned; abandoned_reason has to say why"):
        changed(planned("acid"), abandoned_at=AFTER)


def test_a_planned_session_has_neither_key_nor_seal() -> None:
    running = opened(planned("acid"))
    with pytest.raises(InputError, match="its sets do not fit its plan"):
        changed(planned("acid"), sets=running.sets)
    with pytest.raises(InputError, match="a session has a seal once it was opened, and not before"):
        changed(planned("acid"), sealed=running.sealed)


@pytest.mark.parametrize(
    ("more", "match"),
    [
        ({"order": "AB"}, "set 1 of assessor 'Assessor 1': 'AB' is not a serving order"),
        ({"codes": ("314", "271")}, "it needs 3 three-digit codes"),
        ({"codes": ("314", "271", "1٣٤")}, "it needs 3 three-digit codes"),
        ({"codes": ("314", "271", "314")}, "a code occurs twice for assessor 'Assessor 1'"),
        ({"replicate": 2}, "its sets do not fit its plan"),
    ],
)
def test_a_set_that_cannot_be_served_is_refused(more: Mapping[str, object], match: str) -> None:
    session = opened(planned("acid"))
    sets = (session.sets[0].model_copy(update=more), *session.sets[1:])
    with pytest.raises(InputError, match=match):
        changed(session, sets=sets)


def test_a_pair_of_cups_is_chosen_in_its_own_spelling() -> None:
    done = closed(planned("acid", "tetrad"), 10, 2)
    one, two = done.answers[0].choice.split("+")
    turned = done.answers[0].model_copy(update={"choice": f"{two}+{one}"})
    with pytest.raises(InputError, match="cannot be chosen there"):
        changed(done, answers=(turned, *done.answers[1:]))


def test_nothing_in_a_session_can_be_changed() -> None:
    session = opened(planned("acid"))
    for record, field in (
        (session, "opened_at"),
        (session.plan, "alpha"),
        (session.sets[0], "order"),
    ):
        with pytest.raises(ValidationError, match="frozen"):
            setattr(record, field, None)
