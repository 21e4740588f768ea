"""What a closed session says, in numbers and in sentences."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from tasting.errors import InputError, SealedError
from tasting.insight.findings.cautions import cautions
from tasting.insight.findings.evidence import Evidence, evaluate
from tasting.insight.findings.tally import Tally
from tasting.panel.session import Session


@dataclass(frozen=True, slots=True)
class Finding:
    """A finding: the counts, what follows from them, and the sentences that say so."""

    tally: Tally
    evidence: Evidence
    headline: str
    sentences: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def shown(self) -> bool:
        """Whether a difference, a direction or a preference is shown at the planned α."""
        return self.evidence.verdict.difference


def finding(session: Session) -> Finding:
    """The finding of a closed session.

    Raises SealedError while it is not closed, InputError when nobody answered.
    """
    return conclude(_tally(session))


def _tally(session: Session) -> Tally:
    if session.state != "closed":
        raise SealedError(f"the session {session.name!r} is {session.state}: close it first")
    return Tally.of_session(session)


@lru_cache(maxsize=1024)
def conclude(tally: Tally) -> Finding:
    """The finding of a tally. Raises InputError when there is no answer in it to count.

    A tally never changes, so its finding is kept: pages that look at all sessions read it again.
    """
    if tally.n == 0:
        raise InputError("no answer was given that counts, so there is nothing to conclude")
    evidence = evaluate(tally)
    return Finding(
        tally=tally,
        evidence=evidence,
        headline=evidence.headline(tally),
        sentences=tuple(filter(None, evidence.sentences(tally))),
        cautions=(*cautions(tally), *evidence.cautions(tally)),
    )


def findings(sessions: Sequence[Session]) -> list[tuple[Session, Finding]]:
    """The sessions that have an answer that counts, each with its finding.

    Raises SealedError for a session that is not closed.
    """
    tallies = [(session, _tally(session)) for session in sessions]
    return [(session, conclude(tally)) for session, tally in tallies if tally.n]
