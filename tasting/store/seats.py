"""One seat: whose link leads to it, what it has answered, and which set comes next.

Every page of every phone asks for this, so each question is put together once and asked alone.
"""

import hashlib
import hmac
from typing import Any

from sqlalchemy import Connection, RowMapping, bindparam, func, select

from tasting.errors import NotFoundError
from tasting.store import schema

Row = RowMapping

_session, _answer, _position = schema.session, schema.answer, schema.position
_MOMENTS = (_session.c.opened_at, _session.c.closed_at, _session.c.abandoned_at)


def _of_seat(table: Any) -> Any:
    return (table.c.session_id == bindparam("session_id")) & (table.c.seat == bindparam("number"))


def _of_set(table: Any) -> Any:
    return _of_seat(table) & (table.c.replicate == bindparam("replicate"))


_BY_TOKEN = (
    select(schema.seat, _session.c.plan, *_MOMENTS)
    .join(_session, _session.c.id == schema.seat.c.session_id)
    .where(schema.seat.c.token_hash == bindparam("digest"))
)
_DONE = select(func.count(), func.max(_answer.c.given_at)).where(_of_seat(_answer))
_SET = select(schema.serving_set).where(_of_set(schema.serving_set))
_PLACE = select(_position.c.chosen).where(_of_set(_position))
_GIVEN = select(_answer).where(_of_set(_answer))


def digest(token: str) -> str:
    """What the database keeps of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def seat_of(connection: Connection, token: str) -> Row:
    """The seat behind a token, with the plan and the moments of its session.

    Raises NotFoundError.
    """
    wanted = digest(token)
    row = connection.execute(_BY_TOKEN, {"digest": wanted}).mappings().first()
    if row is None or not hmac.compare_digest(row["token_hash"], wanted):
        raise NotFoundError("this link is not known; ask the host for yours")
    return row


def done(connection: Connection, seat: Row) -> tuple[int, str | None]:
    """How many answers of a seat are in, and when the last one was given, as it is kept.

    Moments are kept in UTC and in one form, so the last one is also the greatest text.
    """
    count, last = connection.execute(_DONE, _where(seat)).one()
    return count, last


def set_of(connection: Connection, seat: Row, replicate: int) -> Row | None:
    """A set of a seat, with its part of the key; None when there is no such set."""
    return connection.execute(_SET, _where(seat, replicate)).mappings().first()


def next_set(connection: Connection, seat: Row) -> Row | None:
    """The set that comes next, or None when all are answered."""
    return set_of(connection, seat, done(connection, seat)[0] + 1)


def place_in(connection: Connection, seat: Row, replicate: int) -> int | None:
    """The place that was chosen in a set by who tastes alone."""
    return connection.execute(_PLACE, _where(seat, replicate)).scalar()


def given_in(connection: Connection, seat: Row, replicate: int) -> Row | None:
    """The first answer to a set."""
    return connection.execute(_GIVEN, _where(seat, replicate)).mappings().first()


def _where(seat: Row, replicate: int | None = None) -> dict[str, Any]:
    here = {"session_id": seat["session_id"], "number": seat["number"]}
    return here if replicate is None else {**here, "replicate": replicate}
