"""What a closed session says, in numbers and in sentences."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from tasting.errors import InputError
from tasting.insight.findings.cautions import cautions
from tasting.insight.findings.closed_session import Closed, ClosedSession, closed_sessions
from tasting.insight.findings.evidence import Evidence, evaluate
from tasting.insight.findings.next_step import NextStep, Outcome, Surroundings, next_step
from tasting.insight.findings.tally import Tally
from tasting.panel.session import Session

_NOTHING = Surroundings()
"""Of the drinks and of later sessions nothing is known."""


@dataclass(frozen=True, slots=True)
class Finding:
    """A finding: the counts, what follows from them, and the sentences that say so.

    following: one thing to do next, which is the last sentence, too
    """

    tally: Tally
    evidence: Evidence
    headline: str
    sentences: tuple[str, ...]
    cautions: tuple[str, ...]
    following: NextStep

    @property
    def shown(self) -> bool:
        """Whether a difference, a direction or a preference is shown at the planned α."""
        return self.evidence.verdict.difference


def finding(
    session: Session, *, differing: tuple[str, ...] | None = None, since: tuple[str, ...] = ()
) -> Finding:
    """The finding of a closed session.

    differing: levels in which the drinks differ (`levels.differing`); None where unknown
    since: names of later sessions that compared the same two (`next_step.tasted_since`)

    Raises SealedError while it is not closed, InputError when nobody answered.
    """
    return conclude(ClosedSession.of_session(session).tally, Surroundings(differing, since))


@lru_cache(maxsize=1024)
def conclude(tally: Tally, around: Surroundings = _NOTHING) -> Finding:
    """The finding of a tally; `around` shapes the next step only.

    Raises InputError when there is no answer in it to count.

    A tally never changes, so its finding is kept: pages that look at all sessions read it again.
    """
    if tally.n == 0:
        raise InputError("no answer was given that counts, so there is nothing to conclude")
    evidence = evaluate(tally)
    outcome = Outcome(evidence.verdict, evidence.low, evidence.open_direction(tally))
    following = next_step(tally, outcome, around)
    return Finding(
        tally=tally,
        evidence=evidence,
        headline=evidence.headline(tally),
        sentences=(
            *filter(None, evidence.sentences(tally)),
            following.says,
        ),
        cautions=(*cautions(tally), *evidence.cautions(tally)),
        following=following,
    )


def findings(sessions: Iterable[Closed]) -> list[tuple[ClosedSession, Finding]]:
    """The sessions that have an answer that counts, each with its finding.

    Raises SealedError for a session that is not closed.
    """
    return [(one, conclude(one.tally)) for one in closed_sessions(sessions) if one.tally.n]
