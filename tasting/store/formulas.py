"""Formulas with their versions, and references: added, read, never changed.

A corrected reference is another row that holds what was known before; the first row bears its id.
"""

import secrets
from collections.abc import Collection, Mapping
from datetime import datetime
from hashlib import sha256

from sqlalchemy import Connection, Engine, Table, func, insert, select
from sqlalchemy.exc import IntegrityError

from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference, corrected
from tasting.errors import InputError, NotFoundError
from tasting.panel.plan import Sample
from tasting.panel.session import Session
from tasting.records import checked, now
from tasting.store import damage, notes, schema
from tasting.store.database import reading, writing


def new_id() -> str:
    """A fresh id for a formula, a version, a reference or a session."""
    return secrets.token_hex(8)


def keep_formula(engine: Engine, formula: Formula) -> None:
    """Add a formula with its versions. Raises InputError when one of the ids is taken."""
    with writing(engine) as connection:
        insert_formula(connection, formula)


def insert_formula(connection: Connection, formula: Formula) -> None:
    """The same, inside a transaction."""
    row = {"id": formula.id, "name": formula.name, "invented": formula.invented}
    _add(connection, schema.formula, row, f"formula {formula.name!r}")
    for index, version in enumerate(formula.versions):
        _insert_version(connection, formula.id, index, version)


def add_version(engine: Engine, formula_id: str, version: Version) -> None:
    """Add a version to a formula, whose tree it has to fit into."""
    with writing(engine) as connection:
        insert_child(connection, formula_id, version)


def insert_child(connection: Connection, formula_id: str, version: Version) -> None:
    """The same, inside a transaction."""
    before = whole_formula(connection, formula_id)
    checked(Formula, {**dict(before), "versions": (*before.versions, version)})
    _insert_version(connection, formula_id, len(before.versions), version)


def _insert_version(connection: Connection, formula_id: str, index: int, version: Version) -> None:
    row = {
        "id": version.id,
        "formula_id": formula_id,
        "label": version.label,
        "place": index,
        "body": version.model_dump_json(),
    }
    _add(connection, schema.version, row, f"version {version.label!r}")


def _add(connection: Connection, table: Table, row: Mapping[str, object], what: str) -> None:
    try:
        connection.execute(insert(table).values(row))
    except IntegrityError:
        raise InputError(f"the {what} is saved already, or its id {row['id']!r} is taken") from None


def formulas(engine: Engine) -> tuple[Formula, ...]:
    """All formulas, by name."""
    with reading(engine) as connection:
        ids = connection.execute(select(schema.formula.c.id)).scalars().all()
        found = [whole_formula(connection, formula_id) for formula_id in ids]
    return tuple(sorted(found, key=lambda kept: kept.name))


def formula(engine: Engine, formula_id: str) -> Formula:
    """One formula. Raises NotFoundError."""
    with reading(engine) as connection:
        return whole_formula(connection, formula_id)


def whole_formula(connection: Connection, formula_id: str) -> Formula:
    """The same, inside a transaction. Raises DamagedError, which names it."""
    table = schema.formula
    row = connection.execute(select(table).where(table.c.id == formula_id)).mappings().first()
    if row is None:
        raise NotFoundError(f"no formula is saved under the id {formula_id!r}")
    kept = schema.version
    bodies = connection.execute(
        select(kept.c.body).where(kept.c.formula_id == formula_id).order_by(kept.c.place)
    )
    name = notes.newest(connection, "name").get(formula_id, row["name"])
    with damage.of_drink("formula", name):
        versions = tuple(Version.model_validate_json(body) for body in bodies.scalars())
        return Formula(id=row["id"], name=name, invented=row["invented"], versions=versions)


def rename(engine: Engine, formula_id: str, name: str) -> None:
    """Give a formula another name. Raises InputError for none, or one that another formula has."""
    others = [kept.name.casefold() for kept in formulas(engine) if kept.id != formula_id]
    if name.strip().casefold() in others:
        raise InputError(f"a formula is called {name.strip()!r} already; choose another name")
    notes.add_note(engine, formula_id, "name", name)


def keep_reference(engine: Engine, reference: Reference) -> None:
    """Add a reference. Raises InputError when its id is taken."""
    with writing(engine) as connection:
        insert_reference(connection, reference)


def insert_reference(connection: Connection, reference: Reference) -> None:
    """The same, inside a transaction."""
    body = reference.model_dump_json()
    row = {"id": reference.id, "name": reference.name, "body": body}
    _add(connection, schema.reference, row, f"reference {reference.name!r}")


