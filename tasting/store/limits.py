"""The host's limits for what an assessor gets, and the record of going above them."""

from datetime import datetime

from pydantic import ValidationError
from sqlalchemy import Connection, Engine, delete, insert, select

from tasting.panel.care import HostLimits
from tasting.panel.entries import Event
from tasting.store import mapping, schema, sessions
from tasting.store.database import reading, writing

LIMITS = "host_limits"
CONFIRMED = "limit exceeded, confirmed"
"""What the event is called by which the host confirmed a plan above the limit."""


# Every ballot before consent asks for it.
_KEPT = select(schema.setting.c.value).where(schema.setting.c.name == LIMITS)


def host_limits(engine: Engine) -> HostLimits:
    """The limits that were kept, or the usual ones."""
    with reading(engine) as connection:
        return limits_in(connection)


def limits_in(connection: Connection) -> HostLimits:
    """The same, inside a transaction."""
    kept = connection.execute(_KEPT).scalar()
    try:
        return HostLimits.model_validate_json(kept) if kept else HostLimits()
    except ValidationError:  # kept by a program that knew other countries
        return HostLimits()


def keep_host_limits(engine: Engine, limits: HostLimits) -> None:
    """Keep the limits in place of those before."""
    table = schema.setting
    with writing(engine) as connection:
        connection.execute(delete(table).where(table.c.name == LIMITS))
        row = {"name": LIMITS, "value": limits.model_dump_json()}
        connection.execute(insert(table).values(row))


def confirmation(said: str, now: datetime) -> Event:
    """The event that a plan above the limit was confirmed; `said` is what it was above."""
    return Event(at=now, what=CONFIRMED, detail=said)


def confirm_above_limit(engine: Engine, session_id: str, said: str, now: datetime) -> None:
    """Put on record that the host confirmed a planned session above the limit."""
    sessions.planned_session(engine, session_id)
    with writing(engine) as connection:
        mapping.note(connection, session_id, now, CONFIRMED, said)


def confirmed_above_limit(engine: Engine, session_id: str) -> bool:
    """Whether the host confirmed that this session goes above the limit."""
    return any(event.what == CONFIRMED for event in sessions.events(engine, session_id))
