"""What has to hold between the parts of a session, however it came here: one check a function."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tasting.errors import InputError
from tasting.panel.seal import fingerprint

if TYPE_CHECKING:
    from tasting.panel.plan import Plan
    from tasting.panel.serving import ServingSet
    from tasting.panel.session import Amendment, Exclusion, Session


def check_session(session: Session) -> None:
    """Raises InputError with one sentence for the first thing that does not fit."""
    _check_times(session)
    _check_sets(session)
    _check_seal(session)
    _check_answers(session)
    _check_corrections(session)
    if session.early and not session.early_reason and not session.decided:
        raise InputError("it was closed early; early_reason has to say why")
    if session.abandoned_at and not session.abandoned_reason:
        raise InputError("it was abandoned; abandoned_reason has to say why")


def _check_times(session: Session) -> None:
    ended = session.closed_at or session.abandoned_at
    known = [moment for moment in (session.planned_at, session.opened_at, ended) if moment]
    if session.closed_at and not session.opened_at:
        raise InputError("it is closed but was never opened; give opened_at")
    if session.closed_at and session.abandoned_at:
        raise InputError("it is both closed and abandoned; it can only be one of them")
    if known != sorted(known):
        raise InputError("planned_at, opened_at and closed_at have to be in this order")


def _check_sets(session: Session) -> None:
    plan = session.plan
    places = [(served.assessor, served.replicate) for served in session.sets]
    wanted = {(who, turn + 1) for who in plan.assessors for turn in range(plan.replicates)}
    if not session.opened_at or _withheld(session):
        wanted = set()
    if len(places) != len(wanted) or set(places) != wanted:
        raise InputError(
            "its sets do not fit its plan: one for each assessor and replicate once open"
        )
    for served in session.sets:
        _check_set(plan, served)
    for who in plan.assessors:
        codes = [code for served in session.sets if served.assessor == who for code in served.codes]
        if len(codes) != len(set(codes)):
            raise InputError(f"a code occurs twice for assessor {who!r}; each cup needs its own")


def _withheld(session: Session) -> bool:
    """Whether the key stays sealed for ever, as it does when a session was abandoned."""
    return session.abandoned_at is not None and not session.sets


def _check_set(plan: Plan, served: ServingSet) -> None:
    method = plan.procedure
    where = f"set {served.replicate} of assessor {served.assessor!r}"
    if served.order not in method.orders:
        raise InputError(f"{where}: {served.order!r} is not a serving order of {method.key}")
    if len(served.codes) != method.cups or not all(map(_three_digits, served.codes)):
        raise InputError(f"{where}: it needs {method.cups} three-digit codes")


def _three_digits(code: str) -> bool:
    return len(code) == 3 and code.isascii() and code.isdigit()


def _check_seal(session: Session) -> None:
    if bool(session.opened_at) != bool(session.sealed):
        raise InputError("a session has a seal once it was opened, and not before")
    if not session.opened_at or _withheld(session):
        return
    if fingerprint(session.id, session.plan, session.sets, session.salt) != session.sealed:
        raise InputError(
            "the seal does not fit: the plan or the key was changed after the session was opened"
        )


def _check_answers(session: Session) -> None:
    seen, sets = set[tuple[str, int]](), session.served
    for answer in session.answers:
        place = (answer.assessor, answer.replicate)
        where = f"answer of assessor {answer.assessor!r} to set {answer.replicate}"
        _check_choice(session.plan, sets.get(place), answer.choice, where)
        if place in seen:
            raise InputError(f"{where}: it is there twice")
        seen.add(place)


def _check_choice(plan: Plan, served: ServingSet | None, choice: str, where: str) -> None:
    if served is None:
        raise InputError(f"{where}: there is no such set")
    if choice not in plan.choices(served.codes):
        raise InputError(f"{where}: {choice!r} cannot be chosen there")


def _check_corrections(session: Session) -> None:
    answered = {(answer.assessor, answer.replicate) for answer in session.answers}
    for change in session.amendments:
        place = (change.assessor, change.replicate)
        where = f"amendment for assessor {change.assessor!r}, set {change.replicate}"
        if place not in answered:
            raise InputError(f"{where}: there is no answer to amend")
        _check_choice(session.plan, session.served.get(place), change.choice, where)
    for exclusion in session.exclusions:
        if exclusion.assessor not in session.plan.assessors:
            raise InputError(f"exclusion of {exclusion.assessor!r}: there is no such assessor")
    _check_before_unblinding(session)


def _check_before_unblinding(session: Session) -> None:
    if not session.closed_at:
        return
    changes: list[Amendment | Exclusion] = [*session.amendments, *session.exclusions]
    if any(change.made_at > session.closed_at for change in changes):
        raise InputError("amendments and exclusions are made before closing, not after it")
