"""What waits to be written at one moment shares a transaction, and nobody's fault is another's."""

from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from threading import Event

import pytest
from sqlalchemy import Connection, Engine, event, text

from tasting.errors import InputError, StoreError
from tasting.store.database import _line, reading, write_together, writing

Work = Callable[[Connection], str]


@pytest.fixture
def notes(engine: Engine) -> Engine:
    """A database with a table in which nothing stands twice."""
    with writing(engine) as connection:
        connection.execute(text("CREATE TABLE line_said (said TEXT PRIMARY KEY)"))
    return engine


def add(said: str) -> Work:
    def work(connection: Connection) -> str:
        connection.execute(text("INSERT INTO line_said VALUES (:said)"), {"said": said})
        return said

    return work


def refuse(_: Connection) -> str:
    raise InputError("not like this")


def fail(connection: Connection) -> str:
    add("half done")(connection)
    raise ValueError("a fault of ours")


def kept(engine: Engine) -> list[str]:
    with reading(engine) as connection:
        return list(connection.execute(text("SELECT said FROM line_said ORDER BY said")).scalars())


@contextmanager
def busy(engine: Engine) -> Iterator[None]:
    """Somebody else is writing, so all that comes has to wait."""
    go, begun = Event(), Event()

    def hold() -> None:
        with writing(engine):
            begun.set()
            go.wait(10)

    with ThreadPoolExecutor(1) as thread:
        thread.submit(hold)
        begun.wait(10)
        yield
        go.set()


def at_once(engine: Engine, *works: Work) -> list[Future[str]]:
    """All of these wait for the same turn."""
    with ThreadPoolExecutor(len(works)) as threads, busy(engine):
        futures = [threads.submit(write_together, engine, "", work) for work in works]
        while len(_line(engine, "").waiting) < len(works):
            pass
    return futures


def test_it_is_on_disk_when_it_returns(notes: Engine) -> None:
    assert write_together(notes, "", add("a")) == "a"
    assert kept(notes) == ["a"]


def test_many_share_one_commit(notes: Engine) -> None:
    commits = []
    event.listen(notes, "commit", commits.append)
    done = at_once(notes, *(add(f"{number}") for number in range(8)))

    assert sorted(one.result() for one in done) == kept(notes) == [f"{one}" for one in range(8)]
    assert len(commits) < 8


def test_what_is_refused_takes_nothing_else_along(notes: Engine) -> None:
    first, second, third = at_once(notes, add("a"), refuse, add("b"))

    assert (first.result(), third.result()) == ("a", "b")
    assert isinstance(second.exception(), InputError)
    assert kept(notes) == ["a", "b"]


@pytest.mark.parametrize(("bad", "error"), [(fail, ValueError), (add("a"), StoreError)])
def test_what_breaks_the_transaction_is_undone_and_alone_is_told(
    notes: Engine, bad: Work, error: type[Exception]
) -> None:
    write_together(notes, "", add("a"))
    first, second, third, fourth = at_once(notes, add("b"), bad, refuse, add("c"))

    assert (first.result(), fourth.result()) == ("b", "c")
    assert isinstance(second.exception(), error)
    assert isinstance(third.exception(), InputError)
    assert kept(notes) == ["a", "b", "c"]


def test_a_commit_that_fails_is_told_to_everybody(notes: Engine) -> None:
    def full(*_: object) -> None:
        raise OSError("no room")

    event.listen(notes, "commit", full)
    done = at_once(notes, add("a"), add("b"))
    event.remove(notes, "commit", full)

    assert all(isinstance(one.exception(), OSError) for one in done)
    assert kept(notes) == []
    assert write_together(notes, "", add("c")) == "c"
