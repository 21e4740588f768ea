"""Glasses at the bench, kept step by step, so that a reload or another device loses nothing.

Rows are only added. They are the maker's own notes and no evidence: documents do not hold them, but
a version that was saved from a glass carries the steps as its reason.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Final

from pydantic import Field, TypeAdapter
from sqlalchemy import Connection, Engine, func, insert, select

from tasting.drink.bench import BenchLog, BenchStep, SavedAs, Undone
from tasting.drink.formula import Version
from tasting.errors import InputError, NotFoundError
from tasting.records import checked, now
from tasting.store import damage, formulas, schema
from tasting.store.database import reading, writing
from tasting.store.mapping import stamp

_STEP: Final[TypeAdapter[BenchStep]] = TypeAdapter(
    Annotated[BenchStep, Field(discriminator="kind")]
)
_NEWEST_FIRST: Final = (schema.bench.c.poured_at.desc(), schema.bench.c.id)


@dataclass(frozen=True, slots=True)
class BenchGlass:
    """A glass at the bench: its log, and when it was poured and each step made.

    formula_id: of the formula that its version belongs to
    """

    id: str
    formula_id: str
    log: BenchLog
    poured_at: datetime
    made_at: tuple[datetime, ...]


@dataclass(frozen=True, slots=True)
class Poured:
    """A glass in a list: the version that it was poured of, when, and how many steps were made."""

    id: str
    version_id: str
    poured_ml: float
    poured_at: datetime
    steps: int


def pour(engine: Engine, version_id: str, poured_ml: float) -> str:
    """Pour a glass of a version; its id. Raises InputError for a volume that nobody pours, and
    NotFoundError for no such version."""
    made, moment = formulas.new_id(), stamp(now())
    with writing(engine) as connection:
        start = _version(connection, version_id)[1]
        checked(BenchLog, {"start": start, "poured_ml": poured_ml})
        row = {"id": made, "version_id": version_id, "poured_ml": poured_ml, "poured_at": moment}
        connection.execute(insert(schema.bench).values(row))
    return made


def glass(engine: Engine, id_: str) -> BenchGlass:
    """The glass of this id. Raises NotFoundError, and DamagedError where it cannot be read."""
    with reading(engine) as connection:
        return whole_glass(connection, id_)


def whole_glass(connection: Connection, id_: str) -> BenchGlass:
    """The same, inside a transaction."""
    table, steps = schema.bench, schema.bench_step
    row = connection.execute(select(table).where(table.c.id == id_)).mappings().first()
    if row is None:
        raise NotFoundError(f"no glass at the bench is saved under the id {id_!r}")
    formula_id, start = _version(connection, row["version_id"])
    wanted = select(steps.c.body, steps.c.made_at).where(steps.c.bench_id == id_)
    made = connection.execute(wanted.order_by(steps.c.place)).all()
    with damage.of_drink("glass at the bench", start.label):
        log = BenchLog(
            start=start,
            poured_ml=row["poured_ml"],
            steps=tuple(_STEP.validate_json(body) for body, _ in made),
        )
    moments = tuple(datetime.fromisoformat(moment) for _, moment in made)
    return BenchGlass(id_, formula_id, log, datetime.fromisoformat(row["poured_at"]), moments)


def _version(connection: Connection, version_id: str) -> tuple[str, Version]:
    """The id of its formula, and the version. Raises NotFoundError."""
    table = schema.version
    wanted = select(table.c.formula_id, table.c.label, table.c.body)
    row = connection.execute(wanted.where(table.c.id == version_id)).first()
    if row is None:
        raise NotFoundError(f"no version is saved under the id {version_id!r}")
    with damage.of_drink("version", row.label):
        return row.formula_id, Version.model_validate_json(row.body)


def add_step(engine: Engine, id_: str, step: BenchStep, seen: int) -> BenchGlass:
    """The glass with one more step.

    seen: how many steps it had on the page: nobody undoes what they have not seen
    Raises InputError for a step that cannot be made, and NotFoundError.
    """
    with writing(engine) as connection:
        before = whole_glass(connection, id_)
        if isinstance(step, Undone) and seen != len(before.log.steps):
            raise InputError(
                "another device added a step meanwhile; look at the glass and undo it again"
            )
        before.log.then(step)
        _insert(connection, before, step)
        return whole_glass(connection, id_)


def _insert(connection: Connection, before: BenchGlass, step: BenchStep) -> None:
    row = {
        "bench_id": before.id,
        "place": len(before.log.steps),
        "body": step.model_dump_json(),
        "made_at": stamp(now()),
    }
    connection.execute(insert(schema.bench_step).values(row))


def save_version(engine: Engine, id_: str, after: int, version: Version) -> None:
    """Keep a version that comes of the glass after its first `after` steps, and on the log of the
    glass that it does: both or neither. Raises InputError as `formulas.add_version` does."""
    with writing(engine) as connection:
        before = whole_glass(connection, id_)
        formulas.insert_child(connection, before.formula_id, version)
        said = SavedAs(version_id=version.id, label=version.label, after=after)
        _insert(connection, before, said)


def poured(engine: Engine, versions: Sequence[str]) -> tuple[Poured, ...]:
    """The glasses that were poured of these versions, the newest first."""
    table, steps = schema.bench, schema.bench_step
    count = select(func.count()).where(steps.c.bench_id == table.c.id).scalar_subquery()
    wanted = select(table, count.label("steps")).where(table.c.version_id.in_(versions))
    with reading(engine) as connection:
        rows = connection.execute(wanted.order_by(*_NEWEST_FIRST)).mappings().all()
    return tuple(
        Poured(**{**row, "poured_at": datetime.fromisoformat(row["poured_at"])}) for row in rows
    )


def poured_since(engine: Engine, moment: datetime) -> tuple[BenchGlass, ...]:
    """All glasses that were poured since a moment, the newest first."""
    table = schema.bench
    wanted = select(table.c.id).where(table.c.poured_at >= stamp(moment)).order_by(*_NEWEST_FIRST)
    with reading(engine) as connection:
        return tuple(
            whole_glass(connection, id_) for id_ in connection.execute(wanted).scalars().all()
        )
