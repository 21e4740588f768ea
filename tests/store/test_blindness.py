"""While a session is open, nothing but the pour sheet tells which code is which sample.

The proof exchanges the key: the same codes in the same places, but every set has another serving
order. Whoever is blind must not be able to tell the two sessions apart.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine

from tasting.errors import LifeCycleError, SealedError
from tasting.panel.methods import METHODS
from tasting.panel.seal import fingerprint
from tasting.panel.session import Session
from tasting.store import ballots, sessions
from tasting.store.database import file_address, open_database
from tasting.store.documents import export_document
from tests.giving import record_answer
from tests.ui.workshop import START, answered, keep, opened, planned

SECRET = b"of the host's passphrase"
LATER = START + timedelta(days=32)


def exchanged(session: Session) -> Session:
    """The same session under another key, sealed anew with the same salt."""
    orders = session.plan.procedure.orders
    sets = tuple(
        served.model_copy(update={"order": orders[orders.index(served.order) - 1]})
        for served in session.sets
    )
    sealed = fingerprint(session.id, session.plan, sets, session.salt)
    return Session.model_validate({**dict(session), "sets": sets, "sealed": sealed})


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Callable[[Session], Engine]]:
    """Keeps a session in a database of its own."""
    engines: list[Engine] = []

    def kept(session: Session) -> Engine:
        engines.append(open_database(file_address(tmp_path / f"{len(engines)}.sqlite3")))
        keep(engines[-1], session)
        return engines[-1]

    yield kept
    for engine in engines:
        engine.dispose()


def seen_by_assessors(engine: Engine) -> list[ballots.Ballot]:
    tokens = ballots.links(engine, "acid", SECRET)
    return [ballots.ballot(engine, token) for token in tokens.values()]


def seen_by_the_host(engine: Engine) -> tuple[object, ...]:
    """All but the fingerprint of the key, which its salt keeps from being tried out."""
    (listed,) = sessions.summaries(engine)
    assert listed == sessions.summary(engine, "acid")
    return (
        replace(listed, sealed=""),
        sessions.seats(engine, "acid"),
        sessions.events(engine, "acid"),
    )


@pytest.mark.parametrize("method", METHODS)
def test_nobody_can_tell_a_session_from_one_under_another_key(store, method: str) -> None:
    session = opened(planned("acid", method))
    one, other = store(session), store(exchanged(session))

    assert seen_by_assessors(one) == seen_by_assessors(other)
    assert seen_by_the_host(one) == seen_by_the_host(other)


def test_the_host_cannot_tell_right_answers_from_wrong_ones(store) -> None:
    session = opened(planned("acid"))
    right, wrong = store(answered(session, 8, 0)), store(answered(session, 0, 8))

    assert seen_by_the_host(right) == seen_by_the_host(wrong)
    assert seen_by_assessors(right) == seen_by_assessors(wrong)


def test_answering_leaves_no_trace_of_the_choice(store) -> None:
    session = opened(planned("acid"))
    told = []
    for cup in (0, 1):
        engine = store(session)
        token = ballots.links(engine, "acid", SECRET)["Assessor 1"]
        choice = ballots.ballot(engine, token).choices[cup]
        record_answer(engine, token, 1, choice, LATER)
        told.append((seen_by_the_host(engine), seen_by_assessors(engine)))

    assert told[0] == told[1]


def test_a_ballot_names_no_sample(store) -> None:
    for ballot in seen_by_assessors(store(opened(planned("acid", "preference", "R")))):
        assert "Reference bottle R" not in repr(ballot)
        assert "Spritz" not in repr(ballot)


def test_an_open_session_is_not_exported(store) -> None:
    engine = store(opened(planned("acid")))

    assert export_document(engine).sessions == ()
    with pytest.raises(SealedError, match="'Session acid' is open: sealed until it is closed"):
        export_document(engine, ["acid"])


def test_an_open_session_is_not_among_the_closed_ones(store) -> None:
    assert list(sessions.closed_sessions(store(opened(planned("acid"))))) == []


def test_an_abandoned_session_keeps_its_key_and_answers_to_itself_for_ever(store) -> None:
    engine = store(answered(opened(planned("acid")), 3, 1))
    sessions.abandon_session(engine, "acid", LATER, "The bottle broke")
    (found,) = export_document(engine).sessions

    assert (found.state, found.abandoned_reason) == ("abandoned", "The bottle broke")
    assert (found.sets, found.answers, found.salt) == ((), (), "")
    with pytest.raises(SealedError, match="sealed until it is closed"):
        sessions.closed_session(engine, "acid")
    with pytest.raises(LifeCycleError, match="is abandoned"):
        sessions.pour_sheet(engine, "acid", LATER, "host")
