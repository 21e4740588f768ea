"""Copies while the app writes, and putting one back."""

import os
import signal
import sqlite3
import threading
import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import AbstractContextManager, closing, suppress
from datetime import datetime
from functools import partial
from pathlib import Path
from random import Random

import pytest
from sqlalchemy import Engine

from tasting.errors import InputError, NotFoundError, StoreError
from tasting.store import backup, host_logins, sessions
from tasting.store.database import file_address, open_database
from tasting.store.private_files import new_file
from tests.faults.evening import answer_next, begun
from tests.ui.workshop import keep, planned


@pytest.fixture
def log(engine: Engine, tmp_path: Path) -> Path:
    """A database with one planned session, not in use."""
    keep(engine, planned("acid"))
    engine.dispose()
    return tmp_path / "log.sqlite3"


@pytest.fixture
def copy(log: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    backup.back_up(log, tmp_path / "copy")
    return tmp_path / "copy"


def held(file: Path) -> list[str]:
    engine = open_database(file_address(file))
    found = [known.name for known in sessions.summaries(engine)]
    engine.dispose()
    return found


def spoil(file: Path, act: Callable[[sqlite3.Connection], object]) -> None:
    with closing(sqlite3.connect(file)) as connection:
        act(connection)
        connection.commit()


def test_a_copy_holds_the_same(copy: Path) -> None:
    assert held(copy) == ["Session acid"]


def test_copies_made_while_answers_come_in_are_whole(engine: Engine, tmp_path: Path) -> None:
    evening = begun(engine, assessors=6, replicates=6)

    def answer(token: str) -> None:
        while answer_next(engine, token, Random(token)):
            pass

    with ThreadPoolExecutor(6) as threads:
        going = [threads.submit(answer, token) for token in evening.tokens.values()]
        for number in range(5):
            backup.back_up(tmp_path / "log.sqlite3", tmp_path / f"copy-{number}")
            backup.check(tmp_path / f"copy-{number}")
    for done in going:
        done.result()


def test_a_copy_of_an_earlier_schema_is_restored_and_upgraded(
    tmp_path: Path, now: datetime
) -> None:
    earlier, log = tmp_path / "first", tmp_path / "log.sqlite3"
    first = Path(__file__).parent / "fixtures" / "first.sql"
    spoil(earlier, lambda db: db.executescript(first.read_text("utf-8")))
    backup.check(earlier)
    backup.restore(earlier, log, now)

    assert len(held(log)) == 4
    backup.back_up(log, tmp_path / "second")
    assert held(tmp_path / "second") == held(log)


def test_a_copy_is_one_file(copy: Path, tmp_path: Path) -> None:
    assert [path.name for path in tmp_path.glob("copy*")] == ["copy"]


def test_a_copy_holds_no_sign_in(engine: Engine, tmp_path: Path, now: datetime) -> None:
    token = host_logins.begin(engine, bytes(64), now)
    backup.back_up(tmp_path / "log.sqlite3", tmp_path / "copy")
    other = open_database(file_address(tmp_path / "copy"))
    found = host_logins.secret_of(other, token, now)
    other.dispose()

    assert found is None


def test_a_copy_never_overwrites_a_file(log: Path, tmp_path: Path) -> None:
    (tmp_path / "letter").write_text("Dear guest")
    with pytest.raises(InputError, match="letter exists already; name a new file"):
        backup.back_up(log, tmp_path / "letter")
    assert (tmp_path / "letter").read_text() == "Dear guest"


@pytest.mark.parametrize("act", [backup.back_up, lambda a, b: backup.restore(a, b, None)])
def test_what_is_not_there_is_said(act: Callable[..., object], tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="there is no"):
        act(tmp_path / "nothing", tmp_path / "other")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_missing_is_said(log: Path, tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="cannot write .*; name a file in a folder that you may"):
        backup.back_up(log, tmp_path / "missing" / "copy")


def test_a_copy_is_put_where_nothing_was(copy: Path, tmp_path: Path, now: datetime) -> None:
    assert backup.restore(copy, tmp_path / "new.sqlite3", now) == (None, ())
    assert held(tmp_path / "new.sqlite3") == ["Session acid"]


def test_a_database_is_not_overwritten_unasked(copy: Path, log: Path, now: datetime) -> None:
    with pytest.raises(InputError, match="exists already; give --replace"):
        backup.restore(copy, log, now)


def test_the_database_before_is_kept_aside(copy: Path, log: Path, now: datetime) -> None:
    engine = open_database(file_address(log))
    sessions.plan_session(engine, planned("later"))
    engine.dispose()
    aside, _ = backup.restore(copy, log, now, replace=True)

    assert aside == log.with_name("log.sqlite3.before-20260301T180000")
    assert (held(log), held(aside)) == (["Session acid"], ["Session acid", "Session later"])


def test_a_database_in_use_is_not_replaced(copy: Path, log: Path, now: datetime) -> None:
    running = open_database(file_address(log))
    with running.connect(), pytest.raises(InputError, match="stop the app first"):
        backup.restore(copy, log, now, replace=True)
    running.dispose()

    assert held(log) == ["Session acid"]


def test_a_program_that_starts_while_it_is_replaced_waits_and_finds_the_new_one(
    copy: Path, log: Path, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Attack: renamed under its feet, the file took the answers of an app that had just started."""
    asked = threading.Event()
    starting = list[Future[None]]()

    def start() -> None:
        asked.set()
        engine = open_database(file_address(log))
        sessions.plan_session(engine, planned("meanwhile"))
        engine.dispose()

    def replaced_slowly(*given: Path) -> AbstractContextManager[Path]:
        starting.append(threads.submit(start))
        asked.wait(20)
        time.sleep(0.3)  # for it to come as far as it can
        return new_file(*given)

    monkeypatch.setattr(backup, "new_file", replaced_slowly)
    with ThreadPoolExecutor(1) as threads:
        aside, _ = backup.restore(copy, log, now, replace=True)
    starting[0].result()

    assert held(log) == ["Session acid", "Session meanwhile"]
    assert held(aside) == ["Session acid"]


def test_kill_9_while_it_is_replaced_leaves_one_of_the_two(
    copy: Path, log: Path, now: datetime
) -> None:
    engine = open_database(file_address(log))
    sessions.plan_session(engine, planned("later"))
    engine.dispose()
    child = os.fork()
    if child == 0:
        sqlite3.connect = partial(sqlite3.connect, factory=_Killing)
        with suppress(BaseException):
            backup.restore(copy, log, now, replace=True)
        os._exit(0)
    assert os.WIFSIGNALED(os.waitpid(child, 0)[1])

    assert held(log) == ["Session acid", "Session later"]
    assert log.with_name("log.sqlite3.before-20260301T180000").exists()


class _Killing(sqlite3.Connection):
    """Ends the process in the middle of writing over the database."""

    def backup(self, target: sqlite3.Connection, **_: object) -> None:
        place = target.execute("PRAGMA database_list").fetchone()[2]
        if not place.endswith(".sqlite3"):
            return super().backup(target)
        super().backup(target, pages=5, progress=lambda *_: os.kill(os.getpid(), signal.SIGKILL))


def test_a_damaged_database_gives_way(copy: Path, log: Path, now: datetime) -> None:
    log.write_bytes(b"no database at all" * 400)
    aside, _ = backup.restore(copy, log, now, replace=True)

    assert held(log) == ["Session acid"]
    assert aside.read_bytes().startswith(b"no database")


def whole_files(folder: Path) -> list[str]:
    """The files there, without SQLite's own beside an open database."""
    return sorted(path.name for path in folder.iterdir() if path.name[-4:] not in ("-wal", "-shm"))


def cut(file: Path) -> None:
    file.write_bytes(file.read_bytes()[:-9000])


def scribble(file: Path) -> None:
    whole = bytearray(file.read_bytes())
    for place in range(8192, len(whole), 4096):
        whole[place : place + 200] = b"\xff" * 200
    file.write_bytes(whole)


def another_program(file: Path) -> None:
    file.unlink()
    spoil(file, lambda db: db.execute("CREATE TABLE letter (text)"))


def newer(file: Path) -> None:
    spoil(file, lambda db: db.execute("UPDATE alembic_version SET version_num = '9999'"))


def orphan(file: Path) -> None:
    row = "INSERT INTO event VALUES (99, 'nowhere', NULL, '2026', 'x', '')"
    spoil(file, lambda db: db.execute(row))


@pytest.mark.parametrize(
    ("harm", "said"),
    [
        (cut, "malformed|damaged"),
        (scribble, "malformed|damaged"),
        (lambda file: file.write_bytes(b"Dear guest, " * 900), "not a database"),
        (lambda file: file.write_bytes(b""), "not one of this program's"),
        (another_program, "not one of this program's"),
        (newer, "newer version of the program"),
        (orphan, "event: row 99 stands alone"),
    ],
)
def test_a_bad_copy_is_refused_and_nothing_changes(copy, log, now, harm, said: str) -> None:
    harm(copy)
    before = whole_files(log.parent)
    with pytest.raises(StoreError, match=said):
        backup.restore(copy, log, now, replace=True)

    assert held(log) == ["Session acid"]
    assert whole_files(log.parent) == before
