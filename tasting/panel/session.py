"""A session: its plan, its sealed serving sets, its answers, and its life until it is closed."""

from collections import Counter
from datetime import datetime
from random import Random
from typing import Annotated, Literal, Self

from pydantic import Field, field_validator, model_validator

from tasting.errors import InputError, LifeCycleError
from tasting.panel.methods import Method, method_named
from tasting.panel.serving import CODES, ServingSet, serving_plan
from tasting.records import Id, Moment, Name, Note, Record

Letter = Literal["A", "B"]
State = Literal["planned", "open", "closed"]


class Sample(Record):
    """What is compared: a version of a formula, or a reference, pointed to by id for ever."""

    kind: Literal["version", "reference"]
    id: Id
    name: Name


class Plan(Record):
    """What is fixed before the first answer.

    attribute: for a paired comparison, what the question asks: "more sour"
    expected: the sample that is expected to be chosen, if that was fixed beforehand: one-sided
    alpha: risk of finding a difference that is not there
    p_d, beta: the proportion of distinguishers not to be missed, and the risk of missing it
    serving_ml: volume in one cup
    allergens, alcohol_percent_vol: of both samples together, as the ballot shows them
    """

    method: str
    a: Sample
    b: Sample
    attribute: Annotated[str, Field(max_length=40)] = ""
    expected: Letter | None = None
    alpha: Annotated[float, Field(gt=0, lt=0.5)] = 0.05
    p_d: Annotated[float, Field(gt=0, lt=1)] = 0.3
    beta: Annotated[float, Field(gt=0, lt=0.5)] = 0.2
    assessors: tuple[Name, ...]
    replicates: Annotated[int, Field(ge=1, le=20)] = 1
    serving_ml: Annotated[float, Field(gt=0, le=500)] = 30.0
    allergens: tuple[Name, ...] = ()
    alcohol_percent_vol: Annotated[float, Field(ge=0, le=100)] = 0.0

    @field_validator("method")
    @classmethod
    def _known(cls, value: str) -> str:
        return method_named(value).key

    @field_validator("assessors")
    @classmethod
    def _each_once(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        if not 1 <= len(value) <= 500:
            raise InputError("a session needs 1 to 500 assessors; list a pseudonym for each")
        twice = [name for name, count in Counter(map(str.casefold, value)).items() if count > 1]
        if twice:
            raise InputError(
                f"assessor {twice[0]!r} is listed twice; give each their own pseudonym"
            )
        return value

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        if (self.a.kind, self.a.id) == (self.b.kind, self.b.id):
            raise InputError("samples A and B are the same drink; choose two different ones")
        self.procedure.check_question(self.attribute, self.expected)
        if self.replicates * self.procedure.cups > len(CODES):
            raise InputError("too many cups for one assessor's three-digit codes; plan fewer sets")
        return self

    @property
    def procedure(self) -> Method:
        """The method itself."""
        return method_named(self.method)

    @property
    def sides(self) -> int:
        """1 when the direction is fixed beforehand (always so for a difference test), else 2."""
        return self.procedure.sides(direction_fixed=self.expected is not None)

    @property
    def tastings(self) -> int:
        """The number of sets that are to be answered."""
        return len(self.assessors) * self.replicates

    @property
    def question(self) -> str:
        """The question on the ballot."""
        return self.procedure.question.format(attribute=self.attribute)

    def counts(self, served: ServingSet, code: str) -> bool:
        """Whether choosing this code counts towards the number that is tested.

        A difference test counts correct choices, the others count choices of the expected
        sample, or of B where none is expected.
        """
        counted = self.procedure.counts(served.order, served.codes.index(code))
        return counted != (self.expected == "A")


class Answer(Record):
    """The code that an assessor chose in one set; added once, never changed."""

    assessor: Name
    replicate: Annotated[int, Field(ge=1)]
    code: Annotated[str, Field(pattern=r"^[0-9]{3}$")]
    remark: Note = ""
    given_at: Moment


class Session(Record):
    """One blind comparison of two samples by a panel. Its key is `sets`; see store.sessions."""

    id: Id
    name: Name
    purpose: Note = ""
    invented: Note = ""
    plan: Plan
    planned_at: Moment
    opened_at: Moment | None = None
    closed_at: Moment | None = None
    early_reason: Note = ""
    sets: tuple[ServingSet, ...] = ()
    answers: tuple[Answer, ...] = ()

    @property
    def state(self) -> State:
        """planned, open or closed."""
        if self.closed_at:
            return "closed"
        return "open" if self.opened_at else "planned"

    @property
    def early(self) -> bool:
        """Whether it was closed before all planned answers were in."""
        return self.state == "closed" and len(self.answers) < self.plan.tastings

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        _check_times(self)
        _check_sets(self)
        _check_answers(self)
        if self.early and not self.early_reason:
            raise InputError("it was closed early; early_reason has to say why")
        return self

    def opened(self, now: datetime, random: Random) -> "Session":
        """The same session, open: its serving plan drawn and fixed."""
        if self.state != "planned":
            raise LifeCycleError(f"the session {self.name!r} was opened already")
        plan = self.plan
        sets = serving_plan(plan.procedure, plan.assessors, plan.replicates, random)
        return Session.model_validate({**dict(self), "opened_at": now, "sets": sets})

    def closed(self, now: datetime, early_reason: str = "") -> "Session":
        """The same session, closed for ever. Raises InputError if it is early without a reason."""
        if self.state != "open":
            raise LifeCycleError(
                f"the session {self.name!r} is {self.state}, so it cannot be closed"
            )
        if len(self.answers) == self.plan.tastings:
            early_reason = ""
        elif not early_reason.strip():
            missing = self.plan.tastings - len(self.answers)
            raise InputError(f"{missing} answers are missing; to close early, say why")
        return Session.model_validate(
            {**dict(self), "closed_at": now, "early_reason": early_reason}
        )


def _check_times(session: Session) -> None:
    times = [session.planned_at, session.opened_at, session.closed_at]
    known = [moment for moment in times if moment]
    if session.closed_at and not session.opened_at:
        raise InputError("it is closed but was never opened; give opened_at")
    if known != sorted(known):
        raise InputError("planned_at, opened_at and closed_at have to be in this order")


def _check_sets(session: Session) -> None:
    plan = session.plan
    places = [(served.assessor, served.replicate) for served in session.sets]
    wanted = {(who, turn + 1) for who in plan.assessors for turn in range(plan.replicates)}
    if session.state == "planned":
        wanted = set()
    if len(places) != len(wanted) or set(places) != wanted:
        raise InputError(
            "its sets do not fit its plan: one for each assessor and replicate once open"
        )
    for served in session.sets:
        _check_set(plan.procedure, served)
    for who in plan.assessors:
        codes = [code for served in session.sets if served.assessor == who for code in served.codes]
        if len(codes) != len(set(codes)):
            raise InputError(f"a code occurs twice for assessor {who!r}; each cup needs its own")


def _check_set(method: Method, served: ServingSet) -> None:
    where = f"set {served.replicate} of assessor {served.assessor!r}"
    if served.order not in method.orders:
        raise InputError(f"{where}: {served.order!r} is not a serving order of {method.key}")
    if len(served.codes) != method.cups or not all(map(_three_digits, served.codes)):
        raise InputError(f"{where}: it needs {method.cups} three-digit codes")


def _three_digits(code: str) -> bool:
    return len(code) == 3 and code.isascii() and code.isdigit()


def _check_answers(session: Session) -> None:
    sets = {(served.assessor, served.replicate): served for served in session.sets}
    seen = set()
    for answer in session.answers:
        place = (answer.assessor, answer.replicate)
        where = f"answer of assessor {answer.assessor!r} to set {answer.replicate}"
        if place not in sets:
            raise InputError(f"{where}: there is no such set")
        if answer.code not in sets[place].codes:
            raise InputError(f"{where}: no cup of it has the code {answer.code}")
        if place in seen:
            raise InputError(f"{where}: it is there twice")
        seen.add(place)
