"""A session: its plan, its sealed serving sets, its answers, and its life until it is closed."""

from collections.abc import Mapping
from datetime import datetime
from random import Random
from typing import Annotated, Any, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from tasting.errors import InputError, LifeCycleError
from tasting.panel.consistency import check_session
from tasting.panel.plan import Plan
from tasting.panel.seal import fingerprint, new_salt
from tasting.panel.serving import ServingSet, serving_plan
from tasting.records import Id, Moment, Name, Note, Record, Tidy, checked
from tasting.stats import sequential

State = Literal["planned", "open", "closed", "abandoned"]
Choice = Annotated[str, Field(min_length=1, max_length=40)]
Reason = Annotated[Note, Field(min_length=1)]
Detail = Annotated[str, StringConstraints(strip_whitespace=True, max_length=2500), Tidy]
# Longer than a reason, because it says whose and of which set as well.
Replicate = Annotated[int, Field(ge=1)]


class Answer(Record):
    """What an assessor chose in one set: a code, codes joined by "+", or words; added once."""

    assessor: Name
    replicate: Replicate
    choice: Choice
    sure: bool | None = None
    remark: Note = ""
    given_at: Moment


class Amendment(Record):
    """A correction of a wrongly entered answer, made before unblinding; both stay on record."""

    assessor: Name
    replicate: Replicate
    choice: Choice
    reason: Reason
    made_at: Moment


class Exclusion(Record):
    """An assessor whose answers do not count, decided before unblinding."""

    assessor: Name
    reason: Reason
    made_at: Moment


class Event(Record):
    """Something that happened to a session."""

    at: Moment
    what: Name
    detail: Detail = ""


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
        """Whether a sequential test has decided, and would tell that either way.

        After very few answers only one of the two decisions is possible; as long as that is so,
        it is not said that one has fallen, because that would say which.
        """
        if not self.plan.sequential or not self.sets:
            return False
        test, sets = self.plan.wald_test, self.served
        right = [
            self.plan.counts(sets[one.assessor, one.replicate], one.choice)
            for one in self.counted_answers
        ]
        if len(right) < max(test.least_tastings()):
            return False
        return sequential.run(test, right).decision is not sequential.Decision.GO_ON

    @property
    def counted_answers(self) -> tuple[Answer, ...]:
        """The answers that count, as they came: corrected, without excluded assessors."""
        latest = {(change.assessor, change.replicate): change.choice for change in self.amendments}
        excluded = {exclusion.assessor for exclusion in self.exclusions}
        return tuple(
            given.model_copy(
                update={"choice": latest.get((given.assessor, given.replicate), given.choice)}
            )
            for given in sorted(self.answers, key=lambda one: one.given_at)
            if given.assessor not in excluded
        )

    @property
    def served(self) -> Mapping[tuple[str, int], ServingSet]:
        """The sets by assessor and replicate."""
        return {(served.assessor, served.replicate): served for served in self.sets}

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        check_session(self)
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
            raise InputError(f"{missing} answers are missing; to close early, say why")
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


def state(
    opened_at: datetime | None, closed_at: datetime | None, abandoned_at: datetime | None
) -> State:
    """The state that these moments make."""
    if abandoned_at:
        return "abandoned"
    if closed_at:
        return "closed"
    return "open" if opened_at else "planned"
