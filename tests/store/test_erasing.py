"""A pseudonym goes from everything, also from the record of a session that was read back."""

from datetime import timedelta

import pytest
from sqlalchemy import Engine

from tasting.errors import LifeCycleError, NotFoundError
from tasting.insight.findings.finding import finding
from tasting.panel.entries import Event
from tasting.panel.session import Session
from tasting.store import sessions
from tests.ui.workshop import START, answered, closed, keep, opened, planned

WHO = "Assessor 7"


def with_events(*details: str) -> Session:
    """A closed session whose record has these details."""
    at = START + timedelta(days=31)
    happened = tuple(Event(at=at, what="answer", detail=detail) for detail in details)
    return closed(planned("acid"), 10, 2).model_copy(update={"events": happened})


@pytest.mark.parametrize("detail", [WHO, f"{WHO}: set 1", f"{WHO}: set 1, because: {WHO}x"])
def test_a_record_that_was_read_back_reads_as_before(engine: Engine, detail: str) -> None:
    keep(engine, with_events(detail, "Assessor 12: set 1", "seal abc"))
    assert [event.detail for event in sessions.events(engine, "acid")] == [
        detail,
        "Assessor 12: set 1",
        "seal abc",
    ]


def test_the_pseudonym_is_gone_and_the_finding_stays(engine: Engine) -> None:
    session = with_events(WHO, f"{WHO}: set 1")
    keep(engine, session)
    assert sessions.erase_pseudonym(engine, WHO) == 1
    after = sessions.closed_session(engine, "acid")

    assert WHO not in after.model_dump_json()
    assert finding(after).sentences == finding(session).sentences
    assert after.sealed == session.sealed


def test_an_open_session_is_finished_first(engine: Engine) -> None:
    keep(engine, answered(opened(planned("acid")), 1, 0))
    with pytest.raises(LifeCycleError, match="is in an open session; close it first"):
        sessions.erase_pseudonym(engine, WHO)


def test_nobody_of_that_name_is_said(engine: Engine) -> None:
    with pytest.raises(NotFoundError, match="no session has an assessor called 'Nobody'"):
        sessions.erase_pseudonym(engine, "Nobody")
