"""Sessions as the host sees them, and with `ballots` the one home of blindness.

The key of a session (its serving sets: which code is which sample) leaves `store` in two places
only: `pour_sheet`, for whoever fills the cups, and `closed_session`, after closing. What the host
may see of an open session is `summary`, `seats` and `events`; what an assessor may see is
`ballots.ballot`.
"""

import secrets
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from random import Random
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Engine,
    RowMapping,
    Table,
    insert,
    select,
    true,
    update,
)

from tasting.errors import InputError, LifeCycleError, NotFoundError, SealedError
from tasting.panel.entries import Amendment, Event, Exclusion
from tasting.panel.plan import Plan
from tasting.panel.session import POUR_SHEET_SHOWN, TO, Session, State, state
from tasting.records import checked, tidy
from tasting.store import damage, formulas, mapping, results, schema
from tasting.store.database import Progress, reading, writing


@dataclass(frozen=True, slots=True)
class Summary:
    """What may be shown of any session, sealed or not: its plan and how many answers are in."""

    id: str
    name: str
    purpose: str
    invented: str
    plan: Plan
    state: State
    planned_at: datetime
    opened_at: datetime | None
    closed_at: datetime | None
    abandoned_at: datetime | None
    abandoned_reason: str
    sealed: str
    answered: int


@dataclass(frozen=True, slots=True)
class Seat:
    """One assessor's place in a session, and how many answers of theirs are in."""

    number: int
    assessor: str
    answered: int
    planned: int
    consented: bool
    withdrawn: bool
    excluded: bool


def plan_session(engine: Engine, planned: Session) -> None:
    """Keep a planned session. Raises InputError when its id is taken or a sample is unknown."""
    _in_state(planned, "planned", ", not planned")
    with writing(engine, planned.id) as connection:
        insert_sessions(connection, [planned])
        check_drinks(connection, [planned])
        mapping.note(connection, planned.id, planned.planned_at, "planned")


def insert_sessions(connection: Connection, added: Sequence[Session]) -> None:
    """Keep sessions of any state, inside a transaction, at the end of which `check_drinks` is due.

    Raises InputError when an id is taken.
    """
    _check_fresh(connection, [one.id for one in added])
    rows: dict[Table, list[dict[str, Any]]] = defaultdict(list)
    for one in added:
        own = mapping.rows_of(one) | (results.rows_of(one) if one.state == "closed" else {})
        for table, more in own.items():
            rows[table] += more
    mapping.add_rows(connection, rows)


def _check_fresh(connection: Connection, ids: Sequence[str]) -> None:
    kept = select(schema.session.c.id).where(schema.session.c.id.in_(ids))
    taken = [
        *connection.execute(kept).scalars(),
        *(id_ for id_, n in Counter(ids).items() if n > 1),
    ]
    if taken:
        raise InputError(f"a session is saved under the id {taken[0]!r} already")


def check_drinks(connection: Connection, added: Iterable[Session]) -> None:
    """Raises InputError when one of these sessions compares a drink that is not kept."""
    known: dict[tuple[str, str], bool] = {}
    for one in added:
        for sample in (one.plan.a, one.plan.b):
            key = sample.kind, sample.id
            if key not in known:
                known[key] = formulas.known(connection, sample)
            if not known[key]:
                raise InputError(
                    f"the session {one.name!r} compares the {sample.kind} {sample.id!r}, which is "
                    "not saved here; add it first"
                )


def open_session(
    engine: Engine, session_id: str, now: datetime, random: Random | None = None
) -> None:
    """Draw the serving plan from the operating system's random source, and seal it."""
    with writing(engine, session_id) as connection:
        planned = mapping.load(connection, session_id)
        opened = planned.opened(_not_before(planned, now), random or secrets.SystemRandom())
        mapping.add_sets(connection, opened)
        values = {"opened_at": mapping.stamp(opened.opened_at)}
        _change(connection, session_id, values | {"sealed": opened.sealed, "salt": opened.salt})
        mapping.note(connection, session_id, now, "opened", f"seal {opened.sealed}")


def close_session(
    engine: Engine, session_id: str, now: datetime, early_reason: str = ""
) -> Session:
    """Close for ever, and unseal. Raises InputError if answers are missing without a reason."""
    with writing(engine, session_id) as connection:
        session = mapping.load(connection, session_id)
        closed = session.closed(_not_before(session, now), early_reason)
        values = {"closed_at": mapping.stamp(closed.closed_at)}
        _change(connection, session_id, values | {"early_reason": closed.early_reason})
        mapping.note(connection, session_id, now, "closed", closed.early_reason)
        whole = mapping.load(connection, session_id)
        results.add(connection, whole)
        return whole


