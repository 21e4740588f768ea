"""Which database a command works on, and opening it for the time of the command."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer
from sqlalchemy import Engine, make_url
from sqlalchemy.exc import ArgumentError

from tasting.cli.show import progress
from tasting.errors import NotFoundError
from tasting.store.database import database_address, file_address, open_database

_WHERE = "Path of an SQLite file, or the address of a database"
Database = Annotated[
    str | None,
    typer.Option(help=f"{_WHERE}; default: your own database."),
]
DemoDatabase = Annotated[
    str | None,
    typer.Option(help=f"{_WHERE}; default: one for the demonstration alone."),
]


def address_of(given: str | None) -> str:
    """The address of the database that was given as a path or an address, or of the usual one."""
    if given is None:
        return database_address()
    return given if "://" in given else file_address(Path(given).expanduser().absolute())


def existing(address: str) -> str:
    """The same address. Raises NotFoundError if it is that of an SQLite file that is not there."""
    file = sqlite_file(address)
    if file and not Path(file).exists():
        raise NotFoundError(f"there is no database at {file}; import a document first")
    return address


@contextmanager
def opened(address: str) -> Iterator[Engine]:
    """The database at this address, closed afterwards. Raises StoreError."""
    with progress("Reading closed sessions for the first time") as show:
        engine = open_database(address, show)
    try:
        yield engine
    finally:
        engine.dispose()


def shown(address: str) -> str:
    """The address of a database that was opened, as it may be printed: without its password."""
    return sqlite_file(address) or make_url(address).render_as_string(hide_password=True)


def sqlite_file(address: str) -> str | None:
    """The file of an SQLite database; None when the address is that of a server, or none."""
    try:
        url = make_url(address)
    except (ArgumentError, ValueError):  # opening it says so
        return None
    return url.database if url.get_backend_name() == "sqlite" else None
