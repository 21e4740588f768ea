"""Between the records of a session and their rows; used inside `store` only.

`load` brings the key with it, so what it returns must not leave `store` unguarded.
"""

import json
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, RowMapping, Table, func, insert, select

from tasting.errors import NotFoundError
from tasting.panel.entries import Amendment, Answer, Event, Exclusion
from tasting.panel.plan import Plan
from tasting.panel.serving import ServingSet
from tasting.panel.session import Session
from tasting.records import tidy
from tasting.store import damage, schema

_MOMENTS = ("planned_at", "opened_at", "closed_at", "abandoned_at")
_OWN = ("name", "purpose", "invented", "early_reason", "abandoned_reason", "sealed", "salt")

_EVENT = insert(schema.event)


def stamp(moment: datetime | None) -> str | None:
    """A moment as it is kept: ISO 8601 in UTC."""
    return moment.astimezone(UTC).isoformat() if moment else None


def moment(stamped: str | None) -> datetime | None:
    """A moment that was kept."""
    return datetime.fromisoformat(stamped) if stamped else None


def session_row(connection: Connection, session_id: str) -> RowMapping:
    """A session's own row. Raises NotFoundError."""
    table = schema.session
    wanted = select(table).where(table.c.id == session_id)
    # An id from an address may hold what PostgreSQL does not even take as a question.
    known = tidy(session_id) == session_id
    row = connection.execute(wanted).mappings().first() if known else None
    if row is None:
        raise NotFoundError(f"no session is saved under the id {session_id!r}")
    return row


def seat_rows(connection: Connection, session_id: str) -> list[RowMapping]:
    """The seats of a session, in the order of the plan."""
    table = schema.seat
    wanted = select(table).where(table.c.session_id == session_id).order_by(table.c.number)
    return list(connection.execute(wanted).mappings())


def bare(connection: Connection, row: RowMapping) -> dict[str, Any]:
    """The values of a session without its key, its answers and what happened to it.

    Raises DamagedError, which names it.
    """
    seats = [seat["assessor"] for seat in seat_rows(connection, row["id"])]
    with damage.named(row):
        plan = Plan.model_validate({**json.loads(row["plan"]), "assessors": seats})
        moments = {name: moment(row[name]) for name in _MOMENTS}
    return {"id": row["id"], **{name: row[name] for name in _OWN}, **moments, "plan": plan}


@lru_cache(maxsize=1024)
def plan_for_one(text: str) -> Plan:
    """A plan as it is kept, read for one assessor alone: what all of them share stands in it.

    A plan never changes once its session is open, so each is read once: a ballot asks for it with
    every page, and checking a plan with all of its assessors takes longer than all else.
    """
    return Plan.model_validate({**json.loads(text), "assessors": ("anyone",)})


def answered(connection: Connection, session_id: str) -> dict[int, int]:
    """How many answers of each seat are in."""
    table = schema.answer
    counts = connection.execute(
        select(table.c.seat, func.count())
        .where(table.c.session_id == session_id)
        .group_by(table.c.seat)
    )
    return {seat: count for seat, count in counts}


def sets(connection: Connection, session_id: str, seat: int | None = None) -> list[RowMapping]:
    """The rows of the key, of one seat or of all."""
    table = schema.serving_set
    wanted = select(table).where(table.c.session_id == session_id)
    if seat is not None:
        wanted = wanted.where(table.c.seat == seat)
    return list(connection.execute(wanted.order_by(table.c.place)).mappings())


def _serving_set(row: RowMapping, assessor: str) -> ServingSet:
    """One set of the key."""
    return ServingSet(
        assessor=assessor,
        replicate=row["replicate"],
        order=row["serving_order"],
        codes=tuple(row["codes"].split()),
    )


def load(connection: Connection, session_id: str) -> Session:
    """A session with everything, the key too. Raises DamagedError, which names it."""
    row = session_row(connection, session_id)
    with damage.named(row):
        return _whole(connection, row)


def _whole(connection: Connection, row: RowMapping) -> Session:
    values, session_id = bare(connection, row), row["id"]
    names = values["plan"].assessors
    return Session.model_validate(
        {
            **values,
            "sets": [_serving_set(one, names[one["seat"]]) for one in sets(connection, session_id)],
            "answers": _named(connection, schema.answer, session_id, names, "given_at"),
            "amendments": _named(connection, schema.amendment, session_id, names, "made_at"),
            "exclusions": _named(connection, schema.exclusion, session_id, names, "made_at"),
            "events": events(connection, session_id, names),
        }
    )


def _named(
    connection: Connection, table: Table, session_id: str, names: tuple[str, ...], order: str
) -> Iterator[dict[str, Any]]:
    wanted = select(table).where(table.c.session_id == session_id)
    keys = [table.c[order], table.c.seat, *table.primary_key.columns]
    for row in connection.execute(wanted.order_by(*keys)).mappings():
        kept = {name: row[name] for name in row if name not in ("id", "session_id", "seat")}
        yield {"assessor": names[row["seat"]], **kept}


