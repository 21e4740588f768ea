"""One assessor over all closed sessions, by columns: no key and nothing of an open one."""

import re
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Engine, and_, exists, func, select

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
    every = select(_seat.c.assessor.label("name")).distinct().subquery()
    closed = exists().select_from(_THERE).where(_seat.c.assessor == every.c.name)
    asked = select(every.c.name).where(closed).order_by(every.c.name)
    with reading(engine) as connection:
        known = connection.execute(asked).scalars().all()
    return tuple(name for name in known if not _ERASED.fullmatch(name))


def totals(engine: Engine) -> dict[str, tuple[int, int]]:
    """Right answers and answers that chose a sample, of all assessors in each closed session (id).

    No pseudonym is in it, so that it may be kept as long as no other session is closed.
    """
    sums = (func.sum(_score.c.right), func.sum(_score.c.n))
    asked = select(_score.c.session_id, *sums).group_by(_score.c.session_id)
    with reading(engine) as connection:
        return {id_: (int(right or 0), int(n)) for id_, right, n in connection.execute(asked)}


def scores(
    engine: Engine, name: str, every: dict[str, tuple[int, int]]
) -> tuple[TastedSession, ...]:
    """What this assessor answered in each closed session, oldest first.

    every: the `totals`; a session that they do not know yet is left out
    """
    own = and_(_score.c.session_id == _seat.c.session_id, _score.c.seat == _seat.c.number)
    asked = (
        select(
            _result.c.session_id, _result.c.closed_at, _result.c.method, _score.c.n, _score.c.right
        )
        .select_from(_THERE.join(_score, own))
        .where(_seat.c.assessor == name)
        .order_by(_result.c.closed_at, _result.c.session_id)
    )
    with reading(engine) as connection:
        return tuple(
            _tasted(every[id_], at, method, n, right)
            for id_, at, method, n, right in connection.execute(asked)
            if id_ in every
        )


def _tasted(
    every: tuple[int, int], closed_at: str, method: str, n: int, right: int | None
) -> TastedSession:
    all_right, all_n = every
    at = datetime.fromisoformat(closed_at)
    return TastedSession(at, method, n, right, all_right - (right or 0), all_n - n)


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