def abandon_session(engine: Engine, session_id: str, now: datetime, reason: str) -> None:
    """Give up a session that is not closed; it stays on record. Raises InputError."""
    with writing(engine, session_id) as connection:
        session = mapping.load(connection, session_id)
        given_up = session.abandoned(_not_before(session, now), reason)
        values = {"abandoned_at": mapping.stamp(given_up.abandoned_at)}
        _change(connection, session_id, values | {"abandoned_reason": given_up.abandoned_reason})
        mapping.note(connection, session_id, now, "abandoned", reason)


def _not_before(session: Session, now: datetime) -> datetime:
    """Now, or the last thing that happened when the clock was set back since."""
    amended = (change.made_at for change in session.amendments)
    excluded = (exclusion.made_at for exclusion in session.exclusions)
    return max(now, session.opened_at or session.planned_at, *amended, *excluded)


def _change(connection: Connection, session_id: str, values: dict[str, str | None]) -> None:
    table = schema.session
    connection.execute(update(table).where(table.c.id == session_id).values(values))


def amend_answer(engine: Engine, session_id: str, change: Amendment) -> None:
    """Correct a wrongly entered answer of an open session; both stay on record."""
    with writing(engine, session_id) as connection:
        session = _open(connection, session_id)
        amended = checked(Session, {**dict(session), "amendments": (*session.amendments, change)})
        seat = amended.plan.assessors.index(change.assessor)
        connection.execute(
            insert(schema.amendment).values(mapping.given_row(session_id, seat, change))
        )
        detail = f"set {change.replicate}, because: {change.reason}"
        mapping.note(connection, session_id, change.made_at, "answer amended", detail, seat)


def exclude_assessor(engine: Engine, session_id: str, exclusion: Exclusion) -> None:
    """Leave an assessor's answers out of the finding of an open session, for a stated reason."""
    with writing(engine, session_id) as connection:
        session = _open(connection, session_id)
        if any(kept.assessor == exclusion.assessor for kept in session.exclusions):
            raise InputError(f"assessor {exclusion.assessor!r} is excluded already")
        checked(Session, {**dict(session), "exclusions": (*session.exclusions, exclusion)})
        seat = session.plan.assessors.index(exclusion.assessor)
        row = mapping.given_row(session_id, seat, exclusion)
        connection.execute(insert(schema.exclusion).values(row))
        mapping.note(
            connection, session_id, exclusion.made_at, "assessor excluded", exclusion.reason, seat
        )


def _in_state(session: Session, wanted: State, otherwise: str) -> Session:
    """The session, if it is in this state. Raises LifeCycleError, SealedError before closing."""
    if session.state != wanted:
        fault = SealedError if wanted == "closed" else LifeCycleError
        raise fault(f"the session {session.name!r} is {session.state}{otherwise}")
    return session


def _open(connection: Connection, session_id: str) -> Session:
    return _in_state(
        mapping.load(connection, session_id), "open", "; that is done while it is open"
    )


def _kept(engine: Engine, session_id: str, wanted: State, otherwise: str) -> Session:
    with reading(engine) as connection:
        return _in_state(mapping.load(connection, session_id), wanted, otherwise)


def closed_session(engine: Engine, session_id: str) -> Session:
    """A closed session with its key and answers. Raises SealedError while it is not closed."""
    return _kept(engine, session_id, "closed", ": sealed until it is closed")


def closed_sessions(
    engine: Engine,
    set_aside: list[str] | None = None,
    progress: Progress = lambda done, of: None,
) -> Iterator[Session]:
    """All closed sessions, oldest first, one at a time.

    set_aside: takes a sentence for each session that is damaged; without it, the first one raises
        DamagedError
    progress: takes how many are read, and of how many
    """
    table = schema.session
    closed = select(table.c.id).where(table.c.closed_at.is_not(None))
    oldest = closed.order_by(table.c.closed_at, table.c.id)
    with reading(engine) as connection:
        ids = connection.execute(oldest).scalars().all()
        for done, session_id in enumerate(ids, start=1):
            with damage.set_aside(set_aside):
                yield mapping.load(connection, session_id)
            progress(done, len(ids))


def planned_session(engine: Engine, session_id: str) -> Session:
    """A planned session, which has no key yet. Raises LifeCycleError once it is open."""
    return _kept(engine, session_id, "planned", ", not planned")


def abandoned_session(engine: Engine, session_id: str) -> Session:
    """An abandoned session without key and answers, which stay sealed for ever."""
    abandoned = _kept(engine, session_id, "abandoned", ", not abandoned")
    hidden = {"sets": (), "salt": "", "answers": (), "amendments": (), "exclusions": ()}
    return abandoned.model_copy(update=hidden)


def pour_sheet(engine: Engine, session_id: str, now: datetime, reader: str) -> Session:
    """The key of an open session, for whoever fills the cups; who looked at it is recorded."""
    with writing(engine, session_id) as connection:
        session = _open(connection, session_id)
        mapping.note(connection, session_id, now, POUR_SHEET_SHOWN, f"{TO}{reader}")
        return session.model_copy(update={"answers": (), "amendments": ()})


