"""Sessions as an assessor sees them: a ballot behind a link, and nothing else.

A link holds a token of 192 bits. The database keeps only its SHA-256, so a stolen database opens no
ballot; the host's browser computes the tokens anew from a secret that only the passphrase gives.
"""

import hmac
from base64 import urlsafe_b64encode
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, Connection, Engine, and_, func, insert, select, update

from tasting.errors import InputError, LifeCycleError, NotFoundError
from tasting.panel.care import amount
from tasting.panel.entries import Answer
from tasting.panel.plan import Plan
from tasting.panel.session import State, state
from tasting.records import checked
from tasting.store import limits, mapping, schema
from tasting.store.database import reading, write_together, writing
from tasting.store.seats import (
    Row,
    Upcoming,
    digest,
    given_in,
    next_set,
    place_in,
    seat_of,
    upcoming,
)

_ANSWER = insert(schema.answer)


@dataclass(frozen=True, slots=True)
class Ballot:
    """All that an assessor's browser learns. `codes` is empty when there is nothing to taste.

    reference: whether a cup labelled as the reference comes first
    position: for who tastes alone, the place of the cup that was chosen, until its code is typed
    rest_until: when the rest between two sets ends, by the clock of the answer before
    pause_seconds: how long the rest is; no rest is longer
    gets: how many cups in all, how much, and how much alcohol; told until consent is given
    liking: whether it asks for a preference, in which no answer is a guess
    """

    session_id: str
    state: State
    assessor: str
    question: str
    replicate: int
    planned: int
    codes: tuple[str, ...]
    choices: tuple[str, ...]
    reference: bool
    alone: bool
    position: int | None
    rest_until: datetime | None
    pause_seconds: int
    consented: bool
    withdrawn: bool
    spit: bool
    gets: str
    allergens: tuple[str, ...]
    alcohol_percent_vol: float
    liking: bool


def link_token(secret: bytes, session_id: str, seat: int, issue: int) -> str:
    """The token of a seat's link: HMAC-SHA-256 (RFC 2104), cut to 192 bits."""
    text = f"{session_id}|{seat}|{issue}".encode()
    return urlsafe_b64encode(hmac.digest(secret, text, "sha256")[:24]).decode()


def links(engine: Engine, session_id: str, secret: bytes) -> dict[str, str]:
    """The token of each assessor of an open session; they work from now on."""
    with writing(engine, session_id) as connection:
        _check_open(mapping.session_row(connection, session_id))
        tokens = {}
        for seat in mapping.seat_rows(connection, session_id):
            token = link_token(secret, session_id, seat["number"], seat["issue"])
            tokens[seat["assessor"]] = token
            if seat["token_hash"] != digest(token):
                change = update(schema.seat).where(_here(seat)).values(token_hash=digest(token))
                connection.execute(change)
        return tokens


def new_link(engine: Engine, session_id: str, seat: int, now: datetime) -> None:
    """Make the present link of a seat useless, and the next `links` a fresh one.

    Raises NotFoundError for a seat that is not there, LifeCycleError unless the session is open.
    """
    table = schema.seat
    here = (table.c.session_id == session_id) & (table.c.number == seat)
    with writing(engine, session_id) as connection:
        _check_open(mapping.session_row(connection, session_id))
        change = update(table).where(here).values(issue=table.c.issue + 1, token_hash=None)
        if not connection.execute(change).rowcount:
            raise NotFoundError(f"this session has no seat {seat}")
        mapping.note(connection, session_id, now, "link replaced", seat=seat)


def _check_open(row: Row) -> None:
    now = _state(row)
    if now != "open":
        raise LifeCycleError(f"this session is {now}; it takes no answers")


def _state(row: Row) -> State:
    return state(
        *(mapping.moment(row[name]) for name in ("opened_at", "closed_at", "abandoned_at"))
    )


def ballot(engine: Engine, token: str) -> Ballot:
    """What the assessor with this token is to taste next. Raises NotFoundError."""
    with reading(engine) as connection:
        seat = seat_of(connection, token)
        return _ballot(connection, seat, upcoming(seat))


