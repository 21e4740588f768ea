"""Sessions in the database, and the one home of blindness.

The key of a session (its serving sets: which code is which sample) leaves this module in two places
only: `pour_sheet`, for whoever fills the cups, and `closed_session`, after closing. What the host
may see of an open session is `summary` and `seats`; what an assessor may see is `ballot`.
"""

import json
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from random import Random

from sqlalchemy import Connection, Engine, RowMapping, func, insert, select, update

from tasting.errors import InputError, LifeCycleError, NotFoundError, SealedError
from tasting.panel.serving import ServingSet
from tasting.panel.session import Answer, Plan, Sample, Session, State
from tasting.records import checked
from tasting.store import formulas
from tasting.store.database import reading, writing
from tasting.store.schema import answer, seat, serving_set, session, sheet_view


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
    answered: int


@dataclass(frozen=True, slots=True)
class Seat:
    """One assessor's place in a session: the token of their link, and how many answers are in."""

    assessor: str
    token: str
    answered: int
    planned: int


@dataclass(frozen=True, slots=True)
class Ballot:
    """All that an assessor's browser learns. `codes` is empty when there is nothing to taste."""

    session_id: str
    state: State
    assessor: str
    question: str
    replicate: int
    planned: int
    codes: tuple[str, ...]
    allergens: tuple[str, ...]
    alcohol_percent_vol: float


def plan_session(engine: Engine, planned: Session) -> None:
    """Keep a planned session. Raises InputError when its id is taken or a sample is unknown."""
    if planned.state != "planned":
        raise LifeCycleError(f"the session {planned.name!r} is {planned.state}, not planned")
    with writing(engine) as connection:
        insert_session(connection, planned)


def insert_session(connection: Connection, added: Session) -> None:
    """Keep a session of any state, inside a transaction; seats get fresh tokens."""
    for sample in (added.plan.a, added.plan.b):
        _check_known(connection, added, sample)
    if connection.execute(select(session.c.id).where(session.c.id == added.id)).first():
        raise InputError(f"a session is kept under the id {added.id!r} already")
    row = added.model_dump(
        mode="json", include={"id", "name", "purpose", "invented", "early_reason"}
    )
    times = {"planned_at": added.planned_at, "opened_at": added.opened_at}
    times["closed_at"] = added.closed_at
    plan = added.plan.model_dump_json()
    stamps = {name: _stamp(moment) for name, moment in times.items()}
    connection.execute(insert(session).values(**row, plan=plan, **stamps))
    _insert_sets(connection, added)
    for given in added.answers:
        _insert_answer(connection, added.id, given)


def _check_known(connection: Connection, added: Session, sample: Sample) -> None:
    if not formulas.known(connection, sample):
        raise InputError(
            f"the session {added.name!r} compares the {sample.kind} {sample.id!r}, "
            "which is not kept here; add it first"
        )


def _stamp(moment: datetime | None) -> str | None:
    return moment.astimezone(UTC).isoformat() if moment else None


def _insert_sets(connection: Connection, opened: Session) -> None:
    if not opened.sets:
        return
    seats = [
        {"session_id": opened.id, "assessor": who, "token": secrets.token_urlsafe(24)}
        for who in opened.plan.assessors
    ]
    connection.execute(insert(seat), seats)
    rows = [
        {
            "session_id": opened.id,
            "assessor": served.assessor,
            "replicate": served.replicate,
            "place": place,
            "serving_order": served.order,
            "codes": " ".join(served.codes),
        }
        for place, served in enumerate(opened.sets)
    ]
    connection.execute(insert(serving_set), rows)


def _insert_answer(connection: Connection, session_id: str, given: Answer) -> None:
    row = {**given.model_dump(mode="json"), "given_at": _stamp(given.given_at)}
    connection.execute(insert(answer).values(session_id=session_id, **row))


def open_session(
    engine: Engine, session_id: str, now: datetime, random: Random | None = None
) -> None:
    """Draw the serving plan from the operating system's random source, and seal it."""
    with writing(engine) as connection:
        opened = _load(connection, session_id).opened(now, random or secrets.SystemRandom())
        _insert_sets(connection, opened)
        mark = update(session).where(session.c.id == session_id)
        connection.execute(mark.values(opened_at=_stamp(opened.opened_at)))


