"""What the dashboard is asked about, and the form of its replies."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference
from tasting.insight.advice.next_session import NextSession
from tasting.insight.findings.closed_session import ClosedSession
from tasting.insight.findings.pair import Claim, PairFinding, of_pair
from tasting.insight.noticing.drivers import Drink
from tasting.insight.noticing.model import ThresholdModel

_NUMBERED: Final = re.compile(r"v?\d[\w.]*$")


@dataclass(frozen=True, slots=True)
class PlanComparison:
    """Plan a session. made: how B is made from A's version, if it is not there yet."""

    label: str
    method: str
    a: Drink
    b: Drink
    n: int
    made: str = ""
    purpose: str = ""


@dataclass(frozen=True, slots=True)
class GoToSession:
    """Go to a session, closed or not."""

    label: str
    session_id: str


@dataclass(frozen=True, slots=True)
class GoToDrinks:
    """Go to where formulas and references are written down."""

    label: str


Action = PlanComparison | GoToSession | GoToDrinks


@dataclass(frozen=True, slots=True)
class Reply:
    """One of the three.

    claim: what the sessions behind it show; None where there are none
    sentence, evidence: the answer, and what it rests on; explained: what a reader may ask about it
    settled: whether nothing is left to do about it; going: whether it is being tasted now
    """

    question: str
    claim: Claim | None
    sentence: str
    evidence: str
    action: Action | None
    explained: str = ""
    settled: bool = False
    going: bool = False


@dataclass(frozen=True, slots=True)
class Going:
    """A session that is planned or open, and what may be known of it.

    answered, planned: tastings; waiting: assessors who have not begun
    drinks: ids of the two samples; distance: whether it tells how far apart they are, which a
        preference does not
    """

    id: str
    name: str
    open: bool
    answered: int
    planned: int
    waiting: int
    drinks: frozenset[str]
    distance: bool = True


@dataclass(frozen=True)
class Question:
    """What is asked about: a formula, perhaps a reference, and what was tasted of them.

    compared: reads the closed sessions of two drinks (ids) that have an answer that counts, oldest
        first; newest: the one that a drink was last compared in, or None
    going: sessions that are planned or open, newest first; best: the most informative next one
    """

    formula: Formula
    reference: Reference | None
    compared: Callable[[str, str], Sequence[ClosedSession]]
    newest: Callable[[str], ClosedSession | None]
    thresholds: ThresholdModel
    going: Sequence[Going] = ()
    best: NextSession | None = field(default=None)

    @property
    def latest(self) -> Version:
        """The newest version."""
        return self.formula.versions[-1]

    @cached_property
    def names(self) -> dict[str, str]:
        """What each drink is called here, by id."""
        names = {one.id: version_name(one.label) for one in self.formula.versions}
        return names | ({self.reference.id: self.reference.name} if self.reference else {})

    def found(self, first: Drink, second: Drink) -> PairFinding | None:
        """What the sessions that compared these two show; None where there are none."""
        return of_pair(self.compared(first.id, second.id))

    def parent(self, version: Version) -> Version | None:
        """The version that this one was made from."""
        return self.formula.version(version.parent) if version.parent else None


def version_name(label: str) -> str:
    """What a version is called within its formula: its number, if it begins with one.

    >>> version_name("v10 towards bottle R"), version_name("less syrup")
    ('v10', 'less syrup')
    """
    first = label.split()[0]
    return first if _NUMBERED.match(first) else label
