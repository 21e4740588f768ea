"""Did a change bring a drink closer to its reference? Two sessions' sensory distances compared."""

from collections import defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from itertools import pairwise

from tasting.insight.findings.finding import Finding, findings
from tasting.insight.findings.pooling import asked, combinable
from tasting.panel.plan import Sample
from tasting.panel.session import Session
from tasting.stats.dprime import Comparison, Score, compare_d_primes


@dataclass(frozen=True, slots=True)
class Against:
    """One version's session against a reference; `score` is its count by its method.

    question: "any difference", or the attribute with the sample that was expected to have more
    """

    reference: Sample
    version: Sample
    question: str
    session: Session
    score: Score


@dataclass(frozen=True, slots=True)
class VersionProgress:
    """A version that was tasted against a reference, and the version that was tasted next.

    comparison: earlier d-prime minus later one; None if every answer was right in both
    """

    earlier: Against
    later: Against
    comparison: Comparison | None

    @property
    def shown(self) -> bool:
        """Whether the interval of the difference leaves 0 out."""
        found = self.comparison
        return found is not None and not found.interval.low <= 0 <= found.interval.high


def steps(sessions: Sequence[Session]) -> tuple[VersionProgress, ...]:
    """From one version to the next, for each reference and question, in the order of closing.

    Of versions tasted twice running, the last session counts. One-sided tests of a fixed size
    against a chance of guessing only. Raises SealedError for a session that is not closed.
    """
    groups: dict[Hashable, list[Against]] = defaultdict(list)
    for session, found in sorted(findings(sessions), key=_closing):
        against = _against(session, found)
        if against:
            groups[against.reference.id, against.question].append(against)
    return tuple(
        VersionProgress(earlier, later, _compared(earlier.score, later.score))
        for group in groups.values()
        for earlier, later in pairwise(group)
        if earlier.version.id != later.version.id
    )


def _closing(known: tuple[Session, Finding]) -> datetime:
    session, _ = known
    return session.closed_at or session.planned_at


def _against(session: Session, found: Finding) -> Against | None:
    """The version against its reference; None if the session is of another kind."""
    a, b = session.plan.a, session.plan.b
    if {a.kind, b.kind} != {"reference", "version"} or not combinable(found.tally):
        return None
    reference, version = (a, b) if a.kind == "reference" else (b, a)
    tally = found.tally
    score = Score(tally.count, tally.n, tally.method.model)
    return Against(reference, version, asked(session), session, score)


# A page is drawn again at every tap; closed sessions' scores never change.
@lru_cache(maxsize=4096)
def _compared(earlier: Score, later: Score) -> Comparison | None:
    if earlier.correct == earlier.n and later.correct == later.n:
        return None
    return compare_d_primes(earlier, later)