def _ballot(connection: Connection, seat: Row, comes: Upcoming) -> Ballot:
    plan, now = mapping.plan_for_one(seat["plan"]), _state(seat)
    going = now == "open" and not seat["withdrawn_at"]
    codes = tuple((comes.codes or "").split()) if going else ()
    return Ballot(
        session_id=seat["session_id"],
        state=now,
        assessor=seat["assessor"],
        question=plan.question,
        replicate=comes.replicate if codes else plan.replicates,
        planned=plan.replicates,
        codes=codes,
        choices=plan.choices(codes) if codes else (),
        reference=plan.procedure.poured > plan.procedure.cups,
        alone=plan.alone,
        position=place_in(connection, seat, comes.replicate) if plan.alone and codes else None,
        rest_until=_rest_until(comes.given, plan) if codes else None,
        pause_seconds=plan.pause_seconds,
        consented=seat["consented_at"] is not None,
        withdrawn=seat["withdrawn_at"] is not None,
        spit=plan.spit,
        gets="" if seat["consented_at"] else amount(plan, limits.limits_in(connection).country),
        allergens=plan.allergens,
        alcohol_percent_vol=plan.alcohol_percent_vol,
        liking=plan.procedure.question_kind == "preference",
    )


def _rest_until(last: str | None, plan: Plan) -> datetime | None:
    given = mapping.moment(last) if plan.pause_seconds else None
    return given + timedelta(seconds=plan.pause_seconds) if given else None


def consent(engine: Engine, token: str, now: datetime) -> None:
    """Record that the assessor read what is in the samples and wants to taste."""
    _mark_once(engine, token, "consented_at", now, "consent given")


def withdraw(engine: Engine, token: str, now: datetime) -> None:
    """Record that the assessor stops; the answers already given stay."""
    _mark_once(engine, token, "withdrawn_at", now, "assessor withdrew")


def _about(engine: Engine, token: str) -> str:
    """The session of a token, whose writers wait for each other; on SQLite all do."""
    if engine.dialect.name == "sqlite":
        return ""
    with reading(engine) as connection:
        return str(seat_of(connection, token)["session_id"])


def _mark_once(engine: Engine, token: str, column: str, now: datetime, what: str) -> None:
    with writing(engine, _about(engine, token)) as connection:
        seat = seat_of(connection, token)
        if seat[column]:
            return
        change = update(schema.seat).where(_here(seat)).values({column: mapping.stamp(now)})
        connection.execute(change)
        mapping.note(connection, seat["session_id"], now, what, seat=seat["number"])


def _here(seat: Row) -> ColumnElement[bool]:
    own, number = schema.seat.c.session_id, schema.seat.c.number
    return and_(own == seat["session_id"], number == seat["number"])


def _tasting_seat(connection: Connection, token: str) -> Row:
    """The seat of somebody who still tastes in an open session. Raises as `answer_and_go_on`."""
    seat = seat_of(connection, token)
    _check_open(seat)
    if seat["withdrawn_at"]:
        raise LifeCycleError("you stopped this tasting; it takes no more of your answers")
    return seat


def record_position(engine: Engine, token: str, replicate: int, chosen: int, now: datetime) -> bool:
    """For who tastes alone: keep the place of the chosen cup before its code is looked at.

    Returns whether it was kept; the first one counts.
    """
    with writing(engine, _about(engine, token)) as connection:
        seat = _tasting_seat(connection, token)
        comes = upcoming(seat)
        if comes.codes is None or replicate != comes.replicate:
            return False
        if place_in(connection, seat, replicate) is not None:
            return False
        if not 1 <= chosen <= len(comes.codes.split()):
            raise InputError(f"there is no cup {chosen} in this set")
        place = {"session_id": seat["session_id"], "seat": seat["number"], "replicate": replicate}
        values = {"chosen": chosen, "given_at": mapping.stamp(now)}
        connection.execute(insert(schema.position).values(**place, **values))
        return True


def place_given(engine: Engine, token: str, replicate: int) -> int | None:
    """The place that was chosen in a set by who tastes alone, or None. Raises NotFoundError."""
    with reading(engine) as connection:
        return place_in(connection, seat_of(connection, token), replicate)