def correct_reference(
    engine: Engine, seen: Reference, values: Mapping[str, object], reason: str
) -> Reference:
    """Complete or correct a reference; its old values stay in it, and its row stays as it is.

    seen: the reference as it was when the values were typed
    Raises InputError for a bad value or reason, or when somebody else corrected it meanwhile.
    """
    after = corrected(seen, dict(values), reason, now())
    with writing(engine) as connection:
        if _reference(connection, seen.id) != seen:
            raise InputError(
                f"{seen.name!r} was corrected meanwhile; look at its values and correct it again"
            )
        row = {"id": _row_id(after), "name": after.name, "body": after.model_dump_json()}
        _add(connection, schema.reference, row, f"correction of {after.name!r}")
    return after


def _row_id(reference: Reference) -> str:
    """The key of a correction: never an id, which has 64 characters at most and no colon, and the
    same for two people who correct the same state."""
    return sha256(f"{reference.id}:{len(reference.earlier)}".encode()).hexdigest()


def references(engine: Engine) -> tuple[Reference, ...]:
    """All references as they are known now, by name."""
    with reading(engine) as connection:
        return tuple(sorted(_references(connection), key=lambda kept: kept.name))


def count_references(engine: Engine) -> int:
    """How many references and corrections are kept: it grows whenever one of them changes."""
    with reading(engine) as connection:
        return connection.execute(select(func.count()).select_from(schema.reference)).scalar_one()


def _references(connection: Connection) -> tuple[Reference, ...]:
    table, latest = schema.reference, dict[str, Reference]()
    for name, body in connection.execute(select(table.c.name, table.c.body)).all():
        with damage.of_drink("reference", name):
            kept = Reference.model_validate_json(body)
        if kept.id not in latest or len(kept.earlier) > len(latest[kept.id].earlier):
            latest[kept.id] = kept
    return tuple(latest.values())


def _reference(connection: Connection, reference_id: str) -> Reference | None:
    return next((kept for kept in _references(connection) if kept.id == reference_id), None)


def samples(engine: Engine) -> tuple[Sample, ...]:
    """Everything that can be compared: references first, then versions, newest first."""
    known = [Sample(kind="reference", id=kept.id, name=kept.name) for kept in references(engine)]
    for kept in formulas(engine):
        for version in reversed(kept.versions):
            name = f"{kept.name}, {version.label}"
            known.append(Sample(kind="version", id=version.id, name=name[:120]))
    return tuple(known)


def offered(engine: Engine, asked: Collection[str] = ()) -> tuple[Sample, ...]:
    """What a new comparison offers: everything but the drinks that are put away.

    asked: ids of versions and references that are offered all the same
    """
    away = notes.archived(engine)
    put_away = [kept for kept in formulas(engine) if kept.id in away]
    hidden = away.union(version.id for kept in put_away for version in kept.versions)
    return tuple(one for one in samples(engine) if one.id not in hidden or one.id in asked)


def invented(engine: Engine, chosen: Collection[str]) -> str:
    """What is said of the first of these versions and references (ids) that is made up."""
    notes = [one.invented for one in references(engine) if one.id in chosen]
    notes += [
        kept.invented
        for kept in formulas(engine)
        if any(version.id in chosen for version in kept.versions)
    ]
    return next(filter(None, notes), "")


def drink(engine: Engine, sample: Sample, moment: datetime | None = None) -> Version | Reference:
    """The version or the reference that a sample points to. Raises NotFoundError.

    moment: a reference as it was known then; what is known now where it is None
    """
    with reading(engine) as connection:
        found = _drink(connection, sample)
    if found is None:
        raise NotFoundError(f"no {sample.kind} is saved under the id {sample.id!r}")
    return found.at(moment) if isinstance(found, Reference) and moment else found


def compared(engine: Engine, session: Session) -> tuple[Version | Reference, Version | Reference]:
    """What a session compares, as it was known when the session closed. Raises NotFoundError."""
    plan, closed = session.plan, session.closed_at
    return drink(engine, plan.a, closed), drink(engine, plan.b, closed)


def _drink(connection: Connection, sample: Sample) -> Version | Reference | None:
    if sample.kind == "reference":
        return _reference(connection, sample.id)
    table = schema.version
    body = connection.execute(select(table.c.body).where(table.c.id == sample.id)).scalar()
    if body is None:
        return None
    with damage.of_drink("version", sample.name):
        return Version.model_validate_json(body)


def known(connection: Connection, sample: Sample) -> bool:
    """Whether a sample points to something that is kept."""
    table = schema.version if sample.kind == "version" else schema.reference
    count = select(func.count()).select_from(table).where(table.c.id == sample.id)
    return bool(connection.execute(count).scalar())
