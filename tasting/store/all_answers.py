"""The answers of all closed sessions as one tidy table, from their rows.

Reading every session with its seal would take longer than anything done with the table. What is
held against the rows is what was reckoned at closing: a session whose answers do not add up to its
counts is set aside. `tasting check` looks at seals.
"""

from collections.abc import Iterator
from typing import Any, NamedTuple

import pandas as pd
from sqlalchemy import Connection, Engine, Select, and_, select

from tasting.errors import DamagedError
from tasting.panel.entries import ANSWER_COLUMNS
from tasting.panel.plan import JOIN, Plan
from tasting.panel.serving import ServingSet
from tasting.store import damage, mapping, schema
from tasting.store.database import reading

_CODE = 4
# A code has three digits, and a space follows it.

_result, _session, _seat = schema.result, schema.session, schema.seat
_answer, _set = schema.answer, schema.serving_set


class _Meant(NamedTuple):
    """What a choice stood for: the samples in the chosen cups, and whether it counts."""

    sample: str
    counted: bool


class _Closed(NamedTuple):
    """A closed session, and what its choices were found to mean."""

    id: str
    name: str
    closed_at: str
    method: str
    invented: bool
    plan: Plan
    counted: int
    known: dict[tuple[str, str], _Meant]


def all_answers(engine: Engine, set_aside: list[str] | None = None) -> pd.DataFrame:
    """One row for each answer, session after session, in the order in which sets were served.

    The columns are those of `report.answers.answers_table`. `set_aside` takes a sentence for each
    session that is damaged; without it, the first one raises DamagedError.
    """
    with reading(engine) as connection:
        amended, excluded = _amended(connection), _excluded(connection)
        rows: list[tuple[Any, ...]] = []
        closed = _sessions(connection, set_aside)
        given = connection.execute(_GIVEN)
        for session, own in _by_session(given, closed):
            with damage.set_aside(set_aside):
                rows += _rows(session, own, amended, excluded)
            del closed[session.id]
        for session in closed.values():  # in which no answer stands
            with damage.set_aside(set_aside):
                _rows(session, [], amended, excluded)
    return pd.DataFrame(rows, columns=list(ANSWER_COLUMNS))


_GIVEN: Select[Any] = (
    select(
        _answer.c.session_id,
        _answer.c.seat,
        _answer.c.replicate,
        _seat.c.assessor,
        _set.c.serving_order,
        _set.c.codes,
        _answer.c.choice,
        _answer.c.remark,
    )
    .select_from(
        _result.join(_set, _set.c.session_id == _result.c.session_id)
        .join(
            _answer,
            and_(
                _answer.c.session_id == _set.c.session_id,
                _answer.c.seat == _set.c.seat,
                _answer.c.replicate == _set.c.replicate,
            ),
        )
        .join(_seat, and_(_seat.c.session_id == _set.c.session_id, _seat.c.number == _set.c.seat))
    )
    .order_by(_result.c.closed_at, _result.c.session_id, _set.c.place)
)


def _sessions(connection: Connection, set_aside: list[str] | None) -> dict[str, _Closed]:
    columns = [_session.c[name] for name in ("id", "name", "invented", "plan")]
    kept = [_result.c[name] for name in ("closed_at", "method", "counted", "fault")]
    home = _result.join(_session, _session.c.id == _result.c.session_id)
    known: dict[Any, dict[tuple[str, str], _Meant]] = {}
    found = {}
    for row in connection.execute(select(*columns, *kept).select_from(home)).mappings():
        with damage.set_aside(set_aside), damage.named(row):
            if row["fault"]:
                raise DamagedError(row["fault"])
            plan = mapping.plan_for_one(row["plan"])
            asked = known.setdefault((plan.method, plan.expected, plan.no_preference), {})
            found[row["id"]] = _Closed(
                row["id"],
                row["name"],
                row["closed_at"],
                row["method"],
                bool(row["invented"]),
                plan,
                row["counted"],
                asked,
            )
    return found


def _by_session(given: Any, closed: dict[str, _Closed]) -> Iterator[tuple[_Closed, list[Any]]]:
    """The answers of each session; those of sessions that were set aside are left out."""
    now: _Closed | None = None
    own: list[Any] = []
    for row in given:
        if now is None or row[0] != now.id:
            if now:
                yield now, own
            now, own = closed.get(row[0]), []
        if now:
            own.append(row)
    if now:
        yield now, own


def _amended(connection: Connection) -> dict[tuple[str, int, int], str]:
    """The last choice of each set whose answer was corrected."""
    table = schema.amendment
    columns = (table.c.session_id, table.c.seat, table.c.replicate, table.c.choice)
    order = (table.c.made_at, table.c.seat, table.c.id)
    return {
        (session_id, seat, replicate): choice
        for session_id, seat, replicate, choice in connection.execute(
            select(*columns).order_by(*order)
        )
    }


def _excluded(connection: Connection) -> set[tuple[str, int]]:
    table = schema.exclusion
    rows = connection.execute(select(table.c.session_id, table.c.seat))
    return {(session_id, seat) for session_id, seat in rows}


def _rows(
    session: _Closed,
    given: list[Any],
    amended: dict[tuple[str, int, int], str],
    excluded: set[tuple[str, int]],
) -> list[tuple[Any, ...]]:
    """The rows of a session. Raises DamagedError when they do not add up to its counts."""
    _, name, closed_at, method, invented, plan, wanted, known = session
    rows = []
    total = 0
    for id_, seat, replicate, assessor, order, codes, choice, remark in given:
        if excluded and (id_, seat) in excluded:
            continue
        if amended:
            choice = amended.get((id_, seat, replicate), choice)
        key = order, _place(codes, choice)
        if key not in known:
            known[key] = _meant(session, order, codes, choice)
        sample, counted = known[key]
        total += counted
        front = (id_, name, closed_at, method, assessor, replicate, order, codes)
        rows.append((*front, choice, sample, counted, remark, invented))
    if total != wanted:
        raise _damaged(session, "its answers do not add up to the counts saved at closing")
    return rows


def _place(codes: str, choice: str) -> str:
    """Where the chosen cups stood; a choice in words is its own."""
    if not choice[:1].isdigit():
        return choice
    if len(choice) < _CODE:
        return str(codes.find(choice) // _CODE)
    return JOIN.join(str(codes.find(code) // _CODE) for code in choice.split(JOIN))


def _meant(session: _Closed, order: str, codes: str, choice: str) -> _Meant:
    served = ServingSet.model_construct(
        assessor="anyone", replicate=1, order=order, codes=tuple(codes.split())
    )
    chosen = choice.split(JOIN)
    try:
        counted = session.plan.is_counted(served, choice)
        cups = "".join(map(served.sample_of, chosen)) if {*chosen} <= {*served.codes} else ""
    except (ValueError, LookupError):
        raise _damaged(session, f"{choice!r} could not be chosen in a set of it") from None
    return _Meant(cups, counted)


def _damaged(session: _Closed, why: str) -> DamagedError:
    return DamagedError(f"the session {session.name!r} ({session.id}) is damaged: {why}")
