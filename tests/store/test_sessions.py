"""The life of a session in the database: planned, open, closed for ever."""

from datetime import UTC, datetime, timedelta, timezone
from random import Random

import pytest
from sqlalchemy import Engine

from tasting.errors import InputError, LifeCycleError, NotFoundError, SealedError
from tasting.panel.session import Session
from tasting.store import sessions
from tests.ui.workshop import START, closed, keep, opened, planned

LATER = START + timedelta(days=31)


@pytest.fixture
def kept(engine: Engine) -> Engine:
    """The drinks, and one planned session called acid."""
    keep(engine, planned("acid"))
    return engine


def test_a_plan_is_found_as_it_was_kept(kept: Engine) -> None:
    assert sessions.planned_session(kept, "acid") == planned("acid")


def test_opening_draws_the_plan_once(kept: Engine) -> None:
    sessions.open_session(kept, "acid", LATER, Random(5))
    sets = sessions.pour_sheet(kept, "acid", LATER, "host").sets

    assert sets == planned("acid").opened(LATER, Random(5)).sets
    with pytest.raises(LifeCycleError, match="was opened already"):
        sessions.open_session(kept, "acid", LATER)
    assert sessions.pour_sheet(kept, "acid", LATER, "host").sets == sets


def test_without_a_source_of_chance_the_operating_systems_is_used(engine: Engine) -> None:
    keep(engine, planned("one"), planned("two"))
    for id_ in ("one", "two"):
        sessions.open_session(engine, id_, LATER)
    one, two = (sessions.pour_sheet(engine, id_, LATER, "host").sets for id_ in ("one", "two"))

    assert [served.codes for served in one] != [served.codes for served in two]


def test_closing_is_final(engine: Engine) -> None:
    done = closed(planned("acid"), 10, 2)
    keep(engine, done)

    with pytest.raises(LifeCycleError, match="is closed, so it cannot be closed"):
        sessions.close_session(engine, "acid", LATER + timedelta(days=9))
    with pytest.raises(LifeCycleError, match="was opened already"):
        sessions.open_session(engine, "acid", LATER + timedelta(days=9))
    assert sessions.closed_session(engine, "acid") == done


def test_a_session_that_was_never_opened_is_not_closed(kept: Engine) -> None:
    with pytest.raises(LifeCycleError, match="is planned, so it cannot be closed"):
        sessions.close_session(kept, "acid", LATER, "Nobody came")


def test_closing_early_needs_a_reason_and_keeps_it(kept: Engine) -> None:
    sessions.open_session(kept, "acid", LATER)
    with pytest.raises(InputError, match="12 answers are missing; to close early, say why"):
        sessions.close_session(kept, "acid", LATER, " ")
    done = sessions.close_session(kept, "acid", LATER, "Nobody came")

    assert done.early
    assert sessions.closed_session(kept, "acid").early_reason == "Nobody came"


def test_a_clock_that_was_set_back_does_not_stop_the_evening(kept: Engine) -> None:
    """What happens next is stamped no earlier than what happened last."""
    sessions.open_session(kept, "acid", START)

    assert sessions.summary(kept, "acid").opened_at == planned("acid").planned_at


def test_only_a_planned_session_can_be_planned(kept: Engine) -> None:
    with pytest.raises(LifeCycleError, match="is open, not planned"):
        sessions.plan_session(kept, opened(planned("syrup")))


def test_an_id_is_taken_once(kept: Engine) -> None:
    with pytest.raises(InputError, match="saved under the id 'acid' already"):
        sessions.plan_session(kept, planned("acid"))


def test_a_sample_has_to_be_kept_first(engine: Engine) -> None:
    with pytest.raises(InputError, match="the version 'spritz-1', which is not saved here"):
        sessions.plan_session(engine, planned("acid"))
    assert sessions.summaries(engine) == ()


@pytest.mark.parametrize(
    "ask", [sessions.summary, sessions.planned_session, sessions.closed_session, sessions.seats]
)
def test_an_unknown_session_is_said(engine: Engine, ask) -> None:
    with pytest.raises(NotFoundError, match="no session is saved under the id 'nothing'"):
        ask(engine, "nothing")


@pytest.mark.parametrize("session", [planned("acid"), closed(planned("acid"), 10, 2)])
def test_only_an_open_session_is_poured(engine: Engine, session: Session) -> None:
    keep(engine, session)
    with pytest.raises(LifeCycleError, match="that is done while it is open"):
        sessions.pour_sheet(engine, "acid", LATER, "host")
    assert sessions.events(engine, "acid") == ()


def test_who_looks_at_the_pour_sheet_is_recorded(kept: Engine) -> None:
    sessions.open_session(kept, "acid", LATER)
    for reader in ("host", "pourer"):
        assert sessions.pour_sheet(kept, "acid", LATER, reader).answers == ()
    told = [(event.what, event.detail) for event in sessions.events(kept, "acid")]

    assert told[-2:] == [("pour sheet shown", "to host"), ("pour sheet shown", "to pourer")]


def test_a_planned_session_is_no_longer_planned_once_open(kept: Engine) -> None:
    sessions.open_session(kept, "acid", LATER)
    with pytest.raises(LifeCycleError, match="is open, not planned"):
        sessions.planned_session(kept, "acid")
    with pytest.raises(SealedError, match="sealed until it is closed"):
        sessions.closed_session(kept, "acid")


def ended(id_: str, at: datetime) -> Session:
    return Session.model_validate({**dict(closed(planned(id_), 10, 2)), "closed_at": at})


def test_closed_sessions_come_oldest_first_whatever_their_time_zone(engine: Engine) -> None:
    """23:00 at UTC+10 is 13:00 UTC, before 14:00 UTC, though its text sorts after it."""
    early = datetime(2026, 2, 20, 23, tzinfo=timezone(timedelta(hours=10)))
    late = datetime(2026, 2, 20, 14, tzinfo=UTC)
    keep(engine, *(ended(id_, at) for id_, at in (("late", late), ("early", early))))

    assert [session.id for session in sessions.closed_sessions(engine)] == ["early", "late"]


def test_summaries_come_newest_plan_first(engine: Engine) -> None:
    newer = planned("syrup").model_copy(update={"planned_at": LATER})
    keep(engine, planned("acid"), newer)

    assert [known.id for known in sessions.summaries(engine)] == ["syrup", "acid"]
