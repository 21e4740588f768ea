"""What is said of a drink besides its recipe: its present name, whether it is put away, how it is
made and served, and remarks of open tastings. Every change is a row of its own and can be undone.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal, TypeVar, get_args

from sqlalchemy import Connection, Engine, insert, select

from tasting.drink.formula import Formula
from tasting.drink.formula import Note as Text
from tasting.drink.ice import STYLES, ServedStyle
from tasting.drink.label import Reference
from tasting.errors import InputError
from tasting.records import Name, Record, checked, now
from tasting.store import schema
from tasting.store.database import reading, writing
from tasting.store.mapping import stamp

_D = TypeVar("_D", Formula, Reference)
Kind = Literal["name", "archived", "method", "glass", "ice", "garnish", "melts", "remark"]
SERVED: Final[tuple[Kind, ...]] = ("method", "glass", "ice", "garnish")
"""How a drink is made and served: of each the newest note holds; so of "melts", which names the way
of serving whose ice melts into it."""

_ARCHIVED: Final = "yes"


@dataclass(frozen=True, slots=True)
class Note:
    """A note on a drink; `version_id` is empty where it holds for all versions."""

    kind: Kind
    text: str
    version_id: str
    noted_at: datetime


class _Typed(Record):
    text: Text


class _TypedName(Record):
    text: Name


def add_note(engine: Engine, drink_id: str, kind: Kind, text: str, version_id: str = "") -> None:
    """Add a note. Raises InputError for a text that is too long, a remark or name that is empty."""
    model: type[_Typed | _TypedName] = _TypedName if kind == "name" else _Typed
    written = checked(model, {"text": text}).text.strip()
    if kind == "remark" and not written:
        raise InputError("the remark is empty; write what you tasted")
    row = {
        "drink_id": drink_id,
        "version_id": version_id,
        "kind": kind,
        "text": written,
        "noted_at": stamp(now()),
    }
    with writing(engine) as connection:
        connection.execute(insert(schema.note).values(row))


def notes(engine: Engine, drink_id: str) -> tuple[Note, ...]:
    """All notes on a drink, the newest first; those of kinds that are not known are passed over."""
    table = schema.note
    wanted = select(table).where(table.c.drink_id == drink_id).order_by(table.c.id.desc())
    with reading(engine) as connection:
        rows = connection.execute(wanted).all()
    return tuple(
        Note(row.kind, row.text, row.version_id, datetime.fromisoformat(row.noted_at))
        for row in rows
        if row.kind in get_args(Kind)
    )


def archive(engine: Engine, drink_id: str, away: bool = True) -> None:
    """Put a drink away, or take it out again; nothing of it changes."""
    add_note(engine, drink_id, "archived", _ARCHIVED if away else "")


def archived(engine: Engine) -> frozenset[str]:
    """Ids of the drinks that are put away."""
    with reading(engine) as connection:
        latest = newest(connection, "archived")
    return frozenset(id_ for id_, text in latest.items() if text == _ARCHIVED)


def still_out(engine: Engine, drinks: Iterable[_D], *asked: str) -> tuple[_D, ...]:
    """Those of these drinks that are not put away, or are asked for by id."""
    away = archived(engine).difference(asked)
    return tuple(one for one in drinks if one.id not in away)


def melting(engine: Engine, drink_id: str) -> ServedStyle | None:
    """The way of serving whose ice melts into a drink, if one is noted."""
    with reading(engine) as connection:
        return STYLES.get(newest(connection, "melts").get(drink_id, ""))


def newest(connection: Connection, kind: Kind) -> Mapping[str, str]:
    """The newest note of a kind on each drink, by its id."""
    table = schema.note
    rows = connection.execute(
        select(table.c.drink_id, table.c.text).where(table.c.kind == kind).order_by(table.c.id)
    ).all()
    return {drink_id: text for drink_id, text in rows}
