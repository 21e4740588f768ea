"""More than a thousand bad inputs: on the command line, in documents, in CSV files and in forms.

`python -m tests.faults.inputs` prints how many were given and each that was not refused plainly:
by a traceback or a warning, by more than one sentence, by an exit code other than 0, 2, or by more
than `LONGEST_SECONDS` or `MOST_MEMORY_BYTES`. Exit code 1 when there was one.
"""

import contextlib
import io
import json
import os
import resource
import signal
import sys
import tempfile
import threading
import warnings
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

from sample_sessions import FOLDER
from tasting import settings
from tasting.cli import run
from tasting.store.database import file_address
from tests.faults.bad_forms import sent_forms

SEED = 20260301
LONGEST_SECONDS = 20
MOST_MEMORY_BYTES = 3 << 30
NUMBERS = (
    *("nan", "inf", "-inf", "-1", "0", "1e-300", "1e-12", "1e-9", "1e-4", "0.49999999", "1"),
    *("1e9", "1e300", str(10**20), str(2**63), "9" * 5_000, "x", "", " ", "１", "1,5", "0x10"),
)
TEXTS = (
    *("", " ", "x" * 10_000, "\u202egnp.exe", "a\u200bb", "=1+1", "\x00", "<script>", "../../x"),
    *("--", "-", "é" * 300, "{{ 1 }}", "'; DROP TABLE answer; --", "\ud800", "\x1b[2J"),
)
VALUES = (
    *(None, True, [], {}, [[]], "", " ", "x" * 20_000, "\u202e", "\x00", "nan", -1, 0, 1e308),
    *(float("nan"), float("inf"), 10**30, 0.5, "2026-13-01", "0001-01-01T00:00:00Z", "\ud800"),
)
CELLS = (
    "",
    "nan",
    "inf",
    "-1",
    "1e999",
    "x" * 131_073,
    "\x00",
    '"',
    "=1+1",
    "x,y",
    "\u202e",
    "9" * 400,
)


@dataclass
class Count:
    """Inputs that were given, and how many of them were not refused plainly."""

    given: int = 0
    faults: int = 0

    def add(self, what: str, fault: str = "") -> None:
        """Note one input, and print what is wrong with it."""
        self.given += 1
        if fault:
            self.faults += 1
            print(f"{what[:160]!r}: {fault}", flush=True)


class TooLong(BaseException):
    """An input took longer than allowed; no handler of the program catches it."""


@contextlib.contextmanager
def limited() -> Iterator[None]:
    """Ends what takes too long."""

    def end(*_: object) -> None:
        raise TooLong

    signal.signal(signal.SIGALRM, end)
    signal.alarm(LONGEST_SECONDS)
    try:
        yield
    finally:
        signal.alarm(0)


def fault_of(arguments: Sequence[str]) -> str:
    """What is wrong with how this command line was answered, or nothing."""
    out, err = io.StringIO(), io.StringIO()
    try:
        with limited(), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = run(arguments)
    except TooLong:
        return f"more than {LONGEST_SECONDS} s"
    except BaseException as error:
        return f"{type(error).__name__}: {error}"[:300]
    said = err.getvalue()
    if code not in (0, 2):
        return f"exit code {code}"
    if code == 2 and (out.getvalue() or said.count("\n") != 1 or len(said) > 1_000):
        return f"not one sentence: {len(said)} characters: {said[:200]!r}"
    return "" if code == 2 or not said else f"done, but said {said[:200]!r}"


Give = Callable[..., None]


def numbers(give: Give) -> None:
    """Numbers out of any range."""
    options = {
        ("size", "triangle"): ("--alpha", "--beta", "--p-d", "--d-prime", "--detect"),
        ("size", "triangle", "--similarity"): ("--alpha", "--beta", "--p-d", "--detect"),
        ("size", "paired"): ("--alpha", "--beta", "--p-d", "--d-prime", "--detect"),
        ("size", "same-different"): ("--alpha", "--d-prime", "--detect"),
        ("size", "a-not-a", "--d-prime", "1"): ("--false-alarms", "--alpha", "--beta"),
        ("methods",): ("--d-prime", "--alpha", "--beta", "--ml"),
        ("table", "triangle"): ("--from", "--to", "--alpha"),
        ("rank", str(FOLDER / "paper_panel.csv")): ("--alpha",),
        ("batch", str(FOLDER / "workshop.json"), "--version", "spritz-01"): (
            *("--litres", "--servings", "--scale-g", "--least-g", "--cylinder-ml"),
        ),
        ("adjust", str(FOLDER / "workshop.json"), "--version", "spritz-01"): (
            *("--ta", "--sugar", "--alcohol", "--energy", "--volume"),
        ),
        ("app",): ("--port",),
    }
    for command, named in options.items():
        for option in named:
            for number in NUMBERS:
                if (option, number) != ("--port", "1"):
                    give(*command, option, number)


def texts(give: Give) -> None:
    """Texts where a name, an id or a method is asked."""
    document, panel = str(FOLDER / "closed_sessions.json"), str(FOLDER / "paper_panel.csv")
    for text in TEXTS:
        give(text)
        give("size", text)
        give("table", text)
        give("export", "--session", text)
        give("answers", text, panel)
        for option in ("--method", "--attribute", "--expected", "--a", "--b"):
            give("analyse", panel, option, text)
        give("compose", document, "--version", text)
        give("compose", document, "--against", text)
        give("adjust", document, "--version", "spritz-01", "--with", text)
        give("adjust", document, "--version", "spritz-01", "--hold", text)
        give("notice", document, "--driver", text)
        give("backup", "copy", "--database", text)


