"""Did a change bring a drink closer to its reference? Two versions' sensory distances compared."""

from collections import defaultdict
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from tasting.insight.findings.closed_session import Closed, ClosedSession, closed_sessions
from tasting.insight.findings.evidence import evaluate
from tasting.insight.findings.pooling import asked, combinable
from tasting.insight.findings.tally import Tally
from tasting.panel.plan import Sample
from tasting.stats.agreed_distance import (
    AgreedDistance,
    Comparison,
    agreed_distance,
    compare_distances,
)
from tasting.stats.dprime import Score


@dataclass(frozen=True, slots=True)
class Against:
    """All sessions of one version against a reference; `scores` are their counts, by their methods.

    question: "any difference", or the attribute with the sample that was expected to have more
    distance: one d-prime for all of them, and whether they agree with one; of a single session as
        its own finding has it
    """

    reference: Sample
    version: Sample
    question: str
    sessions: tuple[ClosedSession, ...]
    scores: tuple[Score, ...]
    distance: AgreedDistance


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


@dataclass(frozen=True, slots=True)
class _Compared:
    """One session of a version against a reference."""

    reference: Sample
    version: Sample
    question: str
    session: ClosedSession
    score: Score


def steps(sessions: Sequence[Closed]) -> tuple[VersionProgress, ...]:
    """From one version to the next, for each reference and question, in the order of first closing.

    All sessions of a version are taken together, whenever they were held. One-sided tests of a
    fixed size against a chance of guessing only. Raises SealedError for a session that is not
    closed.
    """
    groups: dict[Hashable, list[_Compared]] = defaultdict(list)
    for session in sorted(closed_sessions(sessions), key=lambda one: one.closed_at):
        one = _against(session) if session.tally.n else None
        if one:
            groups[one.reference.id, one.question].append(one)
    return tuple(
        VersionProgress(earlier, later, _comparison(earlier.scores, later.scores))
        for group in groups.values()
        for earlier, later in pairwise(_by_version(group))
    )


def _against(session: ClosedSession) -> _Compared | None:
    """The version against its reference; None if the session is of another kind."""
    a, b = session.a, session.b
    if {a.kind, b.kind} != {"reference", "version"} or not combinable(session.tally):
        return None
    reference, version = (a, b) if a.kind == "reference" else (b, a)
    tally = session.tally
    score = Score(tally.count, tally.n, tally.method.model)
    return _Compared(reference, version, asked(session), session, score)


def _by_version(group: Sequence[_Compared]) -> Iterator[Against]:
    versions: dict[str, list[_Compared]] = defaultdict(list)
    for one in group:
        versions[one.version.id].append(one)
    for own in versions.values():
        scores = tuple(one.score for one in own)
        yield Against(
            reference=own[0].reference,
            version=own[0].version,
            question=own[0].question,
            sessions=tuple(one.session for one in own),
            scores=scores,
            distance=_distance(scores) if len(own) > 1 else _of_one(own[0].session.tally),
        )


# A page is drawn again at every tap; closed sessions' scores never change.
@lru_cache(maxsize=1024)
def _distance(scores: tuple[Score, ...]) -> AgreedDistance:
    return agreed_distance(scores)


def _of_one(tally: Tally) -> AgreedDistance:
    """As the page of the session shows it: with replicates by their model."""
    found = evaluate(tally).distance
    assert found is not None  # a test with a chance of guessing always has one
    return AgreedDistance(found.value, found.interval, 1.0, disagree=False, spread_allowed=False)


@lru_cache(maxsize=1024)
def _comparison(earlier: tuple[Score, ...], later: tuple[Score, ...]) -> Comparison | None:
    if all(score.correct == score.n for score in (*earlier, *later)):
        return None
    return compare_distances(earlier, later)