def close_session(
    engine: Engine, session_id: str, now: datetime, early_reason: str = ""
) -> Session:
    """Close for ever, and unseal. Raises InputError if answers are missing without a reason."""
    with writing(engine) as connection:
        closed = _load(connection, session_id).closed(now, early_reason)
        mark = update(session).where(session.c.id == session_id)
        connection.execute(
            mark.values(closed_at=_stamp(closed.closed_at), early_reason=closed.early_reason)
        )
        return closed


def closed_session(engine: Engine, session_id: str) -> Session:
    """A closed session with its key and answers. Raises SealedError while it is not closed."""
    with reading(engine) as connection:
        found = _load(connection, session_id)
    if found.state != "closed":
        raise SealedError(f"the session {found.name!r} is {found.state}: sealed until it is closed")
    return found


def closed_sessions(engine: Engine) -> tuple[Session, ...]:
    """All closed sessions, oldest first."""
    with reading(engine) as connection:
        ids = connection.execute(
            select(session.c.id)
            .where(session.c.closed_at.is_not(None))
            .order_by(session.c.closed_at)
        )
        return tuple(_load(connection, session_id) for session_id in ids.scalars().all())


def planned_session(engine: Engine, session_id: str) -> Session:
    """A planned session, which has no key yet. Raises LifeCycleError once it is open."""
    with reading(engine) as connection:
        found = _load(connection, session_id)
    if found.state != "planned":
        raise LifeCycleError(f"the session {found.name!r} is {found.state}, not planned")
    return found


def pour_sheet(engine: Engine, session_id: str, now: datetime) -> Session:
    """The key of an open session, for whoever fills the cups; that it was looked at is recorded."""
    with writing(engine) as connection:
        found = _load(connection, session_id)
        if found.state != "open":
            raise LifeCycleError(f"the session {found.name!r} is {found.state}; nothing to pour")
        connection.execute(insert(sheet_view).values(session_id=session_id, seen_at=_stamp(now)))
        return found.model_copy(update={"answers": ()})


def sheet_views(engine: Engine, session_id: str) -> tuple[datetime, ...]:
    """When the pour sheet of a session was looked at."""
    seen = select(sheet_view.c.seen_at).where(sheet_view.c.session_id == session_id)
    with reading(engine) as connection:
        return tuple(map(datetime.fromisoformat, connection.execute(seen).scalars()))


def summaries(engine: Engine) -> tuple[Summary, ...]:
    """Every session, newest plan first, without a word of any key."""
    with reading(engine) as connection:
        rows = connection.execute(select(session).order_by(session.c.planned_at.desc())).mappings()
        counts = connection.execute(
            select(answer.c.session_id, func.count()).group_by(answer.c.session_id)
        )
        answered = {session_id: count for session_id, count in counts}
        return tuple(_summary(row, answered.get(row["id"], 0)) for row in rows)


def summary(engine: Engine, session_id: str) -> Summary:
    """One session, sealed or not. Raises NotFoundError."""
    with reading(engine) as connection:
        count = select(func.count()).select_from(answer).where(answer.c.session_id == session_id)
        return _summary(_row(connection, session_id), connection.execute(count).scalar_one())


def _summary(row: RowMapping, answered: int) -> Summary:
    bare = _bare(row)
    fields = ("id", "name", "purpose", "invented", "planned_at", "opened_at", "closed_at")
    known = {name: bare[name] for name in fields}
    state = "closed" if bare["closed_at"] else "open" if bare["opened_at"] else "planned"
    return Summary(**known, plan=bare["plan"], state=state, answered=answered)  # type: ignore[arg-type]


def seats(engine: Engine, session_id: str) -> tuple[Seat, ...]:
    """The assessors of an open session with their links, and how many answers of each are in."""
    with reading(engine) as connection:
        plan: Plan = _bare(_row(connection, session_id))["plan"]  # type: ignore[assignment]
        tokens = connection.execute(
            select(seat.c.assessor, seat.c.token).where(seat.c.session_id == session_id)
        )
        token_of = {who: token for who, token in tokens}
        counts = connection.execute(
            select(answer.c.assessor, func.count())
            .where(answer.c.session_id == session_id)
            .group_by(answer.c.assessor)
        )
        answered = {who: count for who, count in counts}
    return tuple(
        Seat(who, token_of[who], answered.get(who, 0), plan.replicates)
        for who in plan.assessors
        if who in token_of
    )


