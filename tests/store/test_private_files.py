"""Nobody else on the computer reads a database, its log, a copy of it or an export."""

import os
import signal
import sqlite3
import subprocess
import sys
import tempfile
import textwrap
import time
from collections.abc import Iterator
from contextlib import closing, suppress
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import Engine, event

from tasting.errors import InputError, StoreError
from tasting.store import backup, private_files, sessions
from tasting.store.access import choose_passphrase
from tasting.store.check import misses
from tasting.store.database import data_folder, file_address, open_database
from tests.sources import ROOT
from tests.store.test_earlier import EARLIER

pytestmark = pytest.mark.skipif(os.name == "nt", reason="modes mean little on Windows")


@pytest.fixture(autouse=True)
def _careless() -> None:
    """Whatever the umask lets through."""
    before = os.umask(0)
    yield
    os.umask(before)


def mode(file: Path) -> str:
    return oct(file.stat().st_mode & 0o777)


@pytest.mark.parametrize("there", [True, False])
def test_a_database_and_what_lies_beside_it(tmp_path: Path, there: bool) -> None:
    file = tmp_path / "log.sqlite3"
    if there:  # as an older version left it
        open_database(file_address(file)).dispose()
        file.chmod(0o644)
    engine = open_database(file_address(file))
    choose_passphrase(engine, "rhubarb and bay")
    with engine.connect() as connection:
        connection.exec_driver_sql("SELECT 1 FROM setting")
        found = sorted(tmp_path.iterdir())

        assert [one.name for one in found] == [f"log.sqlite3{end}" for end in ("", "-shm", "-wal")]
        assert {mode(one) for one in found} == {"0o600"}
    engine.dispose()


def test_a_copy_and_what_is_restored_from_it(tmp_path: Path, now: datetime) -> None:
    source, copy = tmp_path / "log.sqlite3", tmp_path / "copy"
    open_database(file_address(source)).dispose()
    backup.back_up(source, copy)
    aside, _ = backup.restore(copy, source, now, replace=True)
    backup.restore(copy, tmp_path / "new.sqlite3", now)

    assert {mode(one) for one in tmp_path.iterdir()} == {"0o600"}
    assert aside in set(tmp_path.iterdir())


def test_the_users_folder_is_their_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home" / "data"))
    made = data_folder()

    assert {mode(one) for one in (made, made.parent, made.parent.parent)} == {"0o700"}


def test_a_device_keeps_its_mode() -> None:
    before = mode(Path("/dev/null"))
    with pytest.raises(StoreError):
        open_database("sqlite:////dev/null")

    assert mode(Path("/dev/null")) == before


def test_a_file_that_fails_half_way_is_not_there(tmp_path: Path) -> None:
    def fail() -> None:
        with private_files.new_file(tmp_path / "new") as unfinished:
            unfinished.write_text("half")
            raise ZeroDivisionError

    pytest.raises(ZeroDivisionError, fail)
    assert not list(tmp_path.iterdir())


def test_a_file_that_came_meanwhile_is_not_replaced(tmp_path: Path) -> None:
    file = tmp_path / "new"

    def write() -> None:
        with private_files.new_file(file) as unfinished:
            unfinished.write_text("ours")
            file.write_text("theirs")

    pytest.raises(FileExistsError, write)
    assert [one.read_text() for one in tmp_path.iterdir()] == ["theirs"]


def as_nobody(script: str, *arguments: object) -> str:
    """What this script says when somebody runs it who owns nothing."""
    lowered = f"import os, sys; sys.path.insert(0, {str(ROOT)!r})\n"
    loaded = "from tasting.store import backup\nfrom pathlib import Path\nos.seteuid(65534)\n"
    done = subprocess.run(
        [sys.executable, "-c", lowered + loaded + textwrap.dedent(script), *map(str, arguments)],
        capture_output=True,
        text=True,
        check=False,
    )
    return done.stdout + done.stderr


@pytest.fixture
def folder() -> Iterator[Path]:
    """One that anybody may read; pytest's own are shut again whenever another run begins."""
    with tempfile.TemporaryDirectory() as made:
        Path(made).chmod(0o755)
        yield Path(made)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="takes root to be less")
