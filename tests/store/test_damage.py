"""One damaged row in one closed session: it is set aside by name, and all others are used."""

import pytest
from sqlalchemy import Engine

from tasting.errors import DamagedError
from tasting.store import sessions
from tasting.store.documents import export_document
from tests.store.damaging import CUT, UNREADABLE, file_of, spoil
from tests.ui.workshop import keep, opened, planned, some_closed

OTHERS = ["syrup", "liking", "unknown", "nobody"]


@pytest.fixture
def log(engine: Engine) -> Engine:
    keep(engine, *some_closed(), opened(planned("now")), planned("next"))
    return engine


@pytest.mark.parametrize("harm", UNREADABLE.values(), ids=UNREADABLE)
def test_it_is_named_and_the_others_are_read(log: Engine, harm: str) -> None:
    spoil(file_of(log), harm)
    aside: list[str] = []
    read = [session.id for session in sessions.closed_sessions(log, aside)]

    assert read == OTHERS
    (said,) = aside
    assert said.startswith("the session 'Session acid' (acid) is damaged: ")
    assert "\n" not in said


@pytest.mark.parametrize("harm", UNREADABLE.values(), ids=UNREADABLE)
def test_an_export_goes_on_without_it(log: Engine, harm: str) -> None:
    spoil(file_of(log), harm)
    aside: list[str] = []
    document = export_document(log, set_aside=aside)

    assert {session.id for session in document.sessions} == {*OTHERS, "next"}
    assert len(aside) == 1


def test_who_asks_for_it_alone_is_told(log: Engine) -> None:
    spoil(file_of(log), CUT)
    with pytest.raises(DamagedError, match="the session 'Session acid' .acid. is damaged"):
        sessions.closed_session(log, "acid")
    with pytest.raises(DamagedError):
        export_document(log, ["acid"], [])


def test_of_a_sealed_session_no_more_is_told_than_that(log: Engine) -> None:
    """Else a fault could name an order or a code of the key."""
    spoil(
        file_of(log),
        "UPDATE serving_set SET serving_order = 'BXB', codes = '1' WHERE session_id = 'now'",
    )
    with pytest.raises(DamagedError) as caught:
        sessions.close_session(log, "now", planned("now").planned_at)
    assert "BXB" not in str(caught.value)
    assert "no more is said before it is closed" in str(caught.value)


def test_lists_of_sessions_go_on_as_well(log: Engine) -> None:
    spoil(file_of(log), "UPDATE session SET plan = '{' WHERE id = 'next'")
    aside: list[str] = []

    assert [known.id for known in sessions.going(log, aside)] == ["now"]
    assert "'Session next'" in aside[0]
