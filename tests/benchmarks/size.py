"""How the log keeps up with 100, 1,000 and 10,000 closed sessions of 24 answers, against floors.

Run from the project's folder: `python -m tests.benchmarks.size [SESSIONS ...]`. For each size a
fresh process imports the documents and another one opens every page of the host: the first time,
and again. Memory is the most that a process ever held (getrusage(2)). Durable answers, and the tidy
table of all answers, are set beside SQLite and pandas alone. Seconds are those of the processor,
because other programs may run meanwhile; durable answers alone are timed by the clock, as they wait
for the disk. Exits with 1 if a floor is missed.
"""

import json
import os
import resource
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

import pandas as pd
import pytest
from sqlalchemy import Engine, text

from tasting.errors import InputError
from tasting.settings import DATABASE
from tasting.store import host_logins, schema, session_index
from tasting.store.access import choose_passphrase, link_secret
from tasting.store.database import file_address, open_database, shared_database
from tasting.ui import pages
from tests.benchmarks.stat_speed import Line
from tests.benchmarks.workshop_years import write_files
from tests.faults.evening import MOMENT, begun
from tests.giving import record_answer

APP = Path(__file__).parents[2] / "streamlit_app.py"
SIZES = (100, 1000, 10_000)
FIRST_S, WARM_MS, GROWTH, MEMORY_MB = 2.0, 300.0, 2.0, 400.0
IMPORT_S_PER_10_000, DURABLE, TIDY = 60.0, 0.25, 1.5
ANSWERS = 1000
_BARE = "INSERT INTO answer VALUES (?, ?, ?, ?, ?, ?, ?)"
_TIDY = (
    "SELECT session.id AS session_id, session.name, result.closed_at, result.method, "
    "seat.assessor, answer.replicate, "
    "serving_order, codes, answer.choice, answer.remark, session.invented FROM answer "
    "JOIN serving_set USING (session_id, seat, replicate) "
    "JOIN seat ON seat.session_id = answer.session_id AND seat.number = answer.seat "
    "JOIN session ON session.id = answer.session_id JOIN result ON result.session_id = session.id"
)


