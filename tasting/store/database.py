"""Opening the database: engine, SQLite settings, migrations, and the two kinds of transaction.

SQLite under many writers needs two hooks: Python's driver must not open transactions by itself,
and one that will write has to say so at its start (BEGIN IMMEDIATE), else a read that is followed
by a write fails when someone else wrote in between. PostgreSQL gets the same order of things by
locks that every writing transaction takes first: one writer of a session at a time, while those of
other sessions go on, and one writer of what no session is named for, while nobody else writes.
"""

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any, TypeVar, cast
from weakref import WeakKeyDictionary

import platformdirs
from alembic import command
from alembic.config import Config
from alembic.util.exc import CommandError
from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, SQLAlchemyError

from tasting import settings
from tasting.errors import StoreError, TastingError
from tasting.store import results
from tasting.store.private_files import make_private, private_folder, remove_unfinished

Progress = Callable[[float, float], None]
"""Takes how much of something long is done, and of how much."""

_PRAGMAS = (
    "busy_timeout=10000",
    "journal_mode=WAL",
    "synchronous=FULL",
    "foreign_keys=ON",
    "recursive_triggers=ON",  # else a row could be replaced without its triggers being asked
)
_WRITERS_LOCK, _SESSIONS_LOCK = 7_246_011_905, 724_601
"""Keys of PostgreSQL's advisory locks, any numbers of our own: who writes about one session shares
the first and takes the second for that session; others take the first for themselves alone."""

_ADVICE = {
    "disk is full": "nothing of this was saved; make room on the disk and try again",
    "disk I/O error": "nothing of this was saved; see whether the disk is full or failing",
    "readonly database": "nothing of this was saved; make the file and its folder writable",
    "is locked": "nothing of this was saved; another program is using the file, so try again",
    "malformed": "the file is damaged; put a backup in its place with `tasting restore`",
    "not a database": "name another file, or put a backup in its place with `tasting restore`",
    "connect": "nothing of this was saved; see whether the database's server runs and try again",
}
"""What to do, by a part of the database's own words."""

_MIGRATIONS = Path(__file__).parent / "migrations"

_KEPT_OPEN = 20
# Connections that wait for the next request: one for each thread of the plain pages, and a few for
# the host. What is opened beyond that is closed again, and PostgreSQL starts a process for each.

_AT_ONCE = 200
# Sessions that are reckoned anew in one transaction.

_OPENING = Lock()
# Two visitors at once must not open, and bring to the present schema, two engines.

_LINES: WeakKeyDictionary[Engine, dict[str, "_WriterLine"]] = WeakKeyDictionary()
# Writers of one process wait for each other here, in turn: SQLite's own waiting is by chance, and
# with sixty at once somebody waits too long. On PostgreSQL each session has a line of its own.


def data_folder() -> Path:
    """The user's folder for our data; made when it is missing."""
    return private_folder(Path(platformdirs.user_data_dir("tasting", appauthor=False)))


def database_address() -> str:
    """The address from the environment, or a file in the user's data folder."""
    return settings.database() or file_address(data_folder() / "tasting.sqlite3")


def file_address(path: Path) -> str:
    """The address of an SQLite file."""
    return f"sqlite:///{path}"


@cache
def shared_database(address: str) -> Engine:
    """The one engine of this process for the database at this address. Raises StoreError."""
    return open_database(address)


def database() -> Engine:
    """The database that the environment names. Raises StoreError when it cannot be opened."""
    with _OPENING:
        return shared_database(database_address())


def open_ahead(engine: Engine) -> None:
    """Open the connections that are kept, so that the first phones do not wait for them.

    Raises StoreError when the database does not answer.
    """
    with ExitStack() as all_open, _plainly(engine):
        for _ in range(_KEPT_OPEN):
            all_open.enter_context(engine.connect())


def open_database(address: str, progress: Progress = lambda done, of: None) -> Engine:
    """The database, brought to the present schema. Raises StoreError if that cannot be done.

    progress: takes how many closed sessions are reckoned, and of how many, where an earlier
        program left some
    """
    try:
        url = make_url(address)
        # A server may have gone and come back meanwhile; a file is asked nothing twice.
        ping = url.get_backend_name() != "sqlite"
        engine = create_engine(url, pool_pre_ping=ping, pool_size=_KEPT_OPEN)
    except (ArgumentError, ImportError, ValueError) as error:
        # The address may hold a password, so it is not shown.
        raise StoreError(f"the database's address cannot be used: {error}") from None
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    else:
        event.listen(engine, "begin", _begin_postgresql)
    _LINES[engine] = {}
    try:
        _keep_private(engine)
        _migrate(engine)
        _reckon(engine, progress)
    except BaseException:
        engine.dispose()
        raise
    return engine


def _keep_private(engine: Engine) -> None:
    """Nobody else reads an SQLite file; its write-ahead log takes its mode (sqlite.org/wal.html).

    What cannot be opened, SQLite itself says in its own words.
    """
    file = engine.url.database if engine.dialect.name == "sqlite" else None
    if file and file != ":memory:" and not file.startswith("file:"):
        with suppress(OSError, ValueError):
            remove_unfinished(Path(file).parent)
            make_private(Path(file))
            for beside in (Path(f"{file}-wal"), Path(f"{file}-shm")):
                if beside.exists():
                    make_private(beside)


