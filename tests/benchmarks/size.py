"""How the log keeps up with 100, 1,000 and 10,000 closed sessions of 24 answers, against floors.

Run from the project's folder: `python -m tests.benchmarks.size [SESSIONS ...]`; it takes a quarter
of an hour, and prints the tables of `size.md`. For each size a fresh process imports the documents
and another one opens every page of the host and every section that looks at all sessions: the first
time, and again. Memory is the most that a process ever held (getrusage(2)). Durable answers, the
tidy table of all answers and the start of the commands are set beside SQLite, pandas and Python
alone, in the same run. Seconds are those of the processor, because other programs may run
meanwhile; answers and commands are timed by the clock, as they wait for the disk. Exits with 1 if a
floor is missed.
"""

import json
import os
import platform
import re
import resource
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import cache, partial
from importlib.metadata import version
from pathlib import Path
from random import Random
from time import perf_counter, process_time
from typing import Any

import pandas as pd
import pytest
from sqlalchemy import Engine

from tasting.errors import InputError
from tasting.settings import DATABASE
from tasting.store import host_logins, schema, session_index, sessions
from tasting.store.access import choose_passphrase, link_secret
from tasting.store.database import file_address, open_database, shared_database
from tasting.ui import pages
from tests.benchmarks.size_answers import durable, writers
from tests.benchmarks.start_speed import ALLOWED_S, started
from tests.benchmarks.stat_speed import Line
from tests.benchmarks.workshop_years import planned, write_files

APP = Path(__file__).parents[2] / "streamlit_app.py"
SIZES = (100, 1000, 10_000)
FIRST_S, WARM_MS, GROWTH, MEMORY_MB = 2.0, 300.0, 2.0, 400.0
IMPORT_S_PER_10_000, DURABLE, TIDY = 60.0, 0.25, 1.5
BESIDE = 0.8
OPEN = "open-now"
LOOKS = (
    "Repeated comparisons",
    "Closer to the reference?",
    "Preferred versions",
    "False alarms",
    "Assessors",
)
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
    taken = {"import, s": _imported(folder, folder / "log.sqlite3"), "import, MB": memory_mb()}
    engine = open_database(file_address(folder / "log.sqlite3"))
    at = datetime.now(UTC)
    sessions.plan_session(engine, planned(1, Random(2), at).model_copy(update={"id": OPEN}))
    sessions.open_session(engine, OPEN, at)
    engine.dispose()
    return taken


def _imported(folder: Path, log: Path) -> float:
    """Seconds to import the documents in a folder."""
    from tasting.cli import run

    files = sorted(map(str, folder.glob("*.json")))
    began = process_time()
    assert run(["import", "--json", "--database", str(log), *files]) == 0
    return process_time() - began


def export(folder: Path, _count: int) -> dict[str, float]:
    """Export everything into documents, as the command does."""
    from tasting.cli import run

    to = folder / "exported"
    to.mkdir()
    began = process_time()
    whole = ["--database", str(folder / "log.sqlite3"), "--output", str(to / "log.json")]
    assert run(["export", "--json", *whole]) == 0
    return {"export, s": process_time() - began, "export, MB": memory_mb()}


def again(folder: Path, _count: int) -> dict[str, float]:
    """Import what was exported into an empty log: every finding has to be the same, bit for bit."""
    _imported(folder / "exported", folder / "again.sqlite3")
    there = [_found(folder / name) for name in ("log.sqlite3", "again.sqlite3")]
    assert there[0] == there[1]
    return {"findings that came back the same": float(len(there[1]))}


def _found(log: Path) -> list[tuple[object, ...]]:
    with sqlite3.connect(log) as connection:
        return connection.execute("SELECT * FROM result ORDER BY session_id").fetchall()


@dataclass(frozen=True, slots=True)
class Place:
    """A page in some state. query: what its address asks for; state: what is chosen on it."""

    name: str
    address: str
    query: dict[str, str] = field(default_factory=dict)
    state: dict[str, str] = field(default_factory=dict)


def places(count: int) -> list[Place]:
    """Every page, and every section that looks at all closed sessions."""
    looks = [Place(f"History: {one}", "history", state={"look": one}) for one in LOOKS]
    looks[-1].state["assessor"] = "P01"
    return [
        Place("Dashboard", "dashboard"),
        Place("Dashboard: versions", "dashboard", state={"known": "Versions"}),
        Place("Dashboard: all sessions", "dashboard", state={"known": "All sessions"}),
        Place("Drinks", "drinks"),
        Place("Drink", "drink", {"id": "spritz"}),
        Place("Tastings", "tastings"),
        Place("New tasting", "new"),
        Place("Tasting, open", "tasting", {"id": OPEN}),
        Place("Tasting, closed", "tasting", {"id": f"s{count - 1}"}),
        Place("History", "history"),
        *looks,
        Place("Data and help", "host"),
    ]


