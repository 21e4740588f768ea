"""`tasting backup`, `tasting restore` and `tasting check`: a copy, putting it back, and whether
all that is kept is whole."""

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from tasting.cli.connection import Database, address_of, existing, opened, shown, sqlite_file
from tasting.cli.show import Json, one_line, progress, show_json, tell
from tasting.errors import InputError
from tasting.store import backup as copies
from tasting.store.check import Miss, misses

NewFile = Annotated[Path, typer.Argument(metavar="FILE", help="A new file for the copy.")]
Copy = Annotated[Path, typer.Argument(metavar="FILE", help="A copy that `backup` made.")]
Replace = Annotated[
    bool, typer.Option("--replace", help="Set the present database aside, and say where.")
]
Damaged = Annotated[
    bool, typer.Option("--damaged", help="Accept a damaged copy, and say what is damaged.")
]


def backup(file: NewFile, database: Database = None, as_json: Json = False) -> None:
    """Copy the whole database to a new file; the app can keep running."""
    source = _file(database, f"pg_dump --format=custom --file={file}")
    copies.back_up(source, file)
    size = file.stat().st_size
    if as_json:
        return show_json({"file": str(file), "bytes": size})
    tell(
        f"Copied {source} to {file} ({size:,} bytes).",
        "It contains the serving keys of open sessions: keep it away from assessors.",
    )


def restore(
    file: Copy,
    database: Database = None,
    replace: Replace = False,
    damaged: Damaged = False,
    as_json: Json = False,
) -> int:
    """Check a copy and restore it as the database; stop the app first."""
    target = _file(database, f"pg_restore --clean --if-exists --dbname=... {file}")
    aside, found = copies.restore(file, target, datetime.now(UTC), replace, damaged)
    kept = str(aside) if aside else None
    if as_json:
        show_json({"database": str(target), "aside": kept, "misses": found})
    else:
        tell(f"{target} now contains what {file} contains{'' if found else ', checked and whole'}.")
        tell(*([f"The previous database is saved as {kept}."] if kept else []))
    return _say(found)


def check(database: Database = None, as_json: Json = False) -> int:
    """Check all that is saved: file, schema, triggers, drinks, seals, and counts of sessions."""
    address = existing(address_of(database))
    with opened(address) as engine, progress("Checking") as show:
        found = tuple(misses(engine, show))
    if as_json:
        show_json({"database": shown(address), "misses": found})
    elif not found:
        tell(f"{shown(address)} is whole: schema, triggers, drinks, seals and counts.")
    return _say(found)


def _say(misses: Sequence[Miss]) -> int:
    """Says what is wrong on standard error, a line each; returns the exit code."""
    for miss in misses:
        typer.echo(one_line(f"Damaged: {miss}."), err=True)
    return 1 if misses else 0


def _file(database: str | None, instead: str) -> Path:
    result = sqlite_file(address_of(database))
    if result is None:
        raise InputError(f"this database is on a server; use its own tools: {instead}")
    return Path(result)