def _prepare_sqlite(connection: Any, _record: object) -> None:
    connection.isolation_level = None  # the driver must not begin transactions by itself
    for pragma in _PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _begin_postgresql(connection: Connection) -> None:
    options = connection.get_execution_options()
    if about := options.get("about"):
        locks = (
            f"SELECT pg_advisory_xact_lock_shared({_WRITERS_LOCK}), "
            f"pg_advisory_xact_lock({_SESSIONS_LOCK}, hashtext(%s))"
        )
        connection.exec_driver_sql(locks, (about,))
    elif options.get("writes", False):
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_WRITERS_LOCK})")
    else:
        connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")


def _migrate(engine: Engine) -> None:
    """Apply the migrations that are missing; a database newer than the program is refused."""
    config = Config()
    config.set_main_option("script_location", str(_MIGRATIONS).replace("%", "%%"))
    with writing(engine) as connection:
        config.attributes["connection"] = connection
        try:
            command.upgrade(config, "head")
        except CommandError:
            raise StoreError(
                "this database was made by a newer version of the program; update the program"
            ) from None


def _reckon(engine: Engine, progress: Progress) -> None:
    """Write what follows from closed sessions where an earlier program left none of it.

    A few sessions at a time, so that whoever interrupts this loses nothing that was done.
    """
    with reading(engine) as connection:
        undone = results.count_undone(connection)
    for done in range(_AT_ONCE, undone + _AT_ONCE, _AT_ONCE):
        with writing(engine) as connection:
            results.fill(connection, _AT_ONCE)
        progress(min(done, undone), undone)


@contextmanager
def writing(engine: Engine, about: str = "") -> Iterator[Connection]:
    """A transaction that may write; all of it is on disk afterwards, or none of it.

    about: the id of the session that it writes about, if it is no more than one; on PostgreSQL
        those who write about others need not wait
    """
    with _line(engine, about).turn, _transaction(engine, about) as connection:
        yield connection


@contextmanager
def _transaction(engine: Engine, about: str) -> Iterator[Connection]:
    with _plainly(engine), engine.connect() as plain:
        connection = plain.execution_options(writes=True, about=about)
        with connection.begin():
            yield connection


class _WriterLine:
    """Writers that wait for each other, and what waits to be written together at the next turn."""

    def __init__(self) -> None:
        self.turn = Lock()
        self.waiting = deque[_Turn]()


def _line(engine: Engine, about: str) -> _WriterLine:
    alone = engine.dialect.name == "sqlite"  # which has one writer, whatever it writes about
    return _LINES[engine].setdefault("" if alone else about, _WriterLine())


_T = TypeVar("_T")


class _Turn:
    """Something that waits to be written, and what came of it."""

    def __init__(self, work: Callable[[Connection], Any]) -> None:
        self.work = work
        self.over = False
        self.value: Any = None
        self.error: Exception | None = None


def write_together(engine: Engine, about: str, work: Callable[[Connection], _T]) -> _T:
    """Do this work in a transaction that all who wait for their turn at this moment share.

    about: the id of the session that it writes about, as in `writing`

    It is on disk when this returns. Sixty phones that answer at once wait for the disk a few times
    and not sixty times. Work that raises TastingError must have written nothing before.
    """
    turn, line = _Turn(work), _line(engine, about)
    line.waiting.append(turn)
    with line.turn:
        if not turn.over:  # else the one before took it along
            _take_all(engine, about, line.waiting)
    if turn.error:
        raise turn.error
    if not turn.over:
        raise StoreError("the app stopped before this was saved; try again")
    return cast(_T, turn.value)


def _take_all(engine: Engine, about: str, waiting: deque[_Turn]) -> None:
    turns = [waiting.popleft() for _ in range(len(waiting))]
    if not _try(engine, about, turns):
        # What spoilt it for all spoils it for itself alone when each has a transaction of its own.
        for turn in turns if len(turns) > 1 else ():
            turn.error = None
            _try(engine, about, [turn])
    for turn in turns:
        turn.over = True


def _try(engine: Engine, about: str, turns: Sequence[_Turn]) -> bool:
    try:
        with _transaction(engine, about) as connection:
            for turn in turns:
                try:
                    turn.value = turn.work(connection)
                except TastingError as error:
                    turn.error = error
    except Exception as error:
        for turn in turns:
            turn.error = error
        return False
    return True


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A transaction that only reads: one state of everything."""
    with _plainly(engine), engine.connect() as connection, connection.begin():
        yield connection


@contextmanager
def _plainly(engine: Engine) -> Iterator[None]:
    try:
        yield
    except SQLAlchemyError as error:
        where = engine.url.render_as_string(hide_password=True)
        raise StoreError(f"the database {where} {_told(error)}") from error


def _told(error: SQLAlchemyError) -> str:
    said = str(getattr(error, "orig", None) or error).strip()
    cause = said.partition("\n")[0]
    advice = next((todo for part, todo in _ADVICE.items() if part in said), "")
    return f"does not answer as it should: {cause}" + (f"; {advice}" if advice else "")
