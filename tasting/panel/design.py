"""What a test is to decide, and at which risks: fixed before the first answer, checked once."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Final, Literal

from tasting.errors import InputError
from tasting.panel.methods import Method
from tasting.stats import sequential
from tasting.stats.checks import check_alpha, check_beta, check_between, check_p_d
from tasting.stats.sequential import EACH, Looks, WaldTest

Letter = Literal["A", "B"]
Aim = Literal["difference", "similarity"]

USUAL_P_D: Final[Mapping[Aim, float]] = {"difference": 0.5, "similarity": 0.3}
"""The share who notice that a new plan proposes not to miss: half of assessors notice a step that
is worth a version; similarity claims that few notice, so it asks for less. Our own choice: to find
30 % takes 40 triangle tests, five for each of eight assessors, which no evening with alcohol
allows."""

FALSE_ALARMS = 0.3
"""How often a difference is reported where there is none, unless planned otherwise. Common
practice has no figure for it; nobody dares to answer without a few."""

FARTHEST_D_PRIME = 20.0
"""A sensory distance at which everybody reports the difference."""


@dataclass(frozen=True, slots=True)
class TestDesign:
    """The design of a test.

    expected: the sample that is expected to be chosen, if that was fixed beforehand: one-sided
    aim: to show a difference, or to show that fewer than the share p_d notice one
    sequential: whether Wald's test decides when there are enough answers; it concludes similarity
        only where the plan aims at it
    looks: after how many answers a sequential test looks whether it has decided
    alpha: risk of finding a difference that is not there (for similarity: of not showing it)
    p_d, beta: the share who notice that is not to be missed, and the risk of missing it
    d_prime: the sensory distance, where it is planned by that; p_d then follows from it
    false_alarms: for a method without a chance of guessing, how often a difference is expected to
        be reported where there is none

    Raises InputError for numbers out of range, and for an aim that the method cannot serve.
    """

    __test__: ClassVar[bool] = False  # pytest would take it for a class of tests

    method: Method
    expected: Letter | None = None
    aim: Aim = "difference"
    sequential: bool = False
    alpha: float = 0.05
    beta: float = 0.2
    p_d: float = 0.3
    d_prime: float | None = None
    false_alarms: float = FALSE_ALARMS
    looks: Looks = EACH

    def __post_init__(self) -> None:
        check_alpha(self.alpha)
        check_beta(self.beta)
        check_between("false_alarms", self.false_alarms, 0, 1)
        if self.d_prime is not None:
            check_between("d_prime", self.d_prime, 0, FARTHEST_D_PRIME)
            self._derive_p_d(self.d_prime)
        check_p_d(self.p_d)
        self._check_aim()
        self._check_looks()

    def _derive_p_d(self, d_prime: float) -> None:
        """Six digits: what a plan keeps, and reads back as the same number."""
        if self.has_chance:
            share = float(self.method.model.p_d(d_prime))
            object.__setattr__(self, "p_d", min(max(round(share, 6), 1e-6), 1 - 1e-6))

    def _check_aim(self) -> None:
        if self.aim == "similarity" and not self._is_counted_one_sided():
            raise InputError("similarity is shown by a one-sided test with a chance of guessing")
        if self.sequential and not self._is_counted_one_sided():
            raise InputError("a sequential test is one-sided and needs a chance of guessing")

    def _check_looks(self) -> None:
        """Whether both decisions are possible at each look, so that none tells which one fell."""
        if self.looks == EACH:
            return
        if not self.sequential:
            raise InputError("only a sequential test has looks; leave them out")
        least, (first, *_) = self.wald_test.least_looks(), self.looks.at
        if first < least.at[0] or self.looks.every < least.every:
            raise InputError(
                f"looks after {first} answers and then after every {self.looks.every} would tell "
                f"which way the test decided; look first after {least.at[0]} or more, and then "
                f"after every {least.every} or more"
            )

    def _is_counted_one_sided(self) -> bool:
        return self.has_chance and self.sides == 1

    @property
    def fields(self) -> dict[str, object]:
        """What a plan keeps of it, beside its method and the expected sample."""
        kept = ("aim", "sequential", "alpha", "beta", "p_d")
        fixed = {name: getattr(self, name) for name in kept}
        if self.looks == EACH:
            return fixed
        return {**fixed, "first_look": self.looks.at[0], "look_every": self.looks.every}

    @property
    def has_chance(self) -> bool:
        """Whether there is a chance of guessing to count against."""
        return self.method.psychometric is not None

    @property
    def chance(self) -> float:
        """Probability that an answer counts when nothing is noticed. Raises InputError without."""
        return self.method.chance

    @property
    def sides(self) -> int:
        """1 when the direction is fixed beforehand (always so for a difference test), else 2."""
        return self.method.sides(direction_fixed=self.expected is not None)

    @property
    def table(self) -> str | None:
        """Key of the published table of critical numbers to cite; those that were read are
        one-sided."""
        return self.method.table if self.sides == 1 else None

    @property
    def power(self) -> float:
        """The least probability of showing the difference that is not to be missed."""
        return 1 - self.beta

    @property
    def wald_test(self) -> WaldTest:
        """The lines and looks of the sequential test. Raises InputError without a chance of
        guessing."""
        return sequential.wald_test(self.chance, self.p_d, self.alpha, self.beta, self.looks)