def answer_given(engine: Engine, token: str, replicate: int) -> Answer | None:
    """The first answer of this seat to a set, or None. Raises NotFoundError.

    Nobody but the holder of the seat's own link may be told of it.
    """
    with reading(engine) as connection:
        seat = seat_of(connection, token)
        row = given_in(connection, seat, replicate)
    if row is None:
        return None
    values = {name: row[name] for name in ("replicate", "choice", "sure", "remark", "given_at")}
    return checked(Answer, {"assessor": seat["assessor"], **values})


def answer_and_go_on(engine: Engine, token: str, given: dict[str, Any]) -> tuple[bool, Ballot]:
    """Keep an answer; the first one to a set counts, and sending it again changes nothing.

    `given` are the fields of an answer. Returns whether it was kept now, and what comes next on
    this seat. Raises NotFoundError for an unknown token, LifeCycleError when the session is not
    open or the assessor withdrew, InputError when that cannot be chosen or an earlier set is
    unanswered.
    """

    def answered(connection: Connection) -> tuple[bool, Ballot]:
        seat = _tasting_seat(connection, token)
        kept = _add_answer(connection, seat, seat["plan"], upcoming(seat), given)
        return kept is not None, _ballot(connection, seat, upcoming(seat, kept))

    return write_together(engine, _about(engine, token), answered)


def _add_answer(
    connection: Connection, seat: Row, kept: str, comes: Upcoming, given: dict[str, Any]
) -> str | None:
    """Keep an answer of a seat, unless the set has one; returns when it was given, as it is kept.

    kept: the plan of its session as kept; comes: the set that comes next on the seat
    """
    answer = checked(Answer, {"assessor": seat["assessor"], **given})
    if comes.codes is None or answer.replicate < comes.replicate:
        return None
    session_id, number = seat["session_id"], seat["number"]
    plan = mapping.plan_for_one(kept)
    offered = plan.choices(tuple(comes.codes.split()))
    if answer.replicate > comes.replicate or answer.choice not in offered:
        raise InputError(
            f"{answer.choice!r} cannot be chosen in set {comes.replicate}; look at the codes on "
            "the cups again"
        )
    if plan.alone and place_in(connection, seat, answer.replicate) is None:
        raise InputError("choose the place of a cup on the ballot before you look at its code")
    if plan.sequential:
        answer = _after_the_others(connection, session_id, answer)
    row = mapping.given_row(session_id, number, answer)
    connection.execute(_ANSWER, row)
    mapping.note(
        connection, session_id, answer.given_at, "answer", f"set {answer.replicate}", number
    )
    return str(row["given_at"])


def _after_the_others(connection: Connection, session_id: str, answer: Answer) -> Answer:
    """The answer, later than all others of its session, also if the clock was set back since.

    A sequential test looks at answers as they came, and what a look has told must not change.
    """
    table = schema.answer
    latest = select(func.max(table.c.given_at)).where(table.c.session_id == session_id)
    before = mapping.moment(connection.execute(latest).scalar())
    if before is None or answer.given_at > before:
        return answer
    return answer.model_copy(update={"given_at": before + timedelta(microseconds=1)})


def enter(
    connection: Connection,
    session_id: str,
    assessor: str,
    replicate: int,
    choice: str,
    now: datetime,
) -> None:
    """Keep an answer that was given on paper, typed in by the host, who is as blind as anyone.

    Raises NotFoundError for an unknown assessor, LifeCycleError and InputError as
    `answer_and_go_on`; InputError, too, when the set has an answer already: that is what amending
    is for.
    """
    session = mapping.session_row(connection, session_id)
    _check_open(session)
    seats = {row["assessor"]: row for row in mapping.seat_rows(connection, session_id)}
    if assessor not in seats:
        raise NotFoundError(f"this session has no assessor called {assessor!r}")
    if seats[assessor]["withdrawn_at"]:
        raise InputError(f"{assessor!r} stopped this tasting; it takes no more of their answers")
    comes = next_set(connection, seats[assessor])
    if comes.codes is None or replicate < comes.replicate:
        raise InputError(f"{assessor!r} answered set {replicate} already; amend it instead")
    if replicate > comes.replicate:
        raise InputError(f"set {comes.replicate} of {assessor!r} comes first; type that in")
    given = {"replicate": replicate, "choice": choice, "given_at": now}
    _add_answer(connection, seats[assessor], session["plan"], comes, given)
