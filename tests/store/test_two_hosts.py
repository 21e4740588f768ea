"""Two hosts at once: opening, closing and correcting the same session, by engines of their own.

On SQLite and on PostgreSQL.
"""

import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from functools import partial
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import Engine

from tasting.errors import InputError, LifeCycleError
from tasting.panel.entries import Amendment, Exclusion
from tasting.store import sessions
from tasting.store.database import file_address, open_database
from tests.giving import enter_answer
from tests.postgres import Cluster, cluster
from tests.ui.workshop import START, answered, keep, opened, planned

LATER = START + timedelta(days=40)
ROUNDS = 6
NUMBERS = count(1)


@pytest.fixture(scope="module")
def server() -> Iterator[Cluster]:
    """A PostgreSQL server, where one is asked for."""
    with cluster() as running:
        yield running


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of a database of its own in either."""
    if request.param == "sqlite":
        return file_address(tmp_path / "log.sqlite3")
    running: Cluster = request.getfixturevalue("server")
    return running.create(f"hosts{next(NUMBERS)}")


@pytest.fixture
def other(engine: Engine, address: str) -> Iterator[Engine]:
    """The second host's own way to the same database, as from another process."""
    second = open_database(address)
    yield second
    second.dispose()


def at_once(*acts: Callable[[], object]) -> list[object]:
    """What comes back of each, or what is said against it; anything but our own errors fails."""
    gate = threading.Barrier(len(acts))

    def met(act: Callable[[], object]) -> object:
        gate.wait()
        try:
            return act()
        except (InputError, LifeCycleError) as error:
            return error

    with ThreadPoolExecutor(len(acts)) as threads:
        return list(threads.map(met, acts))


def told(engine: Engine, session_id: str, what: str) -> int:
    return sum(one.what == what for one in sessions.events(engine, session_id))


@pytest.mark.parametrize("number", range(ROUNDS))
def test_one_of_two_opens(engine: Engine, other: Engine, number: int) -> None:
    keep(engine, planned("both"))
    done = at_once(
        partial(sessions.open_session, engine, "both", LATER),
        partial(sessions.open_session, other, "both", LATER),
    )

    assert sum(isinstance(one, LifeCycleError) for one in done) == 1
    assert told(engine, "both", "opened") == 1
    assert len(sessions.pour_sheet(engine, "both", LATER, "Kim").sets) == 12, "and its seal fits"


@pytest.mark.parametrize("number", range(ROUNDS))
def test_one_of_two_closes_and_corrections_come_before_or_not_at_all(
    engine: Engine, other: Engine, number: int
) -> None:
    session = answered(opened(planned("both")), 6, 5)
    keep(engine, session)
    wrong, ill, last = session.answers[0], session.answers[1], session.sets[11]
    fields = {"assessor": wrong.assessor, "replicate": 1, "choice": wrong.choice}
    change = Amendment(**fields, reason="a slip", made_at=LATER)
    gone = Exclusion(assessor=ill.assessor, reason="a cold", made_at=LATER)
    choice = session.plan.choices(last.codes)[0]
    first, second, amended, excluded, entered = at_once(
        partial(sessions.close_session, engine, "both", LATER, "It is late"),
        partial(sessions.close_session, other, "both", LATER, "The bottle is empty"),
        partial(sessions.amend_answer, other, "both", change),
        partial(sessions.exclude_assessor, engine, "both", gone),
        partial(enter_answer, other, "both", last.assessor, 1, choice, LATER),
    )

    done = sessions.closed_session(engine, "both")  # valid as a whole, or it would be refused
    assert [isinstance(one, LifeCycleError) for one in (first, second)].count(True) == 1
    assert told(engine, "both", "closed") == 1
    kept = len(done.amendments), len(done.exclusions), len(done.answers) - 11
    late = [isinstance(one, LifeCycleError) for one in (amended, excluded, entered)]
    assert kept == tuple(0 if one else 1 for one in late)
