"""The counts that a finding rests on, from a session or from a paper panel."""

from collections.abc import Sequence
from dataclasses import dataclass

from tasting.panel.methods import Method
from tasting.panel.paper import PaperAnswer
from tasting.panel.session import Letter, Session


@dataclass(frozen=True, slots=True)
class Tally:
    """How often the answers counted.

    a, b: names of the samples
    n, count: answers given, and those that count: correct ones in a difference test, else choices
        of the expected sample, or of B where none is expected
    planned: answers that were planned
    assessors: how many people gave answers
    """

    method: Method
    a: str
    b: str
    attribute: str
    expected: Letter | None
    alpha: float
    n: int
    count: int
    planned: int
    assessors: int
    early_reason: str = ""

    @property
    def sides(self) -> int:
        """1 or 2, as fixed in the plan."""
        return self.method.sides(direction_fixed=self.expected is not None)

    @property
    def extreme(self) -> int:
        """The count that is compared with the critical number."""
        return self.count if self.sides == 1 else max(self.count, self.n - self.count)

    @property
    def replicated(self) -> bool:
        """Whether someone answered more than once."""
        return self.n > self.assessors

    @classmethod
    def of_session(cls, session: Session) -> "Tally":
        """The tally of a session's answers."""
        plan = session.plan
        sets = {(served.assessor, served.replicate): served for served in session.sets}
        counted = [
            plan.counts(sets[given.assessor, given.replicate], given.code)
            for given in session.answers
        ]
        return cls(
            method=plan.procedure,
            a=plan.a.name,
            b=plan.b.name,
            attribute=plan.attribute,
            expected=plan.expected,
            alpha=plan.alpha,
            n=len(counted),
            count=sum(counted),
            planned=plan.tastings,
            assessors=len({given.assessor for given in session.answers}),
            early_reason=session.early_reason,
        )

    @classmethod
    def of_paper(
        cls,
        answers: Sequence[PaperAnswer],
        method: Method,
        *,
        a: str = "sample A",
        b: str = "sample B",
        attribute: str = "",
        expected: Letter | None = None,
        alpha: float = 0.05,
    ) -> "Tally":
        """The tally of a paper panel, all of whose planned answers are in the file.

        Raises InputError when the question does not fit the method.
        """
        method.check_question(attribute, expected)
        counted = [
            method.counts(given.order, given.chosen - 1) != (expected == "A") for given in answers
        ]
        return cls(
            method=method,
            a=a,
            b=b,
            attribute=attribute,
            expected=expected,
            alpha=alpha,
            n=len(counted),
            count=sum(counted),
            planned=len(counted),
            assessors=len({given.assessor for given in answers}),
        )
