"""One seat: whose link leads to it, what it has answered, and which set comes next.

Every page of every phone asks for this, so each question is put together once and asked alone.
"""

import hashlib
import hmac
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, RowMapping, and_, bindparam, func, select

from tasting.errors import NotFoundError
from tasting.store import schema

Row = RowMapping

_session, _answer, _position = schema.session, schema.answer, schema.position
_MOMENTS = (_session.c.opened_at, _session.c.closed_at, _session.c.abandoned_at)


def _of_seat(table: Any) -> Any:
    return (table.c.session_id == bindparam("session_id")) & (table.c.seat == bindparam("number"))


def _of_set(table: Any) -> Any:
    return _of_seat(table) & (table.c.replicate == bindparam("replicate"))


_seat, _this, _after = schema.seat, schema.serving_set.alias(), schema.serving_set.alias()
_HERE = and_(_answer.c.session_id == _seat.c.session_id, _answer.c.seat == _seat.c.number)
_COUNT = select(func.count()).where(_HERE).scalar_subquery()
_LAST = select(func.max(_answer.c.given_at)).where(_HERE).scalar_subquery()


def _set_at(table: Any, replicate: Any) -> Any:
    own = (table.c.session_id == _seat.c.session_id) & (table.c.seat == _seat.c.number)
    return own & (table.c.replicate == replicate)


# All that an answer and the screen after it need, asked once.
_BY_TOKEN = (
    select(
        _seat,
        _session.c.plan,
        *_MOMENTS,
        _COUNT.label("answered"),
        _LAST.label("last_given"),
        _this.c.codes.label("codes"),
        _after.c.codes.label("codes_after"),
    )
    .join(_session, _session.c.id == _seat.c.session_id)
    .outerjoin(_this, _set_at(_this, _COUNT + 1))
    .outerjoin(_after, _set_at(_after, _COUNT + 2))
    .where(_seat.c.token_hash == bindparam("digest"))
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


@dataclass(frozen=True, slots=True)
class Upcoming:
    """The set that comes next on a seat: its number and the codes on its cups.

    given: the latest moment at which an answer before it was given, as it is kept
    """

    replicate: int
    codes: str | None
    given: str | None = None


def upcoming(seat: Row, given: str | None = None) -> Upcoming:
    """The set that comes next on a seat that was found by its token; `codes` is None when all are
    answered. given: when the one that came next was answered since, if it was."""
    if given is None:
        return Upcoming(seat["answered"] + 1, seat["codes"], seat["last_given"])
    return Upcoming(seat["answered"] + 2, seat["codes_after"], max(given, seat["last_given"] or ""))


def _done(connection: Connection, seat: Row) -> tuple[int, str | None]:
    """How many answers of a seat are in, and when the last one was given, as it is kept.

    Moments are kept in UTC and in one form, so the last one is also the greatest text.
    """
    count, last = connection.execute(_DONE, _where(seat)).one()
    return count, last


def _set_of(connection: Connection, seat: Row, replicate: int) -> Row | None:
    """A set of a seat, with its part of the key; None when there is no such set."""
    return connection.execute(_SET, _where(seat, replicate)).mappings().first()


def next_set(connection: Connection, seat: Row) -> Upcoming:
    """The set that comes next on any seat."""
    count, last = _done(connection, seat)
    row = _set_of(connection, seat, count + 1)
    return Upcoming(count + 1, row["codes"] if row else None, last)


def place_in(connection: Connection, seat: Row, replicate: int) -> int | None:
    """The place that was chosen in a set by who tastes alone."""
    return connection.execute(_PLACE, _where(seat, replicate)).scalar()


def given_in(connection: Connection, seat: Row, replicate: int) -> Row | None:
    """The first answer to a set."""
    return connection.execute(_GIVEN, _where(seat, replicate)).mappings().first()


def _where(seat: Row, replicate: int | None = None) -> dict[str, Any]:
    here = {"session_id": seat["session_id"], "number": seat["number"]}
    return here if replicate is None else {**here, "replicate": replicate}
