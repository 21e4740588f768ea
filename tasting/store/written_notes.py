"""Notes on drinks and prices of packs as documents hold them: every row there is, with its day.

Their rows are only added, so a document that holds all of them brings the whole record back:
earlier names, what was put away and taken out again, and prices as they were.
"""

from collections.abc import Iterator, Sequence
from typing import Annotated, Any, Literal, get_args

from pydantic import Field, field_validator
from sqlalchemy import Connection, Engine, Table, insert, select

from tasting.drink.formula import Amount, Formula
from tasting.drink.formula import Note as Text
from tasting.errors import InputError
from tasting.records import Id, Moment, Name, Record, checked
from tasting.store import schema
from tasting.store.database import reading
from tasting.store.mapping import stamp
from tasting.store.notes import Kind
from tasting.store.prices import read_price


class DrinkNote(Record):
    """A note on a formula or a reference; `version` is empty where it holds for all versions."""

    drink: Id
    version: Id | Literal[""] = ""
    kind: Kind
    text: Text
    noted_at: Moment


class PackNote(Record):
    """What a pack of an ingredient, by its key, cost from a day on, as it was typed."""

    ingredient: Id
    pack: Annotated[str, Field(max_length=60)]
    price: Annotated[float, Field(ge=0, le=1e9)]
    currency: Annotated[str, Field(min_length=1, max_length=20)]
    noted_at: Moment

    @field_validator("pack")
    @classmethod
    def _an_amount(cls, value: str) -> str:
        Amount.parse(value)
        return value


def drink_notes(engine: Engine, formulas: Sequence[Formula]) -> tuple[DrinkNote, ...]:
    """All notes, in the order in which they were made.

    formulas: those of the document, which bear their present names; the first name of each that was
        renamed comes as a note, because it would stand nowhere else
    """
    table = schema.note
    with reading(engine) as connection:
        rows = connection.execute(select(table).order_by(table.c.id)).mappings().all()
        names = dict(connection.execute(select(schema.formula.c.id, schema.formula.c.name)).all())
    known = [_note(row) for row in rows if row["kind"] in get_args(Kind)]
    return (*_first_names(formulas, names, known), *known)


def _note(row: Any) -> DrinkNote:
    named = {"drink": row["drink_id"], "version": row["version_id"]}
    return checked(
        DrinkNote, {**named, **{name: row[name] for name in ("kind", "text", "noted_at")}}
    )


def _first_names(
    formulas: Sequence[Formula], names: dict[str, str], known: Sequence[DrinkNote]
) -> Iterator[DrinkNote]:
    for formula in formulas:
        named = [one for one in known if one.drink == formula.id and one.kind == "name"]
        first = names[formula.id]
        if named and first not in [one.text for one in named]:
            at = min(formula.versions[0].created_at, named[0].noted_at)
            yield DrinkNote(drink=formula.id, kind="name", text=first, noted_at=at)


def pack_notes(engine: Engine) -> tuple[PackNote, ...]:
    """All prices, in the order in which they were noted."""
    table = schema.price
    wanted = select(*(table.c[name] for name in PackNote.model_fields)).order_by(table.c.id)
    with reading(engine) as connection:
        rows = connection.execute(wanted).mappings()
        return tuple(checked(PackNote, {**row}) for row in rows)


def insert_notes(
    connection: Connection, notes: Sequence[DrinkNote], packs: Sequence[PackNote]
) -> None:
    """Add all of these, inside a transaction; a price that is there already is not added again."""
    told = [
        {
            "drink_id": one.drink,
            "version_id": one.version,
            "kind": one.kind,
            "text": one.text,
            "noted_at": stamp(one.noted_at),
        }
        for one in notes
    ]
    _add(connection, schema.note, told)
    rows = [
        {**dict(one), "price": repr(one.price), "noted_at": stamp(one.noted_at)} for one in packs
    ]
    table = schema.price
    kept = select(*(table.c[name] for name in PackNote.model_fields))
    there = {tuple(row) for row in connection.execute(kept)}
    _add(connection, table, [row for row in rows if tuple(row.values()) not in there])


def _add(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    if rows:
        connection.execute(insert(table), rows)


def check_notes(
    notes: Sequence[DrinkNote], packs: Sequence[PackNote], drinks: frozenset[str]
) -> None:
    """Raises InputError for a note on a drink that is none of these, a name or a price that cannot
    be."""
    for note in notes:
        if note.drink not in drinks:
            raise InputError(
                f"a note is about the drink {note.drink!r}, which is not in this document; add the "
                "drink, or leave the note out"
            )
        if note.kind == "name":
            checked(_Called, {"name": note.text})
    for one in packs:
        read_price(one.pack, repr(one.price), one.currency)


class _Called(Record):
    name: Name