def memory_mb() -> float:
    """The most that this process has held."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def seconds(work: Callable[[], object], repeats: int) -> float:
    """Processor time of all threads, the best of several runs."""
    times = []
    for _ in range(repeats):
        began = process_time()
        work()
        times.append(process_time() - began)
    return min(times)


def make(folder: Path, count: int) -> dict[str, float]:
    """Documents of so many sessions; what takes long is drawing and sealing them."""
    return {"files": float(len(write_files(folder, count)))}


def fill(folder: Path, _count: int) -> dict[str, float]:
    """Import the documents in the folder, as the command does."""
    from tasting.cli import run

    files = sorted(map(str, folder.glob("*.json")))
    began = process_time()
    code = run(["import", "--json", "--database", str(folder / "log.sqlite3"), *files])
    assert code == 0
    return {"import, s": process_time() - began, "import, MB": memory_mb()}


def look(folder: Path, _count: int) -> dict[str, float]:
    """Open every page of the host, first and again."""
    from streamlit.testing.v1 import AppTest

    from tasting.ui import access

    address = file_address(folder / "log.sqlite3")
    with pytest.MonkeyPatch.context() as patch:
        engine = open_database(address)
        with suppress(InputError):  # chosen by an earlier run on the same log
            choose_passphrase(engine, "rhubarb and bay")
        token = host_logins.begin(engine, link_secret(engine, "rhubarb and bay"), datetime.now(UTC))
        patch.setattr(access, "host_token", lambda: token)
        # Modules are imported on a log of its own, which has to know the same host.
        patch.setenv(DATABASE, _empty(folder, engine))
        for page in pages.OF_THE_HOST:
            _visit(AppTest.from_file(str(APP), default_timeout=600), page.address)
        patch.setenv(DATABASE, address)
        shared_database(address)
        app = AppTest.from_file(str(APP), default_timeout=600)
        found = {}
        for page in pages.OF_THE_HOST:
            found[f"{page.label}, first, s"] = seconds(partial(_visit, app, page.address), 1)
            found[f"{page.label}, warm, ms"] = 1000 * seconds(app.run, 5)
        engine.dispose()
    return {**found, "pages, MB": memory_mb()}


def _empty(folder: Path, signed_in: Engine) -> str:
    """A log with nothing in it but the sign-in of the other one."""
    address = file_address(folder / "empty.sqlite3")
    empty = open_database(address)
    with signed_in.connect() as old, empty.begin() as new:
        for table in (schema.setting, schema.host_session):
            new.execute(table.delete())
            new.execute(
                table.insert(), [dict(row) for row in old.execute(table.select()).mappings()]
            )
    empty.dispose()
    return address


def _visit(app: Any, address: str) -> None:
    from streamlit.util import calc_hash

    app._page_hash = calc_hash(address)
    app.run()
    faults = [one.value for one in (*app.exception, *app.error)]
    assert not faults, (address, faults)


def durable(folder: Path, _count: int) -> dict[str, float]:
    """Answers a second, one after the other, through the store and into a table alone."""
    engine = open_database(file_address(folder / "evening.sqlite3"))
    evening = begun(engine, assessors=50, replicates=ANSWERS // 50)
    given = list(_given(engine, evening.tokens.values()))
    began = perf_counter()
    for token, replicate, choice in given:
        record_answer(engine, token, replicate, choice, MOMENT)
    through = len(given) / (perf_counter() - began)
    engine.dispose()
    return {"store, answers/s": through, "bare, answers/s": _bare(folder / "bare.sqlite3")}


def _given(engine: Engine, tokens: Any) -> Iterator[tuple[str, int, str]]:
    """The first code of every set: which one it is does not matter here."""
    wanted = text(
        "SELECT codes, replicate FROM serving_set JOIN seat ON seat.session_id = "
        "serving_set.session_id AND seat.number = seat WHERE token_hash = :hash ORDER BY replicate"
    )
    from tasting.store.seats import digest

    with engine.connect() as connection:
        for token in tokens:
            for codes, replicate in connection.execute(wanted, {"hash": digest(token)}):
                yield token, replicate, codes.split()[0]


def _bare(file: Path) -> float:
    """The same settings, one INSERT a transaction."""
    with closing(sqlite3.connect(file, isolation_level=None)) as db:
        db.execute("PRAGMA journal_mode=WAL")
        db.execute("PRAGMA synchronous=FULL")
        db.execute(
            "CREATE TABLE answer (session_id TEXT, seat INT, replicate INT, choice TEXT, sure INT, "
            "remark TEXT, given_at TEXT, PRIMARY KEY (session_id, seat, replicate))"
        )
        began = perf_counter()
        for number in range(ANSWERS):
            db.execute("BEGIN IMMEDIATE")
            db.execute(_BARE, ("s", number, 1, "482", None, "", MOMENT.isoformat()))
            db.execute("COMMIT")
        return ANSWERS / (perf_counter() - began)


def tidy(folder: Path, _count: int) -> dict[str, float]:
    """The tidy table of all answers, and pandas reading the same rows."""
    from tasting.store.all_answers import all_answers

    engine = open_database(file_address(folder / "log.sqlite3"))
    with engine.connect() as connection:
        alone = seconds(lambda: pd.read_sql(_TIDY, connection), 2)
    ours = seconds(lambda: all_answers(engine), 2)
    rows = float(session_index.index(engine).count)
    engine.dispose()
    return {"sessions": rows, "tidy, s": ours, "read_sql, s": alone, "tidy, MB": memory_mb()}


STEPS: dict[str, Callable[[Path, int], dict[str, float]]] = {
    step.__name__: step for step in (make, fill, look, durable, tidy)
}


def in_a_process(step: str, folder: Path, count: int) -> dict[str, float]:
    """What a step measures in a process of its own."""
    command = [sys.executable, "-m", "tests.benchmarks.size", step, str(folder), str(count)]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=environment)
    if done.returncode:
        raise RuntimeError(done.stderr[-3000:])
    return {name: float(value) for name, value in json.loads(done.stdout.splitlines()[-1]).items()}


def measured(count: int) -> dict[str, float]:
    """Everything for a log of this size."""
    found: dict[str, float] = {}
    with tempfile.TemporaryDirectory() as folder:
        for step in STEPS:
            found |= in_a_process(step, Path(folder), count)
    return found


def lines(found: dict[int, dict[str, float]]) -> list[Line]:
    """The floors, at the largest size."""
    most = max(found)
    at, smaller = found[most], found.get(most // 10, {})
    made = []
    for name, value in at.items():
        if name.endswith("first, s"):
            made.append(Line(f"{name}, {most} sessions", value, FIRST_S, at_least=False))
        if name.endswith("warm, ms"):
            made.append(Line(f"{name}, {most} sessions", value, WARM_MS, at_least=False))
            if name in smaller:
                grown = value / smaller[name]
                made.append(Line(f"{name}, growth tenfold", grown, GROWTH, at_least=False))
        if name.endswith("MB") and not name.startswith("tidy"):
            made.append(Line(name, value, MEMORY_MB, at_least=False))
    made.append(Line("import, s", at["import, s"], IMPORT_S_PER_10_000 * most / 10_000, False))
    through = at["store, answers/s"] / at["bare, answers/s"]
    made.append(Line("durable answers: store / bare sqlite3", through, DURABLE, at_least=True))
    made.append(Line("tidy table / read_sql", at["tidy, s"] / at["read_sql, s"], TIDY, False))
    return made


def main(sizes: list[int]) -> int:
    """Measure, print a table and the floors."""
    found = {}
    for count in sizes:
        found[count] = measured(count)
        print(pd.DataFrame(found).round(3).to_string(), flush=True)
    compared = lines(found)
    print(*compared, sep="\n")
    return 0 if all(line.met for line in compared) else 1


if __name__ == "__main__":
    if sys.argv[1:2] and sys.argv[1] in STEPS:
        print(json.dumps(STEPS[sys.argv[1]](Path(sys.argv[2]), int(sys.argv[3]))))
        sys.exit(0)
    sys.exit(main([int(count) for count in sys.argv[1:]] or list(SIZES)))