def ballot(engine: Engine, token: str) -> Ballot:
    """What the assessor with this token is to taste next. Raises NotFoundError."""
    with reading(engine) as connection:
        session_id, who = _seat_of(connection, token)
        row = _bare(_row(connection, session_id))
        upcoming = _next_set(connection, session_id, who) if not row["closed_at"] else None
    plan: Plan = row["plan"]  # type: ignore[assignment]
    return Ballot(
        session_id=session_id,
        state="closed" if row["closed_at"] else "open",
        assessor=who,
        question=plan.question,
        replicate=upcoming.replicate if upcoming else plan.replicates,
        planned=plan.replicates,
        codes=upcoming.codes if upcoming else (),
        allergens=plan.allergens,
        alcohol_percent_vol=plan.alcohol_percent_vol,
    )


def record_answer(
    engine: Engine, token: str, replicate: int, code: str, remark: str, now: datetime
) -> None:
    """Keep an answer; the first one to a set counts, and sending it again changes nothing.

    Raises NotFoundError for an unknown token, LifeCycleError when the session is closed, InputError
    when the code is not in the set or an earlier set is unanswered.
    """
    with writing(engine) as connection:
        session_id, who = _seat_of(connection, token)
        if _row(connection, session_id)["closed_at"]:
            raise LifeCycleError("this session is closed; it takes no more answers")
        upcoming = _next_set(connection, session_id, who)
        if upcoming is None or replicate < upcoming.replicate:
            return
        if replicate > upcoming.replicate or code not in upcoming.codes:
            raise InputError(
                f"code {code} is not in set {upcoming.replicate}; look at the cups again"
            )
        values = {"assessor": who, "replicate": replicate, "code": code, "remark": remark}
        _insert_answer(connection, session_id, checked(Answer, {**values, "given_at": now}))


def _seat_of(connection: Connection, token: str) -> tuple[str, str]:
    found = select(seat.c.session_id, seat.c.assessor).where(seat.c.token == token)
    row = connection.execute(found).first()
    if row is None:
        raise NotFoundError("this link is not known; ask the host for yours")
    return row.session_id, row.assessor


def _next_set(connection: Connection, session_id: str, who: str) -> ServingSet | None:
    given = select(func.count()).select_from(answer)
    given = given.where(answer.c.session_id == session_id, answer.c.assessor == who)
    replicate = connection.execute(given).scalar_one() + 1
    sets = _sets(connection, session_id, who)
    return next((served for served in sets if served.replicate == replicate), None)


def _sets(connection: Connection, session_id: str, who: str | None = None) -> Iterable[ServingSet]:
    wanted = select(serving_set).where(serving_set.c.session_id == session_id)
    if who is not None:
        wanted = wanted.where(serving_set.c.assessor == who)
    for row in connection.execute(wanted.order_by(serving_set.c.place)).mappings():
        yield ServingSet(
            assessor=row["assessor"],
            replicate=row["replicate"],
            order=row["serving_order"],
            codes=tuple(row["codes"].split()),
        )


def _row(connection: Connection, session_id: str) -> RowMapping:
    found = connection.execute(select(session).where(session.c.id == session_id)).mappings().first()
    if found is None:
        raise NotFoundError(f"no session is kept under the id {session_id!r}")
    return found


def _bare(row: RowMapping) -> dict[str, object]:
    """The session's own row as values, without sets and answers."""
    times = ("planned_at", "opened_at", "closed_at")
    moments = {name: datetime.fromisoformat(row[name]) if row[name] else None for name in times}
    return {**row, **moments, "plan": Plan.model_validate(json.loads(row["plan"]))}


def _load(connection: Connection, session_id: str) -> Session:
    bare = _bare(_row(connection, session_id))
    order = (answer.c.given_at, answer.c.assessor, answer.c.replicate)
    given = select(answer).where(answer.c.session_id == session_id).order_by(*order)
    answers = tuple(
        Answer.model_validate({name: value for name, value in row.items() if name != "session_id"})
        for row in connection.execute(given).mappings()
    )
    sets = tuple(_sets(connection, session_id))
    return Session.model_validate({**bare, "sets": sets, "answers": answers})
