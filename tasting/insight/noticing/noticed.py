"""How noticeable each difference was, beside how large it was in the glass."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tasting.drink.formula import Version
from tasting.drink.label import Reference
from tasting.drink.levels import Levels, levels, step
from tasting.insight.findings.finding import Finding, findings
from tasting.panel.plan import Sample
from tasting.panel.session import Session

Drinks = Callable[[Sample], Version | Reference]
"""Finds the drink that a sample points to: in the database, or in a document."""


@dataclass(frozen=True, slots=True)
class Noticed:
    """One closed session, its finding, and what sample B has more of than sample A.

    `step` is unknown where a level of one of the two drinks is unknown.
    """

    session: Session
    finding: Finding
    step: Levels


def noticed(sessions: Sequence[Session], drinks: Drinks) -> tuple[Noticed, ...]:
    """One row for each session that has an answer, in the order given.

    Raises SealedError for a session that is not closed, and what `drinks` raises.
    """
    known: dict[Sample, Levels] = {}
    found = findings(sessions)
    for session, _ in found:
        for sample in (session.plan.a, session.plan.b):
            if sample not in known:
                known[sample] = levels(drinks(sample))
    return tuple(
        Noticed(session, finding, step(known[session.plan.a], known[session.plan.b]))
        for session, finding in found
    )
