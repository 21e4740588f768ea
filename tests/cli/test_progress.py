"""Long work says how far it is where somebody looks, and leaves nothing half done when stopped."""

import os
import pty
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from sqlalchemy import Engine, delete

from tasting.store import documents, past, schema
from tasting.store.database import file_address, open_database, writing
from tasting.store.documents import Document, import_documents, write_document
from tasting.store.past import Search
from tests.cli.conftest import Tasting, workshop
from tests.sources import ROOT
from tests.ui.workshop import SPRITZ, closed, planned


def on_a_terminal(*command: str) -> tuple[int, str]:
    """The exit code of a command, and what a terminal shows of its standard error."""
    ours, theirs = pty.openpty()
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm", "COLUMNS": "100"}
    with subprocess.Popen(
        [sys.executable, "-P", "-m", "tasting", *command],
        stdout=subprocess.DEVNULL,
        stderr=theirs,
        env=environment,
    ) as process:
        os.close(theirs)
        seen = b""
        while True:
            try:
                more = os.read(ours, 65536)
            except OSError:  # so Linux says that the other end is closed
                break
            if not more:
                break
            seen += more
    os.close(ours)
    return process.returncode, seen.decode()


def test_an_import_is_drawn_on_a_terminal(document: Path, log: Path) -> None:
    code, seen = on_a_terminal("import", str(document), "--database", str(log))

    assert code == 0
    assert "Importing" in seen
    assert "100%" in seen


def test_an_export_is_drawn_on_a_terminal(tasting: Tasting, document: Path, log: Path) -> None:
    tasting("import", document, "--database", log)
    code, seen = on_a_terminal("export", "--database", str(log))

    assert code == 0
    assert "Exporting" in seen


def test_a_fit_says_that_it_takes_its_time(tasting: Tasting, document: Path, log: Path) -> None:
    tasting("import", document, "--database", log)
    _, seen = on_a_terminal("notice", "--database", str(log))

    assert "Fitting the model" in seen


def test_nothing_is_drawn_into_a_file(tasting: Tasting, document: Path, log: Path) -> None:
    assert tasting("import", document, "--database", log).err == ""


def test_the_first_reading_is_told(tasting: Tasting, document: Path, log: Path) -> None:
    """As after an update of the program: the rows that follow from sessions are not there."""
    tasting("import", document, "--database", log)
    engine = open_database(file_address(log))
    with writing(engine) as connection:
        connection.execute(delete(schema.score))
        connection.execute(delete(schema.result))
    engine.dispose()
    told: list[tuple[float, float]] = []
    engine = open_database(file_address(log), lambda done, of: told.append((done, of)))

    count = sum(session.state == "closed" for session in workshop().sessions)
    assert told == [(count, count)]
    assert past.count(engine, Search()) == count
    engine.dispose()


class Stopped(BaseException):
    """Like KeyboardInterrupt, and like what Streamlit raises when a page is left."""


@pytest.mark.parametrize("after", [1, 2, 3])
def test_an_import_that_is_stopped_keeps_nothing(
    engine: Engine, monkeypatch: pytest.MonkeyPatch, after: int
) -> None:
    monkeypatch.setattr(documents, "_AT_ONCE", 2)
    many = tuple(closed(planned(f"s{number}"), 6, 6) for number in range(5))
    told: list[float] = []

    def stop(done: float) -> None:
        told.append(done)
        if len(told) == after:
            raise Stopped

    with pytest.raises(Stopped):
        import_documents(engine, [Document(formulas=(SPRITZ,), sessions=many)], stop)
    assert told == [0.4, 0.8, 1.0][:after]
    assert past.count(engine, Search()) == 0
    assert not import_documents(engine, [Document(formulas=(SPRITZ,))])["sessions"]


@pytest.mark.parametrize("seconds", [1.5, 2.5, 3.5])
def test_ctrl_c_leaves_all_or_nothing(tmp_path: Path, seconds: float) -> None:
    many = tuple(closed(planned(f"s{number}"), 6, 6) for number in range(200))
    file, log = tmp_path / "many.json", tmp_path / "log.sqlite3"
    file.write_text(write_document(Document(formulas=(SPRITZ,), sessions=many)), "utf-8")
    command = [sys.executable, "-P", "-m", "tasting", "import", str(file), "--database", str(log)]
    with subprocess.Popen(
        command,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    ) as process:
        time.sleep(seconds)
        process.send_signal(signal.SIGINT)
        _, said = process.communicate(timeout=60)
    engine = open_database(file_address(log))
    count = past.count(engine, Search())
    engine.dispose()

    assert b"Traceback" not in said
    assert count == (200 if process.returncode == 0 else 0)
