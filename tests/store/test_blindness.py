"""While a session is open, nothing but the pour sheet tells which code is which sample.

The proof turns every cup around: in the mirrored session each cup of A holds B and each cup of B
holds A, under the same codes. Whoever is blind must not be able to tell the two apart.
"""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine

from tasting.errors import SealedError
from tasting.panel.methods import METHODS
from tasting.panel.session import Session
from tasting.store import sessions
from tasting.store.database import file_address, open_database
from tasting.store.documents import export_document
from tests.ui.workshop import answered, keep, opened, planned

TURNED = str.maketrans("AB", "BA")


def mirrored(session: Session) -> Session:
    """The same session with A and B changed in every cup."""
    sets = [
        served.model_copy(update={"order": served.order.translate(TURNED)})
        for served in session.sets
    ]
    return Session.model_validate({**dict(session), "sets": tuple(sets)})


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


def seen_by_assessors(engine: Engine) -> list[sessions.Ballot]:
    return [sessions.ballot(engine, seat.token) for seat in sessions.seats(engine, "acid")]


def seen_by_the_host(engine: Engine) -> tuple[object, ...]:
    counts = [(seat.assessor, seat.answered) for seat in sessions.seats(engine, "acid")]
    return (sessions.summary(engine, "acid"), sessions.summaries(engine), counts)


@pytest.mark.parametrize("method", METHODS)
def test_nobody_can_tell_a_session_from_its_mirror(store, method: str) -> None:
    session = opened(planned("acid", method))
    assert session.sets != mirrored(session).sets
    one, other = store(session), store(mirrored(session))

    assert seen_by_assessors(one) == seen_by_assessors(other)
    assert seen_by_the_host(one) == seen_by_the_host(other)


def test_the_host_cannot_tell_right_answers_from_wrong_ones(store) -> None:
    session = opened(planned("acid"))
    right, wrong = store(answered(session, 8, 0)), store(answered(session, 0, 8))

    assert seen_by_the_host(right) == seen_by_the_host(wrong)
    assert seen_by_assessors(right) == seen_by_assessors(wrong)


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
    assert sessions.closed_sessions(store(opened(planned("acid")))) == ()
