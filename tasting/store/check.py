"""Whether a log is whole: file, schema, guards, drinks, seals, and what was reckoned from answers.

Nothing is changed. Of a session that is not closed no more is told than that something is wrong.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import isclose
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Connection, Engine, select

from tasting.drink.formula import Version
from tasting.drink.label import Reference
from tasting.errors import DamagedError
from tasting.panel.session import Session
from tasting.store import bench, damage, formulas, mapping, results, schema
from tasting.store.database import Progress, file_address, open_database, reading

_Drink = Version | Reference
_OBJECTS = "SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%'"
_TRIGGERS = "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'"
_DIGITS = 1e-9  # Libraries differ in the last digits of a p-value.


@dataclass(frozen=True, slots=True)
class Miss:
    """Something that is not as it should be: where, and what."""

    where: str
    what: str

    def __str__(self) -> str:
        return f"{self.where}: {self.what}" if self.where else self.what


def misses(engine: Engine, progress: Progress = lambda done, all_: None) -> Iterator[Miss]:
    """All that is wrong with a log. Raises StoreError when it cannot be read at all."""
    with reading(engine) as connection:
        yield from _file(connection)
        yield from _schema(connection)
        yield from _drinks(connection)
        yield from _glasses(connection)
        yield from _sessions(connection, progress)


def _file(connection: Connection) -> Iterator[Miss]:
    """SQLite's own checks; PostgreSQL refuses a row without its parent by itself."""
    if connection.dialect.name != "sqlite":
        return
    for (said,) in connection.exec_driver_sql("PRAGMA integrity_check"):
        if said != "ok":
            yield Miss("file", str(said))
    for table, row, parent, _ in connection.exec_driver_sql("PRAGMA foreign_key_check").all():
        yield Miss(f"table {table}", f"row {row} stands alone: its row of {parent} is gone")


def _schema(connection: Connection) -> Iterator[Miss]:
    if connection.dialect.name == "sqlite":
        yield from _sqlite_schema(connection)
        return
    context = MigrationContext.configure(connection, opts={"compare_type": True})
    for difference in compare_metadata(context, schema.metadata):
        yield Miss("schema", f"not as the program makes it: {difference}")
    there = set(connection.exec_driver_sql(_TRIGGERS).scalars())
    for name in sorted(_guards() - there):
        yield Miss("schema", f"the trigger {name} is gone or switched off")


def _guards() -> set[str]:
    """The triggers on PostgreSQL."""
    fixed = {f"{table}_{what}" for table in schema.FIXED for what in ("fixed", "no_delete")}
    kept = {f"{table}_kept" for table in schema.KEPT}
    return fixed | kept | {f"{table}_closed" for table in schema.RECKONED}


def _sqlite_schema(connection: Connection) -> Iterator[Miss]:
    """Tables, indexes and triggers word for word as the migrations make them."""
    there = _objects(connection)
    with TemporaryDirectory() as folder:
        fresh = open_database(file_address(Path(folder) / "fresh.sqlite3"))
        with reading(fresh) as other:
            wanted = _objects(other)
        fresh.dispose()
    for name in sorted({*there, *wanted}):
        if name not in there:
            yield Miss("schema", f"{name} is gone")
        elif name not in wanted:
            yield Miss("schema", f"{name} is none of this program's")
        elif there[name] != wanted[name]:
            yield Miss("schema", f"{name} was changed")


def _objects(connection: Connection) -> dict[str, str]:
    return {name: sql for name, sql in connection.exec_driver_sql(_OBJECTS)}


def _drinks(connection: Connection) -> Iterator[Miss]:
    for id_ in connection.execute(select(schema.formula.c.id)).scalars().all():
        try:
            formulas.whole_formula(connection, id_)
        except DamagedError as error:
            yield Miss(f"formula {id_}", str(error))
    yield from _bodies(connection, schema.version, Version)
    yield from _bodies(connection, schema.reference, Reference)


def _bodies(connection: Connection, table: Any, model: type[_Drink]) -> Iterator[Miss]:
    for row in connection.execute(select(table)).mappings().all():
        yield from _named_alike(table.name, model, row)


def _named_alike(kind: str, model: type[_Drink], row: Any) -> Iterator[Miss]:
    """Whether a drink's body can be read, and says the same id and name as its columns."""
    name = "label" if model is Version else "name"
    where = f"{kind} {row[name]!r} ({row['id']})"
    try:
        with damage.of_drink(kind, row[name]):
            drink = model.model_validate_json(row["body"])
    except DamagedError:
        yield Miss(where, "its row cannot be read any more")
        return
    if (drink.id, getattr(drink, name)) != (row["id"], row[name]):
        yield Miss(where, "its columns and its body name different drinks")


def _glasses(connection: Connection) -> Iterator[Miss]:
    for id_ in connection.execute(select(schema.bench.c.id)).scalars().all():
        try:
            bench.whole_glass(connection, id_)
        except DamagedError:
            yield Miss(f"glass at the bench {id_}", "its row cannot be read any more")


def _sessions(connection: Connection, progress: Progress) -> Iterator[Miss]:
    table = schema.session
    order = (table.c.planned_at, table.c.id)
    known = connection.execute(select(table.c.id, table.c.name).order_by(*order)).all()
    for done, (id_, name) in enumerate(known, start=1):
        for what in _session(connection, id_):
            yield Miss(f"session {name!r} ({id_})", what)
        progress(done, len(known))


def _session(connection: Connection, id_: str) -> Iterator[str]:
    try:
        session = mapping.load(connection, id_)
    except DamagedError as error:
        yield str(error).partition(" is damaged: ")[2]
        return
    for sample in (session.plan.a, session.plan.b):
        if not formulas.known(connection, sample):
            yield f"it compares the {sample.kind} {sample.id!r}, which is gone"
    yield from _reckoned(connection, session)


def _reckoned(connection: Connection, session: Session) -> Iterator[str]:
    """Whether the columns follow from the answers, and are there only once it is closed."""
    row, scores = (_rows(connection, table, session.id) for table in (schema.result, schema.score))
    if session.state != "closed":
        if row or scores:
            yield "results of it are saved although it is not closed"
        return
    wanted, by_seat = results.rows(session)
    if not row:
        yield "its results are gone"
        return
    wrong = [name for name, value in wanted.items() if not _same(row[0][name], value)]
    if wrong:
        yield f"its {', '.join(wrong)} do not follow from its answers"
    if sorted(map(_as_tuple, scores)) != sorted(map(_as_tuple, by_seat)):
        yield "the scores of its seats do not follow from its answers"


def _rows(connection: Connection, table: Any, session_id: str) -> list[dict[str, Any]]:
    asked = select(table).where(table.c.session_id == session_id)
    return [dict(row) for row in connection.execute(asked).mappings()]


def _as_tuple(row: dict[str, Any]) -> tuple[int, ...]:
    right = -1 if row["right"] is None else row["right"]
    return (row["seat"], row["n"], row["counted"], right)


def _same(kept: object, value: object) -> bool:
    if isinstance(kept, float) and isinstance(value, float):
        return isclose(kept, value, rel_tol=_DIGITS, abs_tol=0)
    return kept == value
