"""One assessor over all closed sessions, by columns: no key and nothing of an open one."""

import re
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Engine, and_, func, select

from tasting.insight.findings.assessor_record import TastedSession
from tasting.store import schema
from tasting.store.database import reading

_result, _session, _seat, _score = schema.result, schema.session, schema.seat, schema.score
_exclusion = schema.exclusion
_ERASED = re.compile(r"erased [0-9a-f]{8}")
# What `sessions.erase_pseudonym` writes: another one for each seat, so that nobody can be followed.
_THERE = _seat.join(_result, _result.c.session_id == _seat.c.session_id)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A closed session in which the answers of an assessor are left out, and why."""

    session: str
    closed_at: datetime
    reason: str


def names(engine: Engine) -> tuple[str, ...]:
    """The pseudonyms in closed sessions, in the order of the alphabet; erased ones are left out."""
    closed = _seat.c.session_id.in_(select(_result.c.session_id))
    asked = select(_seat.c.assessor).distinct().where(closed).order_by(_seat.c.assessor)
    with reading(engine) as connection:
        known = connection.execute(asked).scalars().all()
    return tuple(name for name in known if not _ERASED.fullmatch(name))


def scores(engine: Engine, name: str) -> tuple[TastedSession, ...]:
    """What this assessor answered in each closed session, oldest first."""
    own, every = _score.alias(), _score.alias()
    home = (
        _THERE.join(own, and_(own.c.session_id == _seat.c.session_id, own.c.seat == _seat.c.number))
    ).join(every, every.c.session_id == own.c.session_id)
    others = (func.sum(every.c.right) - own.c.right, func.sum(every.c.n) - own.c.n)
    columns = (_result.c.closed_at, _result.c.method, own.c.n, own.c.right)
    asked = (
        select(*columns, *others)
        .select_from(home)
        .where(_seat.c.assessor == name)
        .group_by(*columns, _result.c.session_id, own.c.seat)
        .order_by(_result.c.closed_at, _result.c.session_id)
    )
    with reading(engine) as connection:
        return tuple(
            TastedSession(
                datetime.fromisoformat(at), method, n, right, int(all_right or 0), int(all_n)
            )
            for at, method, n, right, all_right, all_n in connection.execute(asked)
        )


def left_out(engine: Engine, name: str) -> tuple[LeftOut, ...]:
    """The closed sessions in which this assessor is excluded, oldest first."""
    home = _THERE.join(_session, _session.c.id == _seat.c.session_id).join(
        _exclusion,
        and_(_exclusion.c.session_id == _seat.c.session_id, _exclusion.c.seat == _seat.c.number),
    )
    columns = (_session.c.name, _result.c.closed_at, _exclusion.c.reason)
    asked = select(*columns).select_from(home).where(_seat.c.assessor == name)
    with reading(engine) as connection:
        return tuple(
            LeftOut(session, datetime.fromisoformat(at), reason)
            for session, at, reason in connection.execute(asked.order_by(_result.c.closed_at))
        )
