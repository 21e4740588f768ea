"""What a closed session says, in numbers and in sentences."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from tasting.errors import InputError
from tasting.insight.findings.cautions import cautions
from tasting.insight.findings.closed_session import Closed, ClosedSession, closed_sessions
from tasting.insight.findings.evidence import Evidence, evaluate
from tasting.insight.findings.kinds.preference import PreferenceEvidence
from tasting.insight.findings.next_step import NextStep, Outcome, Surroundings, next_step
from tasting.insight.findings.tally import Tally
from tasting.panel.session import Session

_NOTHING = Surroundings()
"""Of the drinks and of later sessions nothing is known."""


@dataclass(frozen=True, slots=True)
class Finding:
    """A finding: the counts, what follows from them, and the sentences that say so.

    following: one thing to do next, which is the last sentence, too
    others: what other sessions that asked the same say, which is the first caution, too
    """

    tally: Tally
    evidence: Evidence
    headline: str
    sentences: tuple[str, ...]
    cautions: tuple[str, ...]
    following: NextStep
    others: str = ""

    @property
    def shown(self) -> bool:
        """Whether a difference, a direction or a preference is shown at the planned α."""
        return self.evidence.verdict.difference


def finding(
    session: Session,
    *,
    differing: tuple[str, ...] = (),
    since: tuple[str, ...] = (),
    others: str = "",
) -> Finding:
    """The finding of a closed session.

    differing: levels in which the drinks differ noticeably (`levels.differing`)
    since: names of later sessions that compared the same two (`next_step.tasted_since`)
    others: what other sessions that asked the same of these two say (`asked_again.others_in_words`)

    Raises SealedError while it is not closed, InputError when nobody answered.
    """
    around = Surroundings(differing, since, others)
    return conclude(ClosedSession.of_session(session).tally, around)


@lru_cache(maxsize=1024)
def conclude(tally: Tally, around: Surroundings = _NOTHING) -> Finding:
    """The finding of a tally; `around` shapes the next step and what limits it.

    Raises InputError when there is no answer in it to count.

    A tally never changes, so its finding is kept: pages that look at all sessions read it again.
    """
    if tally.n == 0:
        raise InputError("no answer was given that counts, so there is nothing to conclude")
    evidence = evaluate(tally)
    direction_open = evidence.open_direction(tally)
    least = evidence.lead.low if isinstance(evidence, PreferenceEvidence) else 1.0
    outcome = Outcome(evidence.verdict, evidence.low, direction_open, least)
    following = next_step(tally, outcome, around)
    return Finding(
        tally=tally,
        evidence=evidence,
        headline=evidence.headline(tally),
        sentences=(
            *filter(None, evidence.sentences(tally)),
            following.says,
        ),
        cautions=(*filter(None, [around.others]), *cautions(tally), *evidence.cautions(tally)),
        following=following,
        others=around.others,
    )


def findings(sessions: Iterable[Closed]) -> list[tuple[ClosedSession, Finding]]:
    """The sessions that have an answer that counts, each with its finding.

    Raises SealedError for a session that is not closed.
    """
    return [(one, conclude(one.tally)) for one in closed_sessions(sessions) if one.tally.n]
