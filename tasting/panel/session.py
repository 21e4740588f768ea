"""A session: its plan, its sealed serving sets, its answers, and its life until it is closed.

What has to hold between its parts, however it came here, is checked at the end.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime
from itertools import accumulate
from random import Random
from typing import Any, Literal, Self

from pydantic import model_validator

from tasting.errors import InputError, LifeCycleError
from tasting.panel.entries import Amendment, Answer, Event, Exclusion
from tasting.panel.plan import Plan
from tasting.panel.seal import fingerprint, new_salt
from tasting.panel.serving import ServingSet, serving_plan
from tasting.records import Id, Moment, Name, Note, Record, checked
from tasting.stats import sequential
from tasting.stats.sequential import EACH, Decision, Looks, Run
from tasting.wording import many

POUR_SHEET_SHOWN, TO = "pour sheet shown", "to "
"""The event of who saw the key of an open session, and what stands before their name."""

State = Literal["planned", "open", "closed", "abandoned"]


class Session(Record):
    """One blind comparison of two samples by a panel.

    sets, salt: the key, and what was mixed into its fingerprint; store.sessions guards them
    sealed: the fingerprint that was published at opening
    """

    id: Id
    name: Name
    purpose: Note = ""
    invented: Note = ""
    plan: Plan
    planned_at: Moment
    opened_at: Moment | None = None
    closed_at: Moment | None = None
    early_reason: Note = ""
    abandoned_at: Moment | None = None
    abandoned_reason: Note = ""
    sealed: str = ""
    salt: str = ""
    sets: tuple[ServingSet, ...] = ()
    answers: tuple[Answer, ...] = ()
    amendments: tuple[Amendment, ...] = ()
    exclusions: tuple[Exclusion, ...] = ()
    events: tuple[Event, ...] = ()

    @property
    def state(self) -> State:
        """planned, open, closed or abandoned."""
        return state(self.opened_at, self.closed_at, self.abandoned_at)

    @property
    def early(self) -> bool:
        """Whether it was closed before all planned answers were in."""
        return self.state == "closed" and len(self.answers) < self.plan.tastings

    @property
    def decided(self) -> bool:
        """Whether a sequential test has decided at a look: all that may be told of an open session.

        It rests on the answers as first given. If a correction or an exclusion could change it,
        trying each choice in turn would find the one that counts.
        """
        return self.told_after is not None

    @property
    def told_after(self) -> int | None:
        """After how many answers, as first given, it was told that the test had decided."""
        if not self.plan.sequential or not self.sets:
            return None
        run = self._run(self.first_given)
        if run.decision is Decision.GO_ON:
            return None
        told = self.plan.looks_told.following(run.n - 1)
        return told if told <= len(self.answers) else None

    @property
    def counted_looks(self) -> Looks:
        """The looks of the plan, in numbers of answers that count: without excluded assessors."""
        planned, gone = self.plan.design.looks, {one.assessor for one in self.exclusions}
        if planned == EACH or not gone:
            return planned
        counted = accumulate(one.assessor not in gone for one in self.first_given)
        at = {n: None for place, n in enumerate(counted, 1) if n and planned.include(place)}
        return Looks(tuple(at), planned.every) if at else planned

    def _run(self, answers: Iterable[Answer]) -> Run:
        """The sequential test on these answers."""
        sets, plan = self.served, self.plan
        right = (plan.is_counted(sets[one.assessor, one.replicate], one.choice) for one in answers)
        return sequential.run(plan.design.wald_test, right)

    @property
    def first_given(self) -> tuple[Answer, ...]:
        """All answers in the order in which they came, as they were first given."""
        return tuple(sorted(self.answers, key=lambda one: one.given_at))

    @property
    def tasting_pourers(self) -> tuple[str, ...]:
        """Who was shown the pour sheet under the name of an assessor, and did not taste alone."""
        if self.plan.alone:
            return ()
        readers = (one.detail[len(TO) :] for one in self.events if one.what == POUR_SHEET_SHOWN)
        named = [who for who in readers if named_like(who, self.plan.assessors)]
        return tuple(dict.fromkeys(named))

    @property
    def counted_answers(self) -> tuple[Answer, ...]:
        """The answers that count, as they came: corrected, without excluded assessors."""
        latest = {(change.assessor, change.replicate): change.choice for change in self.amendments}
        excluded = {exclusion.assessor for exclusion in self.exclusions}
        return tuple(
            given.model_copy(
                update={"choice": latest.get((given.assessor, given.replicate), given.choice)}
            )
            for given in self.first_given
            if given.assessor not in excluded
        )

    @property
    def served(self) -> Mapping[tuple[str, int], ServingSet]:
        """The sets by assessor and replicate."""
        return {(served.assessor, served.replicate): served for served in self.sets}

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        _check_session(self)
        return self

    def opened(self, now: datetime, random: Random, salt: str | None = None) -> "Session":
        """The same session, open: its serving plan drawn, fixed and sealed with a fresh salt."""
        if self.state != "planned":
            raise LifeCycleError(f"the session {self.name!r} was opened already")
        plan, salt = self.plan, salt or new_salt()
        sets = serving_plan(plan.procedure, plan.assessors, plan.replicates, random)
        sealed = fingerprint(self.id, plan, sets, salt)
        return self._with(opened_at=now, sets=sets, salt=salt, sealed=sealed)

    def closed(self, now: datetime, early_reason: str = "") -> "Session":
        """The same session, closed for ever.

        Raises InputError if answers are missing without a reason; a sequential test that has
        decided needs none.
        """
        if self.state != "open":
            raise LifeCycleError(
                f"the session {self.name!r} is {self.state}, so it cannot be closed"
            )
        missing = self.plan.tastings - len(self.answers)
        if missing and not early_reason.strip() and not self.decided:
            raise InputError(
                f"{many(missing, 'answer is', 'answers are')} missing; to close early, say why"
            )
        return self._with(closed_at=now, early_reason=early_reason if missing else "")

    def abandoned(self, now: datetime, reason: str) -> "Session":
        """The same session, given up before it was closed; it stays on record."""
        if self.state not in ("planned", "open"):
            raise LifeCycleError(f"the session {self.name!r} is {self.state} already")
        if not reason.strip():
            raise InputError("to abandon a session, say why")
        return self._with(abandoned_at=now, abandoned_reason=reason)

    def _with(self, **changes: Any) -> "Session":
        return checked(Session, {**dict(self), **changes})


def named_like(called: str, assessors: Iterable[str]) -> bool:
    """Whether somebody who called themselves so goes by the name of one of these assessors."""
    plain = {"".join(one.casefold().split()) for one in assessors}
    return "".join(called.casefold().split()) in plain


def state(
    opened_at: datetime | None, closed_at: datetime | None, abandoned_at: datetime | None
) -> State:
    """The state that these moments make."""
    if abandoned_at:
        return "abandoned"
    if closed_at:
        return "closed"
    return "open" if opened_at else "planned"


def _check_session(session: Session) -> None:
    """Raises InputError with one sentence for the first thing that does not fit."""
    _check_times(session)
    _check_sets(session)
    _check_seal(session)
    _check_answers(session)
    _check_corrections(session)
    _check_looks(session.plan)
    if session.early and not session.early_reason and not _had_decided(session):
        raise InputError("it was closed early; early_reason has to say why")
    if session.abandoned_at and not session.abandoned_reason:
        raise InputError("it was abandoned; abandoned_reason has to say why")


def _check_looks(plan: Plan) -> None:
    if plan.first_look > plan.tastings:
        raise InputError(
            f"the first look comes after {plan.first_look} answers, but {plan.tastings} are "
            "planned; plan more tastings or an earlier look"
        )


def _had_decided(session: Session) -> bool:
    """Whether a sequential test could be closed early without a reason.

    Before looks were fixed, the answers that count decided, after any of them.
    """
    if session.plan.first_look or not session.plan.sequential:
        return session.decided
    runs = map(session._run, (session.first_given, session.counted_answers))
    return any(run.decision is not Decision.GO_ON for run in runs)


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
    keys = [(served.assessor, served.replicate) for served in session.sets]
    wanted = {(who, turn + 1) for who in plan.assessors for turn in range(plan.replicates)}
    if not session.opened_at or _withheld(session):
        wanted = set()
    if len(keys) != len(wanted) or set(keys) != wanted:
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
        key = (answer.assessor, answer.replicate)
        where = f"answer of assessor {answer.assessor!r} to set {answer.replicate}"
        _check_choice(session.plan, sets.get(key), answer.choice, where)
        if key in seen:
            raise InputError(f"{where}: it appears twice")
        seen.add(key)


def _check_choice(plan: Plan, served: ServingSet | None, choice: str, where: str) -> None:
    if served is None:
        raise InputError(f"{where}: there is no such set")
    if choice not in plan.choices(served.codes):
        raise InputError(f"{where}: {choice!r} cannot be chosen there")


def _check_corrections(session: Session) -> None:
    answered = {(answer.assessor, answer.replicate) for answer in session.answers}
    for change in session.amendments:
        key = (change.assessor, change.replicate)
        where = f"amendment for assessor {change.assessor!r}, set {change.replicate}"
        if key not in answered:
            raise InputError(f"{where}: there is no answer to amend")
        _check_choice(session.plan, session.served.get(key), change.choice, where)
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