def events(connection: Connection, session_id: str, names: tuple[str, ...]) -> list[Event]:
    """What happened to a session, in order; a seat is called by its pseudonym."""
    table = schema.event
    wanted = select(table).where(table.c.session_id == session_id).order_by(table.c.id)
    return [
        Event(
            at=datetime.fromisoformat(row["at"]),
            what=row["what"],
            detail=_told(row["detail"], None if row["seat"] is None else names[row["seat"]]),
        )
        for row in connection.execute(wanted).mappings()
    ]


def _told(detail: str, who: str | None) -> str:
    return ": ".join(part for part in (who, detail) if part)


def note(
    connection: Connection,
    session_id: str,
    now: datetime,
    what: str,
    detail: str = "",
    seat: int | None = None,
) -> None:
    """Add a line to what happened to a session; it must not tell the key nor any choice."""
    connection.execute(_EVENT, _event_row(session_id, now, what, detail, seat))


def _event_row(
    session_id: str, now: datetime, what: str, detail: str, seat: int | None
) -> dict[str, Any]:
    row = {"session_id": session_id, "seat": seat, "what": what, "detail": tidy(detail)}
    return {"at": stamp(now), **row}


def rows_of(added: Session) -> dict[Table, list[dict[str, Any]]]:
    """Everything of a session as rows, in an order in which they can be added; its seats get no
    links yet."""
    return {
        schema.session: [_own_row(added)],
        schema.seat: [
            {"session_id": added.id, "number": number, "assessor": who, "issue": 0}
            for number, who in enumerate(added.plan.assessors)
        ],
        schema.serving_set: _set_rows(added),
        **_given_rows(added),
        schema.event: list(_event_rows(added)),
    }


def add_rows(connection: Connection, rows: dict[Table, list[dict[str, Any]]]) -> None:
    """Add these rows."""
    for table, own in rows.items():
        if own:
            connection.execute(insert(table), own)


def _own_row(added: Session) -> dict[str, Any]:
    kept = added.model_dump(mode="json", include={"id", *_OWN})
    moments = {name: stamp(getattr(added, name)) for name in _MOMENTS}
    plan = added.plan.model_dump_json(exclude={"assessors"})
    return {**kept, **moments, "plan": plan, "pourer_code": ""}


def add_sets(connection: Connection, opened: Session) -> None:
    """The key of a session that was opened."""
    add_rows(connection, {schema.serving_set: _set_rows(opened)})


def _set_rows(opened: Session) -> list[dict[str, Any]]:
    seat_of = seats_of(opened)
    return [
        {
            "session_id": opened.id,
            "seat": seat_of[served.assessor],
            "replicate": served.replicate,
            "place": index,
            "serving_order": served.order,
            "codes": " ".join(served.codes),
        }
        for index, served in enumerate(opened.sets)
    ]


def _given_rows(added: Session) -> dict[Table, list[dict[str, Any]]]:
    """Answers, amendments and exclusions of a session that comes from a document."""
    seat_of = seats_of(added)
    kinds: dict[Table, Iterable[Answer | Amendment | Exclusion]] = {
        schema.answer: added.answers,
        schema.amendment: added.amendments,
        schema.exclusion: added.exclusions,
    }
    return {
        table: [given_row(added.id, seat_of[record.assessor], record) for record in records]
        for table, records in kinds.items()
    }


def _event_rows(added: Session) -> Iterator[dict[str, Any]]:
    seat_of = seats_of(added)
    for happened in added.events:
        seat, detail = _about(happened.detail, seat_of)
        yield _event_row(added.id, happened.at, happened.what, detail, seat)


def _about(detail: str, seat_of: dict[str, int]) -> tuple[int | None, str]:
    """The seat that a detail begins with the pseudonym of, and the rest: `_told` turned round.

    So a pseudonym stands in `seat` alone, also after a document was read back.
    """
    for who, seat in seat_of.items():
        if detail == who or detail.startswith(f"{who}: "):
            return seat, detail[len(who) + 2 :]
    return None, detail


def seats_of(session: Session) -> dict[str, int]:
    """The seat of each assessor."""
    return {who: number for number, who in enumerate(session.plan.assessors)}


def given_row(session_id: str, seat: int, record: Answer | Amendment | Exclusion) -> dict[str, Any]:
    """The row of something that was given by, or decided about, the assessor on this seat."""
    stamped = {
        name: stamp(value) if isinstance(value, datetime) else value for name, value in record
    }
    del stamped["assessor"]
    return {"session_id": session_id, "seat": seat, **stamped}
