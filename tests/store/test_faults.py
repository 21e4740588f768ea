"""Full disks, locks, damage, a clock set back: a clear sentence, and nothing that was kept is lost.

The whole load and many more kills: `python -m tests.faults.load`, `python -m tests.faults.kill`.
"""

import resource
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import timedelta
from pathlib import Path
from random import Random

import pytest
from sqlalchemy import Engine

from tasting.errors import StoreError
from tasting.panel.entries import Amendment
from tasting.store import ballots, sessions
from tasting.store.database import file_address, open_database
from tests.faults.evening import MOMENT, Evening, answer_next, begun, counted
from tests.faults.kill import kill_writers, trial
from tests.faults.load import at_once
from tests.giving import record_answer


@pytest.fixture
def evening(engine: Engine) -> Evening:
    """Six assessors with six sets each."""
    return begun(engine, assessors=6, replicates=6)


def answer_all(engine: Engine, evening: Evening, told: list) -> None:
    """Go on until every set is answered or the database fails."""
    for token in evening.tokens.values():
        while given := answer_next(engine, token, Random(token)):
            told.append(given)


def test_many_at_once_lose_and_double_nothing(address: str) -> None:
    found = at_once(address, processes=2, assessors=16, replicates=2)

    assert (found.told, found.kept, found.lost, found.doubled) == (32, 32, 0, 0)


def test_killed_writers_lose_and_double_nothing(address: str, tmp_path: Path) -> None:
    done = trial(address, tmp_path, 8, kill_writers)
    found = done.count()

    assert done.kills >= 8
    assert found.told
    assert found.lost == found.doubled == 0


@contextmanager
def no_file_beyond(size: int) -> Iterator[None]:
    """As on a full disk, writing beyond this size fails (setrlimit(2))."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def test_a_full_disk_is_said_and_what_was_kept_stays(
    engine: Engine, evening: Evening, tmp_path: Path
) -> None:
    told: list = []
    log = (tmp_path / "log.sqlite3-wal").stat().st_size
    full = pytest.raises(StoreError, match="nothing of this was saved; .* disk")
    with no_file_beyond(log + 100_000), full:
        answer_all(engine, evening, told)
    assert told
    assert counted(engine, [evening], told).lost == 0

    answer_all(engine, evening, told)  # there is room again
    found = counted(engine, [evening], told)
    assert (found.kept, found.lost, found.doubled) == (36, 0, 0)


def test_a_file_that_may_only_be_read_is_said(engine: Engine, address: str) -> None:
    file = address.removeprefix("sqlite:///")
    only_read = open_database(f"sqlite:///file:{file}?mode=ro&uri=true")
    with pytest.raises(StoreError, match="readonly database; .* make the file and its folder"):
        begun(only_read, assessors=1, replicates=1)
    only_read.dispose()


def test_a_locked_database_is_said_and_takes_the_answer_later(
    engine: Engine, evening: Evening, tmp_path: Path
) -> None:
    token = next(iter(evening.tokens.values()))
    with engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA busy_timeout = 50")
    with closing(sqlite3.connect(tmp_path / "log.sqlite3")) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="is locked; .* so try again"):
            answer_next(engine, token, Random(1))

    told = [answer_next(engine, token, Random(1))]
    assert counted(engine, [evening], told).lost == 0


def test_a_damaged_file_is_said(engine: Engine, evening: Evening, tmp_path: Path) -> None:
    with engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    engine.dispose()
    file = tmp_path / "log.sqlite3"
    whole = bytearray(file.read_bytes())
    whole[4096:] = b"\xff" * (len(whole) - 4096)
    file.write_bytes(whole)

    with pytest.raises(StoreError, match="the file is damaged; put a backup in its place"):
        sessions.summaries(open_database(file_address(file)))


def test_a_clock_set_back_loses_no_answer_and_the_session_still_closes(
    engine: Engine, evening: Evening
) -> None:
    before = MOMENT - timedelta(days=400)
    for token in evening.tokens.values():
        while (shown := ballots.ballot(engine, token)).codes:
            record_answer(engine, token, shown.replicate, shown.choices[0], before)
    closed = sessions.close_session(engine, evening.session_id, before)

    assert len(closed.answers) == 36
    assert closed.closed_at >= closed.opened_at


def test_a_clock_set_back_still_lets_the_host_amend(engine: Engine, evening: Evening) -> None:
    who, token = next(iter(evening.tokens.items()))
    shown = ballots.ballot(engine, token)
    record_answer(engine, token, 1, shown.choices[0], MOMENT)
    earlier = MOMENT - timedelta(days=400)
    change = Amendment(
        assessor=who, replicate=1, choice=shown.choices[1], reason="misheard", made_at=earlier
    )
    sessions.amend_answer(engine, evening.session_id, change)

    assert sessions.summary(engine, evening.session_id).answered == 1