def events(engine: Engine, session_id: str) -> tuple[Event, ...]:
    """What happened to a session, in order; it tells neither the key nor any choice.

    Raises NotFoundError.
    """
    with reading(engine) as connection:
        row = mapping.session_row(connection, session_id)
        names = tuple(seat["assessor"] for seat in mapping.seat_rows(connection, session_id))
        with damage.named(row):
            return tuple(mapping.events(connection, session_id, names))


def summaries(engine: Engine) -> tuple[Summary, ...]:
    """Every session, newest plan first, without a word of any key. Raises DamagedError."""
    return _summaries(engine, true(), None)


def going(engine: Engine, set_aside: list[str] | None = None) -> tuple[Summary, ...]:
    """The sessions that are planned or open; `set_aside` as in `closed_sessions`."""
    table = schema.session
    return _summaries(
        engine, table.c.closed_at.is_(None) & table.c.abandoned_at.is_(None), set_aside
    )


def not_closed(engine: Engine, set_aside: list[str] | None = None) -> tuple[Summary, ...]:
    """The same with those that were given up; `set_aside` as in `closed_sessions`."""
    return _summaries(engine, schema.session.c.closed_at.is_(None), set_aside)


def _summaries(
    engine: Engine, wanted: ColumnElement[bool], aside: list[str] | None
) -> tuple[Summary, ...]:
    table, found = schema.session, list[Summary]()
    newest = select(table).where(wanted).order_by(table.c.planned_at.desc(), table.c.id)
    with reading(engine) as connection:
        for row in connection.execute(newest).mappings().all():
            with damage.set_aside(aside):
                found.append(_summarised(connection, row))
    return tuple(found)


def kept_any(engine: Engine) -> bool:
    """Whether any session is kept."""
    with reading(engine) as connection:
        return connection.execute(select(schema.session.c.id).limit(1)).first() is not None


def ids_to_export(engine: Engine) -> tuple[str, ...]:
    """The ids of all sessions that are not open, newest plan first."""
    table = schema.session
    ended = table.c.closed_at.is_not(None) | table.c.abandoned_at.is_not(None)
    asked = select(table.c.id).where(ended | table.c.opened_at.is_(None))
    with reading(engine) as connection:
        newest = asked.order_by(table.c.planned_at.desc(), table.c.id)
        return tuple(connection.execute(newest).scalars())


def summary(engine: Engine, session_id: str) -> Summary:
    """One session, sealed or not. Raises NotFoundError."""
    with reading(engine) as connection:
        return _summarised(connection, mapping.session_row(connection, session_id))


def _summarised(connection: Connection, row: RowMapping) -> Summary:
    values = mapping.bare(connection, row)
    return _summary(values, sum(mapping.answered(connection, row["id"]).values()))


def _summary(values: dict[str, object], answered: int) -> Summary:
    fields = set(Summary.__slots__) - {"state", "answered"}
    known = {name: values[name] for name in fields}
    now = state(known["opened_at"], known["closed_at"], known["abandoned_at"])  # type: ignore[arg-type]
    return Summary(**known, state=now, answered=answered)  # type: ignore[arg-type]


def seats(engine: Engine, session_id: str) -> tuple[Seat, ...]:
    """The assessors of a session, and how many answers of each are in."""
    gone = select(schema.exclusion.c.seat).where(schema.exclusion.c.session_id == session_id)
    with reading(engine) as connection:
        plan: Plan = mapping.bare(connection, mapping.session_row(connection, session_id))["plan"]
        answered = mapping.answered(connection, session_id)
        excluded = set(connection.execute(gone).scalars())
        rows = mapping.seat_rows(connection, session_id)
    return tuple(
        Seat(
            number=seat["number"],
            assessor=seat["assessor"],
            answered=answered.get(seat["number"], 0),
            planned=plan.replicates,
            consented=seat["consented_at"] is not None,
            withdrawn=seat["withdrawn_at"] is not None,
            excluded=seat["number"] in excluded,
        )
        for seat in rows
    )


def erase_pseudonym(engine: Engine, assessor: str) -> int:
    """Replace a pseudonym everywhere by one that says nothing; all counts stay.

    Returns the number of sessions that it stood in. Raises NotFoundError when it is in none, and
    LifeCycleError while it is in a session that is open.
    """
    table = schema.seat
    with writing(engine) as connection:
        written = select(table).where(table.c.assessor == tidy(assessor))
        named = list(connection.execute(written).mappings())
        if not named:
            raise NotFoundError(f"no session has an assessor called {assessor!r}")
        for seat in named:
            if mapping.load(connection, seat["session_id"]).state == "open":
                raise LifeCycleError(f"{assessor!r} is in an open session; close it first")
            here = (table.c.session_id == seat["session_id"]) & (table.c.number == seat["number"])
            fresh = f"erased {secrets.token_hex(4)}"
            connection.execute(update(table).where(here).values(assessor=fresh))
        return len(named)
