"""What is fixed before the first answer."""

from collections import Counter
from datetime import date, time
from typing import Annotated, Literal, Self

from pydantic import Field, field_validator, model_validator

from tasting.errors import InputError
from tasting.panel.conduct import Conduct
from tasting.panel.design import Aim, Letter, TestDesign
from tasting.panel.methods import Method, Option, method_named
from tasting.panel.serving import CODES, ServingSet
from tasting.records import Id, Name, OneLine, Record
from tasting.stats.looks import balanced_looks
from tasting.stats.sequential import EACH, Looks

NO_PREFERENCE = "no preference"
JOIN = "+"


class Sample(Record):
    """What is compared: a version of a formula, or a reference, pointed to by id for ever."""

    kind: Literal["version", "reference"]
    id: Id
    name: Name


class Plan(Record):
    """The plan of a session.

    attribute: for a method that asks for a direction, what it asks: "more sour"
    expected: the sample that is expected to be chosen, if that was fixed beforehand: one-sided
    aim: to show a difference, or to show that fewer than the share p_d notice one
    sequential: whether Wald's test decides when there are enough answers
    first_look, look_every: after how many answers a sequential test first looks whether it has
        decided, and after how many more again; 0 in plans made before looks were fixed, whose test
        decides after any answer
    no_preference: whether "no preference" may be answered
    alpha: risk of finding a difference that is not there
    p_d, beta: the proportion of distinguishers not to be missed, and the risk of missing it
    serving_ml: volume in one cup
    serving_celsius, minutes_open: at which temperature, and how long after opening, to serve
    pause_seconds: rest between two sets
    spit: whether the assessors are asked to spit
    alone: whether one person tastes without a helper and enters the codes under the cups afterwards
    allergens, alcohol_percent_vol: of both samples together, as the ballot shows them
    taste_on, taste_at: the day and the time for which it is planned, by the clock of the place
    conduct: what a report of the test must name beside its design, where it is known
    """

    method: str
    a: Sample
    b: Sample
    attribute: Annotated[str, Field(max_length=40), OneLine] = ""
    expected: Letter | None = None
    aim: Aim = "difference"
    sequential: bool = False
    first_look: Annotated[int, Field(ge=0, le=10_000)] = 0
    look_every: Annotated[int, Field(ge=0, le=10_000)] = 0
    no_preference: bool = False
    alpha: Annotated[float, Field(gt=0, lt=0.5)] = 0.05
    p_d: Annotated[float, Field(gt=0, lt=1)] = 0.3
    beta: Annotated[float, Field(gt=0, lt=0.5)] = 0.2
    assessors: tuple[Name, ...]
    replicates: Annotated[int, Field(ge=1, le=20)] = 1
    serving_ml: Annotated[float, Field(gt=0, le=500)] = 30.0
    serving_celsius: Annotated[float, Field(ge=-5, le=80)] | None = None
    minutes_open: Annotated[int, Field(ge=1, le=240)] | None = None
    pause_seconds: Annotated[int, Field(ge=0, le=900)] = 0
    spit: bool = False
    alone: bool = False
    allergens: tuple[Name, ...] = ()
    alcohol_percent_vol: Annotated[float, Field(ge=0, le=100)] = 0.0
    taste_on: date | None = None
    taste_at: time | None = None
    conduct: Conduct | None = None

    @field_validator("method")
    @classmethod
    def _known(cls, value: str) -> str:
        return method_named(value).key

    @field_validator("assessors")
    @classmethod
    def _each_once(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        if not 1 <= len(value) <= 500:
            raise InputError("a session needs 1–500 assessors; list a pseudonym for each")
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
        method = self.procedure
        method.check_question(self.attribute, self.expected)
        _check_answers(self)
        if bool(self.first_look) != bool(self.look_every):
            raise InputError("first_look and look_every belong together; give both or neither")
        if self.design.aim == "similarity" and self.replicates > 1:
            raise InputError(
                "similarity is not shown by repeated answers of the same people; plan one set each"
            )
        if self.replicates * method.cups > len(CODES):
            raise InputError("too many cups for one assessor's three-digit codes; plan fewer sets")
        return self

    @property
    def procedure(self) -> Method:
        """The method itself."""
        return method_named(self.method)

    @property
    def design(self) -> TestDesign:
        """What the test is to decide, and at which risks. Raises InputError where it cannot."""
        return TestDesign(
            method=self.procedure,
            expected=self.expected,
            aim=self.aim,
            sequential=self.sequential,
            alpha=self.alpha,
            beta=self.beta,
            p_d=self.p_d,
            looks=Looks((self.first_look,), self.look_every) if self.first_look else EACH,
        )

    @property
    def looks_told(self) -> Looks:
        """After how many answers it is told whether a sequential test has decided.

        A plan without looks decides after any answer; if that were told at once, the moment would
        tell which way, so looks are computed from the plan.
        """
        test = self.design.wald_test
        return balanced_looks(test) if test.looks == EACH else test.looks

    @property
    def sides(self) -> int:
        """1 when the direction is fixed beforehand (always so for a difference test), else 2."""
        return self.design.sides

    @property
    def tastings(self) -> int:
        """The number of sets that are to be answered."""
        return len(self.assessors) * self.replicates

    @property
    def question(self) -> str:
        """The question on the ballot."""
        return self.procedure.question.format(attribute=self.attribute)

    def choices(self, codes: tuple[str, ...]) -> tuple[str, ...]:
        """What the ballot offers for a set with these codes: "482", "482+517", or words."""
        offered = tuple(_choice(option, codes) for option in self.procedure.options)
        return (*offered, NO_PREFERENCE) if self.no_preference else offered

    def is_counted(self, served: ServingSet, choice: str) -> bool:
        """Whether this choice counts towards the number that is tested.

        A difference test counts correct choices, the others count choices of the expected
        sample, or of B where none is expected; "no preference" never counts.
        """
        if choice == NO_PREFERENCE:
            return False
        option = self.choices(served.codes).index(choice)
        return self.procedure.is_counted(served.order, option) != (self.expected == "A")


def _choice(option: Option, codes: tuple[str, ...]) -> str:
    return option if isinstance(option, str) else JOIN.join(codes[place] for place in option)


def _check_answers(plan: Plan) -> None:
    """Whether the ballot can offer what is planned, and one person alone can answer it."""
    method = plan.procedure
    if plan.no_preference and method.measures_distance:
        raise InputError('only a preference test may offer "no preference" as an answer')
    if plan.alone and len(plan.assessors) > 1:
        raise InputError("one person tastes alone; list one assessor")
    if plan.alone and (plan.no_preference or not all(map(_one_cup, method.options))):
        raise InputError(
            "someone who tastes alone chooses one cup and then reads its code; take a method that "
            "asks for one cup, such as the triangle test"
        )


def _one_cup(option: Option) -> bool:
    return not isinstance(option, str) and len(option) == 1
