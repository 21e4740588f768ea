"""All closed sessions of one pair of drinks, and the one thing that they allow to be claimed.

A session alone claims what its finding claims. Difference tests of one pair are pooled: nobody
notices is nobody notices in all of them, so their counts may be added. As sessions are held until
something shows, their risks are shared out among so many looks (Bonferroni): with k sessions each
claim needs α / k, and similarity β / k.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache

from tasting.insight.findings.closed_session import ClosedSession
from tasting.insight.findings.finding import Finding, conclude
from tasting.insight.findings.pooling import combinable
from tasting.insight.findings.tally import Tally
from tasting.stats.agreed_distance import AgreedDistance, agreed_distance
from tasting.stats.binomial import TIE, critical_number, p_value
from tasting.stats.dprime import Score
from tasting.stats.results import Estimate
from tasting.stats.similarity import upper_limit


class Claim(Enum):
    """What sessions of a pair show; OPEN is neither a difference nor similarity, CHECK a score so
    far below guessing that key and cups come first."""

    DIFFERS = "a difference"
    SMALL = "a difference that fewer than the planned share notice"
    SIMILAR = "similarity at the planned share"
    OPEN = "nothing"
    CHECK = "fewer correct than guessing gives"


_KINDS = ("difference", "direction", "preference")


@dataclass(frozen=True, slots=True)
class PairFinding:
    """What is claimed of a pair, and what it rests on.

    sessions: those that are counted together, oldest first; finding: of the newest of them
    count, n: answers that count, of all; needed: how many show a difference, where counts do
    distance: d-prime with its 95 % interval, of difference tests only
    disagree: whether the sessions were shown to differ from each other; agreement: p of that test
    """

    claim: Claim
    sessions: tuple[ClosedSession, ...]
    finding: Finding
    count: int
    n: int
    needed: int | None
    distance: Estimate | None
    disagree: bool = False
    agreement: float = 1.0

    @property
    def session(self) -> ClosedSession:
        """The newest session that it rests on."""
        return self.sessions[-1]

    @property
    def tally(self) -> Tally:
        """The counts of the newest session."""
        return self.finding.tally


def of_pair(sessions: Sequence[ClosedSession]) -> PairFinding | None:
    """What the sessions that compared two drinks show; None where there are none.

    sessions: all closed ones of this pair that have an answer that counts, oldest first; only the
    newest of a kind is weighed. Difference tests decide; only where they show no difference, a
    direction or a preference that was shown is taken.
    """
    first = None
    for kind in _KINDS:
        group = [one for one in sessions if one.tally.method.question_kind == kind]
        found = _of_kind(group) if group else None
        if found and found.claim in (Claim.DIFFERS, Claim.SMALL):
            return found
        first = first or found
    return first


def _of_kind(sessions: Sequence[ClosedSession]) -> PairFinding:
    """The newest session, with all others whose counts may be added to its own."""
    newest = sessions[-1]
    together = [one for one in sessions if _adds_up(one.tally)] if _adds_up(newest.tally) else []
    found = conclude(newest.tally)
    return _pooled(together, found) if len(together) > 1 else _alone(newest, found)


def _adds_up(tally: Tally) -> bool:
    return combinable(tally) and tally.method.question_kind == "difference"


def _alone(session: ClosedSession, finding: Finding) -> PairFinding:
    """As the session's own finding claims it."""
    tally, evidence = finding.tally, finding.evidence
    verdict = evidence.verdict
    critical = getattr(evidence, "critical", None)
    every = tally.method.question_kind == "difference"
    return PairFinding(
        # Similar in one attribute is not similar.
        claim=_claim(evidence.low, verdict.difference, verdict.similarity and every),
        sessions=(session,),
        finding=finding,
        count=tally.count if tally.design.sides == 1 else tally.extreme,
        n=tally.n,
        needed=critical.value if critical else None,
        distance=evidence.distance if every and not evidence.low else None,
    )


def _claim(low: bool, difference: bool, similarity: bool) -> Claim:
    if low:
        return Claim.CHECK
    if difference:
        return Claim.SMALL if similarity else Claim.DIFFERS
    return Claim.SIMILAR if similarity else Claim.OPEN


def _pooled(sessions: Sequence[ClosedSession], newest: Finding) -> PairFinding:
    tallies = [one.tally for one in sessions]
    looks, alpha = len(sessions), min(tally.design.alpha for tally in tallies)
    count, n = sum(tally.count for tally in tallies), sum(tally.n for tally in tallies)
    scores = [Score(tally.count, tally.n, tally.method.model) for tally in tallies]
    agreed = _agreed(tuple(scores), 0.95)
    one = len({tally.method.key for tally in tallies}) == 1
    chance = newest.tally.design.chance
    if one:
        shown = p_value(count, n, chance) <= alpha / looks * TIE
    else:
        shown = _agreed(tuple(scores), 1 - 2 * alpha / looks).interval.low > 0
    few = one and newest.evidence.verdict.similarity and _few(newest.tally, count, n, looks)
    return PairFinding(
        claim=_claim(newest.evidence.low, shown, few),
        sessions=tuple(sessions),
        finding=newest,
        count=count,
        n=n,
        needed=critical_number(n, chance, alpha / looks) if one else None,
        distance=_estimate(agreed),
        disagree=agreed.disagree,
        agreement=agreed.p_value,
    )


# A page is drawn again at every tap; closed sessions' scores never change.
@lru_cache(maxsize=1024)
def _agreed(scores: tuple[Score, ...], confidence: float) -> AgreedDistance:
    return agreed_distance(scores, confidence)


def _few(tally: Tally, count: int, n: int, looks: int) -> bool:
    """Whether all answers together leave less room than the newest plan's p_d."""
    design = tally.design
    return upper_limit(count, n, design.chance, design.beta / looks) < design.p_d


def _estimate(agreed: AgreedDistance) -> Estimate:
    return Estimate(agreed.value, agreed.interval)
