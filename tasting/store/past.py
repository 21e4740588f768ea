"""Closed sessions as the history tells them: a page at a time, searched and filtered by SQL."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, Engine, and_, func, or_, select, union_all

from tasting.store import schema
from tasting.store.database import reading

_result, _session = schema.result, schema.session
_HOME = _result.join(_session, _session.c.id == _result.c.session_id)
_NEWEST_FIRST = (_result.c.closed_at.desc(), _result.c.session_id.desc())


@dataclass(frozen=True, slots=True)
class Search:
    """What to look for.

    words: each has to stand in the name, headline, purpose or a sample's name
    drinks: up to two, each as kind and id; both have to be among the samples
    """

    words: tuple[str, ...] = ()
    drinks: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Past:
    """A closed session; `fault` says why it is set aside, if it is."""

    id: str
    name: str
    closed_at: datetime
    headline: str
    purpose: str
    invented: str
    fault: str


def count(engine: Engine, search: Search) -> int:
    """How many closed sessions fit."""
    with reading(engine) as connection:
        return connection.execute(
            select(func.count()).select_from(_result).where(_fits(search))
        ).scalar_one()


def moments(engine: Engine, search: Search, most: int) -> list[tuple[datetime, str]]:
    """When the newest that fit were closed, and their ids."""
    asked = select(_result.c.closed_at, _result.c.session_id).where(_fits(search))
    with reading(engine) as connection:
        rows = connection.execute(asked.order_by(*_NEWEST_FIRST).limit(most)).all()
    return [(datetime.fromisoformat(at), id_) for at, id_ in rows]


def told(engine: Engine, ids: list[str]) -> dict[str, Past]:
    """These closed sessions by their ids."""
    names = ("closed_at", "headline", "fault")
    columns = [*(_session.c[name] for name in ("id", "name", "purpose", "invented"))]
    asked = select(*columns, *(_result.c[name] for name in names)).select_from(_HOME)
    with reading(engine) as connection:
        rows = connection.execute(asked.where(_session.c.id.in_(ids))).mappings().all()
    return {
        row["id"]: Past(**{**row, "closed_at": datetime.fromisoformat(row["closed_at"])})
        for row in rows
    }


def newest(engine: Engine, most: int) -> list[Past]:
    """The sessions that were closed last."""
    ids = [id_ for _, id_ in moments(engine, Search(), most)]
    known = told(engine, ids)
    return [known[id_] for id_ in ids]


def last_of_each(engine: Engine) -> dict[str, Past]:
    """The session that was closed last of those that compared a drink, by the drink's id."""
    names = ("closed_at", "headline", "fault")
    columns = [*(_session.c[name] for name in ("id", "name", "purpose", "invented"))]
    drinks = (_result.c.a_id, _result.c.b_id)
    every = union_all(*(select(drink.label("drink"), _result.c.closed_at) for drink in drinks))
    of_each = every.subquery()
    newest = select(func.max(of_each.c.closed_at)).group_by(of_each.c.drink)
    asked = select(*columns, *(_result.c[name] for name in names), *drinks).select_from(_HOME)
    asked = asked.where(_result.c.closed_at.in_(newest))
    with reading(engine) as connection:
        rows = connection.execute(asked.order_by(_result.c.closed_at, _session.c.id)).mappings()
        found = [dict(row) for row in rows]
    last: dict[str, Past] = {}
    for row in found:
        a, b = row.pop("a_id"), row.pop("b_id")
        told = Past(**{**row, "closed_at": datetime.fromisoformat(row["closed_at"])})
        last |= {a: told, b: told}
    return last


def _fits(search: Search) -> ColumnElement[bool]:
    found = [_result.c.words.contains(word.casefold(), autoescape=True) for word in search.words]
    found += [or_(*(_is(letter, drink) for letter in "ab")) for drink in search.drinks]
    return and_(True, *found)


def _is(letter: str, drink: tuple[str, str]) -> ColumnElement[bool]:
    kind, id_ = drink
    return and_(_result.c[f"{letter}_kind"] == kind, _result.c[f"{letter}_id"] == id_)
