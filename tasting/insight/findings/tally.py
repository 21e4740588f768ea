"""The counts that a finding rests on, from a session or from a paper panel."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from tasting.errors import InputError
from tasting.panel.design import Letter, TestDesign
from tasting.panel.methods import Method, holds_difference
from tasting.panel.paper_import import PaperAnswer, PaperCount
from tasting.panel.plan import NO_PREFERENCE, Plan
from tasting.panel.serving import ServingSet
from tasting.panel.session import Session
from tasting.stats.sequential import Looks, WaldTest


@dataclass(frozen=True, slots=True)
class Given:
    """An answer as it is counted: who gave it, whether it counts, or that neither was preferred."""

    assessor: str
    counted: bool
    undecided: bool = False


@dataclass(frozen=True, slots=True)
class Tally:
    """What was planned, and how often the answers counted.

    a, b: names of the samples
    given: the answers in the order in which they came
    planned: answers that were planned
    attribute: what a direction was asked for, as in "more sour"; empty for other questions
    by_option: for a method without a chance of guessing, how often each option was chosen for sets
        that hold no difference, and for sets that hold one
    excluded: assessors whose answers are left out
    tasting_pourers: who was shown the pour sheet under the name of an assessor
    looks: after how many of `given` a sequential test looked, where that is not as planned
    told_after: after how many answers, as first given, the host was told that it had decided;
        None where nothing was corrected, and then it is where it decided
    alone: whether one person filled the cups, shuffled and tasted them without a helper
    reference: the sample that is a reference, if just one of them is
    """

    design: TestDesign
    a: str
    b: str
    given: tuple[Given, ...]
    planned: int
    attribute: str = ""
    by_option: tuple[tuple[int, ...], tuple[int, ...]] | None = None
    excluded: int = 0
    early_reason: str = ""
    alone: bool = False
    reference: Letter | None = None
    looks: Looks | None = None
    told_after: int | None = None
    tasting_pourers: tuple[str, ...] = ()
    scores: tuple[tuple[int, int], ...] = field(init=False)

    def __post_init__(self) -> None:
        """`scores`: for each assessor the answers that count, and all that chose."""
        chose = Counter(given.assessor for given in self.choosing)
        counted = Counter(given.assessor for given in self.choosing if given.counted)
        scores = tuple((counted[who], chose[who]) for who in chose)
        object.__setattr__(self, "scores", scores)

    @property
    def wald_test(self) -> WaldTest:
        """The sequential test with the looks that there were."""
        return replace(self.design.wald_test, looks=self.looks or self.design.looks)

    @property
    def method(self) -> Method:
        """How it was asked."""
        return self.design.method

    @property
    def choosing(self) -> tuple[Given, ...]:
        """The answers that chose a sample."""
        return tuple(given for given in self.given if not given.undecided)

    @property
    def n(self) -> int:
        """Answers that chose a sample."""
        return sum(tastings for _, tastings in self.scores)

    @property
    def count(self) -> int:
        """Those that count: correct ones, or choices of the expected sample, or else of B."""
        return sum(counted for counted, _ in self.scores)

    @property
    def undecided(self) -> int:
        """Answers that preferred neither sample."""
        return len(self.given) - self.n

    @property
    def assessors(self) -> int:
        """How many people gave answers that count."""
        return len({given.assessor for given in self.given})

    @property
    def extreme(self) -> int:
        """The count that is compared with the critical number."""
        return self.count if self.design.sides == 1 else max(self.count, self.n - self.count)

    @property
    def favoured(self) -> tuple[str, str]:
        """The sample that was expected, or chosen more often, and the other one."""
        favoured = self.design.expected or ("B" if 2 * self.count >= self.n else "A")
        return (self.b, self.a) if favoured == "B" else (self.a, self.b)

    @property
    def leading(self) -> str:
        """Of a two-sided question the sample that was chosen more often; empty for neither."""
        if self.design.sides == 1 or 2 * self.count == self.n:
            return ""
        return self.favoured[0]

    @property
    def replicated(self) -> bool:
        """Whether someone answered more than once."""
        return len(self.given) > self.assessors

    @property
    def clustered(self) -> bool:
        """Whether several people answered and some of them more than once."""
        return self.replicated and self.assessors > 1

    @classmethod
    def of_session(cls, session: Session) -> "Tally":
        """The tally of a session's answers that count."""
        plan, sets = session.plan, session.served
        answers = [(sets[one.assessor, one.replicate], one) for one in session.counted_answers]
        given = tuple(
            Given(one.assessor, plan.is_counted(served, one.choice), one.choice == NO_PREFERENCE)
            for served, one in answers
        )
        return cls.of_plan(
            plan,
            given,
            planned=plan.tastings,
            by_option=_by_option(plan, [(served, one.choice) for served, one in answers]),
            excluded=len(session.exclusions),
            looks=session.counted_looks if session.exclusions else None,
            told_after=_told_after(session),
            tasting_pourers=session.tasting_pourers,
            early_reason=session.early_reason,
        )

    @classmethod
    def of_plan(cls, plan: Plan, given: tuple[Given, ...], **counts: Any) -> "Tally":
        """The tally of a plan's answers that count; `counts` are the fields that it does not fix.

        The assessors of the plan are not asked for.
        """
        return cls(
            design=plan.design,
            a=plan.a.name,
            b=plan.b.name,
            given=given,
            attribute=plan.attribute,
            alone=plan.alone,
            reference=_reference(plan),
            **counts,
        )

    @classmethod
    def of_paper(cls, answers: Sequence[PaperAnswer], design: TestDesign, **named: str) -> "Tally":
        """The tally of a paper panel, all of whose planned answers are in the file.

        named: `a`, `b` and the `attribute`, where they have names
        Raises InputError when the question does not fit the method.
        """
        method, chose_a = design.method, design.expected == "A"
        chosen = [(one.assessor, one.order, one.chosen - 1) for one in answers]
        given = [
            Given(assessor, method.is_counted(order, option) != chose_a)
            for assessor, order, option in chosen
        ]
        options = _options_by_difference(method, [(order, option) for _, order, option in chosen])
        return _of_file(design, given, named, options)

    @classmethod
    def of_counts(cls, counts: Sequence[PaperCount], design: TestDesign, **named: str) -> "Tally":
        """The tally of counts alone.

        named: as in `of_paper`
        Raises InputError where a method needs more than counts, or the question does not fit it.
        """
        if not design.has_chance:
            raise InputError(
                f"counts are not enough for {design.method.key}: it needs every answer with its "
                "serving order"
            )
        given = [
            Given(one.assessor, number < one.correct)
            for one in counts
            for number in range(one.tastings)
        ]
        return _of_file(design, given, named)