def test_a_folder_that_cannot_be_written_is_said(folder: Path) -> None:
    """SQLite only says that it cannot open the file, which sounds as if the copy were missing."""
    source = folder / "log.sqlite3"
    open_database(file_address(source)).dispose()
    source.chmod(0o644)
    told = as_nobody(
        """
        try:
            backup.back_up(Path(sys.argv[1]), Path(sys.argv[2]))
        except Exception as error:
            print(type(error).__name__, error)
        """,
        *(source, folder / "copy"),
    )

    assert told.startswith(f"StoreError cannot write {folder}/copy: Permission denied; name a")


def test_kill_9_while_copying_leaves_no_copy_and_hinders_no_other(tmp_path: Path) -> None:
    source, copy = tmp_path / "log.sqlite3", tmp_path / "copy"
    engine = open_database(file_address(source))
    with engine.begin() as connection:
        connection.exec_driver_sql("CREATE TABLE ballast AS SELECT randomblob(60000000) AS b")
    engine.dispose()
    script = "from pathlib import Path; from tasting.store.backup import back_up; print(flush=True)"
    script += f"; back_up(Path({str(source)!r}), Path({str(copy)!r}))"
    for wait in (0.0, 0.02, 0.1):
        with subprocess.Popen(
            [sys.executable, "-c", script], cwd=ROOT, stdout=subprocess.PIPE
        ) as process:
            assert process.stdout is not None
            process.stdout.readline()
            time.sleep(wait)
            process.send_signal(signal.SIGKILL)
        if copy.exists():  # it was quicker
            backup.check(copy)
            copy.unlink()
        assert {mode(one) for one in tmp_path.iterdir()} == {"0o600"}
    backup.back_up(source, copy)
    backup.check(copy)


def killed_at(statement: int, address: str) -> bool:
    """Whether a process that opens this database was ended by SIGKILL at its so-manieth statement.

    A fork of this one: it takes a hundredth of the time of a new process.
    """
    child = os.fork()
    if child == 0:
        with suppress(BaseException):
            passed = count(1)
            event.listen(
                Engine,
                "before_cursor_execute",
                lambda *_: os.kill(os.getpid(), signal.SIGKILL) if next(passed) == statement else 0,
            )
            open_database(address)
        os._exit(0)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


@pytest.mark.parametrize("earlier", [None, *EARLIER], ids=lambda path: path and path.stem)
def test_kill_9_while_migrating_leaves_a_database_that_opens(
    tmp_path: Path, earlier: Path | None
) -> None:
    """At every 23rd statement of an upgrade, of an older schema too: all of it or nothing."""
    for statement in count(1, 23):
        file = tmp_path / f"log-{statement}.sqlite3"
        if earlier:
            with closing(sqlite3.connect(file)) as connection:
                connection.executescript(earlier.read_text("utf-8"))
        killed = killed_at(statement, file_address(file))
        engine = open_database(file_address(file))
        assert list(misses(engine)) == []
        assert len(sessions.summaries(engine)) == (4 if earlier else 0)
        choose_passphrase(engine, f"opened at {datetime.now(UTC)}")
        engine.dispose()
        if not killed:
            break
    assert statement > 23, "it was killed at least twice"


@pytest.mark.parametrize("how", ["export", "backup", "start"])
def test_what_a_killed_program_left_is_removed_and_what_another_writes_is_not(
    tmp_path: Path, how: str
) -> None:
    """A hidden file may hold keys, and nobody would look for it."""
    source = tmp_path / "log.sqlite3"
    open_database(file_address(source)).dispose()
    child = os.fork()
    if child == 0:
        with suppress(BaseException), private_files.unfinished_file(tmp_path) as left:
            left.write_text("a key")
            os.kill(os.getpid(), signal.SIGKILL)
        os._exit(0)
    os.waitpid(child, 0)
    (left,) = tmp_path.glob(".tasting-*")
    with private_files.unfinished_file(tmp_path.parent) as elsewhere:
        being_written = tmp_path / ".tasting-being-written.unfinished"
        os.link(elsewhere, being_written)  # so the one who writes it holds its lock
        if how == "export":
            with private_files.new_file(tmp_path / "export.json"):
                pass
        elif how == "backup":
            backup.back_up(source, tmp_path / "copy")
        else:
            open_database(file_address(source)).dispose()

        assert not left.exists()
        assert being_written.exists()


def test_an_older_copy_of_the_same_name_is_kept(tmp_path: Path) -> None:
    source, copy = tmp_path / "log.sqlite3", tmp_path / "copy"
    open_database(file_address(source)).dispose()
    copy.write_text("older")
    with pytest.raises(InputError, match="exists already"):
        backup.back_up(source, copy)

    assert copy.read_text() == "older"