def look(folder: Path, count: int) -> dict[str, float]:
    """Open every page of the host, first and again."""
    from streamlit.components.v2 import manifest_scanner
    from streamlit.runtime.scriptrunner.script_cache import ScriptCache
    from streamlit.testing.v1 import AppTest, app_test

    from tasting.ui import access

    address = file_address(folder / "log.sqlite3")
    with pytest.MonkeyPatch.context() as patch:
        engine = open_database(address)
        with suppress(InputError):  # chosen by an earlier run on the same log
            choose_passphrase(engine, "rhubarb and bay")
        token = host_logins.begin(engine, link_secret(engine, "rhubarb and bay"), datetime.now(UTC))
        patch.setattr(access, "host_token", lambda: token)
        # A server compiles a page, and looks for components, once; every AppTest would do it anew.
        patch.setattr(app_test, "ScriptCache", cache(ScriptCache))
        scan = cache(manifest_scanner.scan_component_manifests)
        patch.setattr(manifest_scanner, "scan_component_manifests", scan)
        # Modules are imported on a log of its own, which has to know the same host.
        patch.setenv(DATABASE, _empty(folder, engine))
        for page in pages.OF_THE_HOST:
            _visit(AppTest.from_file(str(APP), default_timeout=600), Place("", page.address))
        patch.setenv(DATABASE, address)
        shared_database(address)
        found = {}
        for place in places(count):
            app = AppTest.from_file(str(APP), default_timeout=600)
            found[f"{place.name}, first, s"] = seconds(partial(_visit, app, place), 1)
            found[f"{place.name}, again, ms"] = 1000 * seconds(app.run, 5)
            print(place.name, file=sys.stderr, flush=True)
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


def _visit(app: Any, place: Place) -> None:
    from streamlit.util import calc_hash

    app._page_hash = calc_hash(place.address)
    for name, value in place.query.items():
        app.query_params[name] = value
    for name, value in place.state.items():
        app.session_state[name] = value
    app.run()
    faults = [one.value for one in (*app.exception, *app.error)]
    assert not faults, (place, faults)


def start(_folder: Path, _count: int) -> dict[str, float]:
    """How much longer two commands take to start than Python with their libraries."""
    both = {name: started(name) for name in ALLOWED_S}
    return {f"tasting {name}, s": ours - floor for name, (ours, floor) in both.items()}


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
    step.__name__: step for step in (make, fill, look, tidy, export, again)
}
ONCE: dict[str, Callable[[Path, int], dict[str, float]]] = {
    step.__name__: step for step in (durable, writers, start)
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


def measured_once() -> dict[str, float]:
    """What does not depend on the size of the log."""
    found: dict[str, float] = {}
    with tempfile.TemporaryDirectory() as folder:
        for step in ONCE:
            found |= in_a_process(step, Path(folder), 0)
    return found


def by_size(found: dict[int, dict[str, float]]) -> list[Line]:
    """The floors of pages, memory, import and table, at the largest size."""
    most = max(found)
    at, smaller = found[most], found.get(most // 10, {})
    made = [
        Line(name, value, floor, at_least=False)
        for name, value in at.items()
        for end, floor in (("first, s", FIRST_S), ("again, ms", WARM_MS), (" MB", MEMORY_MB))
        if name.endswith(end) and not name.startswith("tidy")
    ]
    grown = [name for name in at if name.endswith("again, ms") or name == "Dashboard, first, s"]
    made += [
        Line(f"{name.rpartition(',')[0]}, tenfold", at[name] / smaller[name], GROWTH, False)
        for name in grown
        if smaller
    ]
    made.append(Line("import, s", at["import, s"], IMPORT_S_PER_10_000 * most / 10_000, False))
    made.append(Line("tidy table / read_sql", at["tidy, s"] / at["read_sql, s"], TIDY, False))
    return made


def at_once(found: dict[str, float]) -> list[Line]:
    """The floors of what does not depend on the size."""
    through = found["store, answers/s"] / found["bare, answers/s"]
    made = [Line("durable answers: store / bare sqlite3", through, DURABLE, at_least=True)]
    beside = found.get("PostgreSQL beside, answers/s")
    if beside:
        kept = beside / found["PostgreSQL alone, answers/s"]
        made.append(Line("PostgreSQL: beside another writer / alone", kept, BESIDE, True))
    made += [
        Line(
            f"tasting {name}: seconds over its libraries", found[f"tasting {name}, s"], most, False
        )
        for name, most in ALLOWED_S.items()
    ]
    return made


def machine() -> str:
    """What it was measured on."""
    cpu = re.search(r"model name\s*: (.*)", Path("/proc/cpuinfo").read_text("utf-8"))
    return (
        f"{datetime.now(UTC):%d %B %Y}, {os.cpu_count()} cores of "
        f"{cpu[1] if cpu else platform.machine()}, load average {os.getloadavg()[2]:.0f}; Python "
        f"{platform.python_version()}, SQLite {sqlite3.sqlite_version}, Streamlit "
        f"{version('streamlit')}."
    )


def table(found: dict[int, dict[str, float]]) -> str:
    """What was measured, as a table in Markdown."""
    head = ["", *(f"{count:,}" for count in found)]
    rows = [head, ["---"] * len(head)]
    for name in found[max(found)]:
        rows.append([name, *(_cell(own.get(name)) for own in found.values())])
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


def _cell(value: float | None) -> str:
    return "" if value is None else f"{value:.3g}" if value < 1000 else f"{value:.0f}"


def main(sizes: list[int]) -> int:
    """Measure, print the tables and the floors."""
    began, found = perf_counter(), {}
    for count in sizes:
        found[count] = measured(count)
        print(f"\n{table(found)}", flush=True)
    once = measured_once()
    print("\n".join(f"{name}: {value:.3g}" for name, value in once.items()))
    compared = [*by_size(found), *at_once(once)]
    print(*compared, sep="\n")
    print(f"{machine()} It took {(perf_counter() - began) / 60:.0f} minutes.")
    return 0 if all(line.met for line in compared) else 1


if __name__ == "__main__":
    steps = STEPS | ONCE
    if sys.argv[1:2] and sys.argv[1] in steps:
        print(json.dumps(steps[sys.argv[1]](Path(sys.argv[2]), int(sys.argv[3]))))
        sys.exit(0)
    sys.exit(main([int(count) for count in sys.argv[1:]] or list(SIZES)))