def _told_after(session: Session) -> int | None:
    corrected = session.amendments or session.exclusions
    return session.told_after if corrected and session.plan.first_look else None


def _reference(plan: Plan) -> Letter | None:
    a, b = (sample.kind == "reference" for sample in (plan.a, plan.b))
    return None if a == b else ("A" if a else "B")


def _of_file(
    design: TestDesign,
    given: Sequence[Given],
    named: Mapping[str, str],
    by_option: tuple[tuple[int, ...], tuple[int, ...]] | None = None,
) -> Tally:
    """A panel of which nothing is known but its answers."""
    design.method.check_question(named.get("attribute", ""), design.expected)
    return Tally(
        design=design,
        a=named.get("a", "sample A"),
        b=named.get("b", "sample B"),
        given=tuple(given),
        planned=len(given),
        attribute=named.get("attribute", ""),
        by_option=by_option,
    )


def _by_option(
    plan: Plan, answers: Iterable[tuple[ServingSet, str]]
) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
    chosen = ((served.order, plan.choices(served.codes).index(one)) for served, one in answers)
    return _options_by_difference(plan.procedure, chosen)


def _options_by_difference(
    method: Method, chosen: Iterable[tuple[str, int]]
) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
    if method.psychometric is not None:
        return None
    counts = Counter((holds_difference(order), option) for order, option in chosen)
    none, some = (
        tuple(counts[held, option] for option in range(len(method.options)))
        for held in (False, True)
    )
    return none, some