def bad_files(folder: Path) -> Iterator[str]:
    """Files that no command can use; the last one is a pipe that never ends."""
    (folder / "folder").mkdir()
    made = {
        "empty": b"",
        "binary": bytes(range(256)),
        "nul": b"\x00" * 100,
        "bom": b"\xef\xbb\xbf",
        "utf16": "assessor,set".encode("utf-16"),
        "cell": b"a,b,c,d\n" + b"x" * 131_073 + b",1,2,3\n",
        "quote": b'a,b,c,d\n"x,1,2,3\n',
        "nest": b"[" * 100_000,
        "digits": b"9" * 100_000,
        "surrogate": b'{"schema": 1, "invented": "\\ud800"}',
        "sqlite": b"SQLite format 3\x00" + b"x" * 5_000,
        "x" * 200: b"{}",
    }
    for name, content in made.items():
        for ending in (".json", ".csv"):
            (folder / f"{name}{ending}").write_bytes(content)
            yield str(folder / f"{name}{ending}")
    with (folder / "huge.csv").open("wb") as huge:
        huge.truncate(60_000_000)
    yield from (str(folder / "huge.csv"), str(folder / "folder"), str(folder / "missing.json"))
    yield from (str(folder / ("x" * 300)), str(folder / ("x" * 300 + ".csv")), "\x00.json", "")
    yield from ("/dev/zero", "/dev/null", "/proc/self/mem", str(folder / "a" / "b"))
    yield endless_pipe(folder / "pipe.csv")


def endless_pipe(file: Path) -> str:
    """A named pipe into which somebody writes for ever, again and again."""
    os.mkfifo(file)

    def write() -> None:
        while True:
            with contextlib.suppress(OSError), file.open("wb", buffering=0) as pipe:
                while True:
                    pipe.write(b"a,b,c,d\n" * 8_000)

    threading.Thread(target=write, daemon=True).start()
    return str(file)


def files(give: Give, folder: Path) -> None:
    """Each of them to each command that reads or writes a file."""
    for file in bad_files(folder):
        for command in ("rank", "analyse", "compose", "import", "notice", "restore"):
            give(command, file)
        give("analyse", file, "--method", "triangle")
        give("answers", "x", file)
        give("batch", file, "--version", "spritz-01", "--litres", "1")
        if not file.endswith("pipe.csv"):  # opening a database waits for what the pipe says
            give("export", "--database", file, "--output", str(folder / "out.json"))
            give("backup", str(folder / "copy"), "--database", file)
            give("backup", file)
            give("export", "--schema", "--output", file)


def places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The way to every value in a document."""
    yield path
    if isinstance(value, dict | list):
        for key, one in value.items() if isinstance(value, dict) else enumerate(value):
            yield from places(one, (*path, key))


def replaced(document: Any, path: Sequence[Any], by: Any) -> Any:
    """The document with another value at this place."""
    if not path:
        return by
    copy = document.copy()
    copy[path[0]] = replaced(document[path[0]], path[1:], by)
    return copy


def documents(give: Give, folder: Path, random: Random) -> None:
    """The invented workshop with one value replaced, at places and by values drawn at random."""
    for name in ("closed_sessions.json", "workshop.json", "planned_and_open.json"):
        document = json.loads((FOLDER / name).read_text("utf-8"))
        found = list(places(document))
        for path in random.sample(found, min(len(found), 120)):
            file = folder / "changed.json"
            changed = replaced(document, path, random.choice(VALUES))
            file.write_text(json.dumps(changed), "utf-8")
            command = random.choice((("analyse",), ("compose",), ("import",)))
            log = ("--database", str(folder / "log.sqlite3")) if command == ("import",) else ()
            give(*command, str(file), *log)


def tables(give: Give, folder: Path, random: Random) -> None:
    """CSV files with one cell replaced."""
    panel = (FOLDER / "paper_panel.csv").read_text("utf-8").splitlines()
    ranks = ["assessor,R,v9,v10", "P01,1,2,3", "P02,2,1,3", "P03,1,3,2"]
    for lines, command in ((panel, ("analyse", "--method", "triangle")), (ranks, ("rank",))):
        for turn in range(80):
            rows = [line.split(",") for line in lines]
            row = random.choice(rows)
            row[random.randrange(len(row))] = CELLS[turn % len(CELLS)]
            file = folder / "changed.csv"
            file.write_text("\n".join(",".join(cells) for cells in rows), "utf-8", newline="")
            give(*command[:1], str(file), *command[1:])


def main() -> None:
    """Give them all, and print what came of it."""
    warnings.simplefilter("error")
    soft = resource.getrlimit(resource.RLIMIT_AS)[1]
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY_BYTES, soft))
    count, random = Count(), Random(SEED)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        os.environ[settings.DATABASE] = file_address(folder / "own.sqlite3")
        os.chdir(folder)
        give: Give = lambda *arguments: count.add(" ".join(arguments), fault_of(arguments))  # noqa: E731
        for what, fault in sent_forms(random):
            count.add(what, fault)
        numbers(give)
        texts(give)
        files(give, folder)
        documents(give, folder, random)
        tables(give, folder, random)
    print(f"{count.given} bad inputs, {count.faults} not refused plainly")
    sys.exit(bool(count.faults))


if __name__ == "__main__":
    main()
