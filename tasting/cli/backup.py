"""`tasting backup` and `tasting restore`: a copy of the whole database, and back."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from tasting.cli.connection import Database, address_of, sqlite_file
from tasting.cli.show import Json, show_json, tell
from tasting.errors import InputError
from tasting.store import backup as copies

NewFile = Annotated[Path, typer.Argument(metavar="FILE", help="A new file for the copy.")]
Copy = Annotated[Path, typer.Argument(metavar="FILE", help="A copy that `backup` made.")]
Replace = Annotated[
    bool, typer.Option("--replace", help="Put the database that is there aside, and say where.")
]


def backup(file: NewFile, database: Database = None, as_json: Json = False) -> None:
    """Copy the whole database to a new file; the app may go on meanwhile."""
    source = _file(database, f"pg_dump --format=custom --file={file}")
    copies.back_up(source, file)
    size = file.stat().st_size
    if as_json:
        return show_json({"file": str(file), "bytes": size})
    tell(
        f"Copied {source} to {file} ({size:,} bytes).",
        "It holds the keys of open sessions: keep it from assessors.",
    )


def restore(
    file: Copy, database: Database = None, replace: Replace = False, as_json: Json = False
) -> None:
    """Check a copy and put it in the place of the database; stop the app first."""
    target = _file(database, f"pg_restore --clean --if-exists --dbname=... {file}")
    aside = copies.restore(file, target, datetime.now(UTC), replace)
    if as_json:
        return show_json({"database": str(target), "aside": str(aside) if aside else None})
    tell(f"{target} now holds what {file} holds, checked and whole.")
    if aside:
        tell(f"The database that was there is kept as {aside}.")


def _file(database: str | None, instead: str) -> Path:
    result = sqlite_file(address_of(database))
    if result is None:
        raise InputError(f"this database is on a server; use its own tools: {instead}")
    return Path(result)
