"""Copies of an SQLite database while it is in use, and putting one in its place.

A copy is made by SQLite's own backup interface (sqlite.org/backup.html): one state of everything,
whoever writes meanwhile. It holds no sign-in of a host.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import datetime
from pathlib import Path

from tasting.errors import DamagedError, InputError, NotFoundError, StoreError
from tasting.store.check import Miss, misses
from tasting.store.database import file_address, open_database
from tasting.store.private_files import new_file, put_in_place, unfinished_file

_TOLD = 5
# Of many faults the first ones are told.

_FORGOTTEN = "DELETE FROM host_session"


def back_up(source: Path, copy: Path) -> None:
    """Copy the database in `source` to the new file `copy`. Raises InputError, StoreError."""
    if copy.exists():
        raise InputError(f"{copy} exists already; name a new file")
    if not source.is_file():
        raise NotFoundError(f"there is no database at {source}")
    with _plainly(f"cannot copy {source}"), _written_to(copy), new_file(copy) as unfinished:
        _copy(source, unfinished)


def restore(
    copy: Path, target: Path, now: datetime, replace: bool = False, damaged: bool = False
) -> tuple[Path | None, tuple[Miss, ...]]:
    """Put a copy in the place of a database, checked first and brought to the present schema.

    damaged: whether to take it although some of what it holds is damaged
    Returns where the database that was there before is kept, and what is damaged. Raises InputError
    when there is one and `replace` is not given or a program still uses it, DamagedError when the
    copy is not whole, StoreError when it is none of ours or newer than the program.
    """
    if not copy.is_file():
        raise NotFoundError(f"there is no file {copy}")
    if target.exists() and not replace:
        raise InputError(f"{target} exists already; give --replace to put it aside")
    aside = None
    with _plainly(f"cannot restore {copy}"):
        check(copy)
        with _written_to(target), unfinished_file(target.parent) as unfinished:
            _copy(copy, unfinished)
            found = _misses(unfinished)
            if found and not damaged:
                raise DamagedError(_told(copy, found))
            if target.exists():
                aside = _aside(target, now)
                _replace(target, unfinished, aside)
            else:
                put_in_place(unfinished, target)
    return aside, found


def _misses(file: Path) -> tuple[Miss, ...]:
    engine = open_database(file_address(file))
    try:
        return tuple(misses(engine))
    finally:
        engine.dispose()


def _told(copy: Path, misses: tuple[Miss, ...]) -> str:
    first = "; ".join(map(str, misses[:_TOLD]))
    more = f"; and {len(misses) - _TOLD} more" if len(misses) > _TOLD else ""
    return f"{copy} is damaged: {first}{more}; take another copy, or this one with --damaged"


def check(copy: Path) -> None:
    """Raises DamagedError unless the file can be read, StoreError unless it is one of ours."""
    with closing(_opened(copy)) as kept:
        faults = [row[0] for row in kept.execute("PRAGMA integrity_check") if row[0] != "ok"]
        ours = kept.execute("SELECT 1 FROM sqlite_master WHERE name = 'serving_set'").fetchone()
    if faults:
        raise DamagedError(f"{copy} is damaged: {faults[0]}; take another copy")
    if not ours:
        raise StoreError(f"{copy} is a database, but not one of this program's; take another file")


def _opened(file: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro", uri=True)


def _copy(source: Path, copy: Path) -> None:
    with closing(_opened(source)) as old, closing(sqlite3.connect(copy)) as new:
        old.backup(new)
        new.execute("PRAGMA journal_mode=DELETE")  # one file, no others beside it
        new.execute(_FORGOTTEN)
        new.commit()


def _aside(target: Path, now: datetime) -> Path:
    aside = target.with_name(f"{target.name}.before-{now:%Y%m%dT%H%M%S}")
    if aside.exists():
        raise InputError(f"{aside} exists already; try again in a second")
    return aside


def _replace(target: Path, unfinished: Path, aside: Path) -> None:
    """Keep what `target` holds as `aside`, and write what `unfinished` holds into it.

    By SQLite itself, under a lock from the first look to the end: a program that starts meanwhile
    waits and reads the new content, where a renamed file would go on taking its answers.
    """
    with closing(sqlite3.connect(target, timeout=1)) as old:
        if _taken_for_oneself(old, target):
            with new_file(aside) as kept, closing(sqlite3.connect(kept)) as copy:
                old.backup(copy)
            with closing(_opened(unfinished)) as new:
                new.backup(old)
            return
    _rename(target, aside)  # a damaged file, which no program opens and SQLite cannot copy
    put_in_place(unfinished, target)


def _taken_for_oneself(old: sqlite3.Connection, target: Path) -> bool:
    """Take the database for this program alone until it is closed; False where it is damaged.

    Leaving the write-ahead log needs the file for oneself, and folds the log into the file; then
    the lock stays (sqlite.org/pragma.html, locking_mode). Raises InputError while one uses it.
    """
    try:
        old.execute("PRAGMA locking_mode=EXCLUSIVE")
        (mode,) = old.execute("PRAGMA journal_mode=DELETE").fetchone()
        old.execute("BEGIN EXCLUSIVE")
        old.execute("COMMIT")
        damaged = old.execute("PRAGMA quick_check(1)").fetchone() != ("ok",)
    except sqlite3.OperationalError as error:
        if "locked" in str(error):
            mode, damaged = "wal", False
        else:
            return False
    except sqlite3.DatabaseError:
        return False
    if mode != "delete":
        raise InputError(f"{target} is in use; stop the app first")
    return not damaged


def _rename(target: Path, aside: Path) -> None:
    for ending in ("-wal", "-shm", ""):
        with suppress(FileNotFoundError):
            target.with_name(target.name + ending).rename(f"{aside}{ending}")


@contextmanager
def _written_to(file: Path) -> Iterator[None]:
    """Says which file cannot be written; SQLite only says of one that it cannot be opened."""
    try:
        yield
    except FileExistsError:
        raise InputError(f"{file} exists already; name a new file") from None
    except OSError as error:
        raise StoreError(
            f"cannot write {file}: {error.strerror}; name a file in a folder that you may write to"
        ) from None


@contextmanager
def _plainly(what: str) -> Iterator[None]:
    try:
        yield
    except (sqlite3.Error, OSError) as error:
        raise StoreError(f"{what}: {getattr(error, 'strerror', None) or error}") from None
