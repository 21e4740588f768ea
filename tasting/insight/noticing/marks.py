"""What each closed session says of a step: how large it was, and how many noticed it.

The share who notice has two scales, and each is named wherever it is shown: p_d by the session's
own method, and the share of triangle tests that would notice at the same sensory distance. Only
the second compares methods with each other and with a fitted curve.
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from tasting.insight.findings.closed_session import Closed, ClosedSession, closed_sessions
from tasting.insight.findings.finding import Finding, findings
from tasting.insight.noticing.comparisons import Drinks, TastedPair, readings, readings_of
from tasting.insight.noticing.drivers import Driver, Reading
from tasting.insight.noticing.identifiability import UNVARIED
from tasting.panel.methods import Method
from tasting.panel.plan import Sample
from tasting.stats.agreed_distance import agreed_distance
from tasting.stats.dprime import FAR, Score
from tasting.stats.psychometric import TRIANGLE
from tasting.stats.results import Estimate, Interval

# A step below this share of the largest one says nothing about its driver where something else
# differs, too; a judgement.
_LEAST_SHARE: Final = 0.08


@dataclass(frozen=True, slots=True)
class SessionShare:
    """The share who notice in one closed session, or in all that compared the same two samples by
    the same method. It holds no pseudonym.

    session_id, name: of the newest of them; sessions: how many

    name: marked where the data are made up; samples: the names of B and A
    p_d: by the session's own method; its interval is exact where everybody tasted once, and that
        of the model of assessors who differ where some tasted again; None for a preference, and
        for a method without a chance of guessing
    lead: of a preference only, how far one sample is ahead: some may notice and yet be divided
    distance: d-prime; shown: how many of the sessions show a difference at the α of their plan
    one_person: whether one person gave all answers; with_reference: whether a reference takes part
    steps: B minus A by key of the driver, in its unit, without those that are not known
    moved: keys of the drivers that are known to differ by more than next to nothing
    """

    session_id: str
    name: str
    samples: str
    method: Method
    n: int
    p_d: Estimate | None
    lead: Estimate | None
    distance: Estimate | None
    shown: int
    one_person: bool
    with_reference: bool
    steps: Mapping[str, float]
    moved: frozenset[str]
    sessions: int = 1

    @property
    def as_triangle(self) -> Estimate | None:
        """Share of triangle tests that would notice at the sensory distance where its own method
        has this p_d."""
        if self.p_d is None:
            return None
        chance, p_d = self.method.chance, self.p_d
        right = chance + (1 - chance) * np.array([p_d.value, p_d.low, p_d.high])
        value, low, high = self.method.model.d_prime(right).tolist()
        return noticed_by_triangle(Estimate(value, Interval(low, high, p_d.interval.confidence)))

    def nothing_else(self, driver: Driver) -> bool:
        """Whether nothing but this driver is known to differ."""
        return not (self.with_reference or self.moved - {driver.key})


def noticed_by_triangle(distance: Estimate) -> Estimate:
    """Share of assessors who notice a sensory distance in a triangle test, beyond guessing."""
    ends = np.maximum(0.0, TRIANGLE.p_d([distance.value, distance.low, distance.high]))
    value, low, high = ends.tolist()
    return Estimate(value, Interval(low, high, distance.interval.confidence))


def session_shares(
    sessions: Sequence[Closed], drinks: Drinks, drivers: Sequence[Driver]
) -> tuple[SessionShare, ...]:
    """One row for each session that has an answer that counts, in the order given.

    Raises SealedError for a session that is not closed, InputError for a drink that is not there.
    """
    closed = closed_sessions(sessions)
    known = readings(closed, drinks, drivers)
    return tuple(
        _share(session, found, drivers, known[session.a], known[session.b])
        for session, found in findings(closed)
    )


def _share(
    session: ClosedSession, finding: Finding, drivers: Sequence[Driver], a: Reading, b: Reading
) -> SessionShare:
    tally = finding.tally
    steps, moved = _steps(drivers, a, b)
    return SessionShare(
        session_id=session.id,
        name=f"{session.name} (invented)" if session.invented else session.name,
        samples=f"{session.b.name} against {session.a.name}",
        method=tally.method,
        n=tally.n,
        p_d=_estimate(finding, "noticed"),
        lead=_estimate(finding, "lead"),
        distance=finding.evidence.distance,
        shown=finding.shown,
        one_person=tally.assessors == 1,
        with_reference="reference" in (session.a.kind, session.b.kind),
        steps=steps,
        moved=moved,
    )


def _steps(
    drivers: Sequence[Driver], a: Reading, b: Reading
) -> tuple[dict[str, float], frozenset[str]]:
    """The steps that are known, and the keys of the drivers that move by more than next to
    nothing."""
    steps = dict(
        zip([driver.key for driver in drivers], (b.levels - a.levels).tolist(), strict=True)
    )
    least = UNVARIED * np.maximum(np.abs(a.levels), np.abs(b.levels))
    moved = (key for (key, step), no in zip(steps.items(), least, strict=True) if abs(step) > no)
    return {key: step for key, step in steps.items() if np.isfinite(step)}, frozenset(moved)


def pooled_shares(
    tasted: Sequence[TastedPair], drinks: Drinks, drivers: Sequence[Driver], most: int
) -> tuple[SessionShare, ...]:
    """One row for all sessions that compared two samples by one method and whose counts add up, the
    `most` that were tasted most often.

    The share is that of one d-prime for all of them, whose interval allows for sessions that may
    differ (`agreed_distance`). Raises InputError for a drink that is not there.
    """
    known = readings_of(tasted, drinks, drivers)
    groups: dict[Hashable, list[TastedPair]] = {}
    for one in tasted:
        if one.asked.adds_up:
            groups.setdefault(_compared(one), []).append(one)
    often = sorted(groups.values(), key=lambda group: -sum(map(_tastings, group)))[:most]
    return tuple(_pooled_share(group, drivers, known) for group in often)


def _compared(one: TastedPair) -> Hashable:
    """Samples and question; where no sample was expected, whichever of the two was A."""
    a, b = (one.a.kind, one.a.id), (one.b.kind, one.b.id)
    return one.asked, frozenset((a, b)) if one.asked.expected is None else (a, b)


def _tastings(one: TastedPair) -> int:
    return int(one.answers[:, 0] @ one.answers[:, 3])


def _pooled_share(
    group: Sequence[TastedPair], drivers: Sequence[Driver], known: Mapping[Sample, Reading]
) -> SessionShare:
    newest, method = group[-1], group[-1].asked.method
    steps, moved = _steps(drivers, known[newest.a], known[newest.b])
    distance = _distance(group)
    people = np.unique(np.concatenate([one.answers[:, 2] for one in group]))
    session_id, name = newest.sessions[-1]
    return SessionShare(
        session_id=session_id,
        name=name,
        samples=f"{newest.b.name} against {newest.a.name}",
        method=method,
        n=sum(map(_tastings, group)),
        p_d=_own_share(distance, method),
        lead=None,
        distance=distance,
        shown=sum(one.shown for one in group),
        one_person=len(people) == 1,
        with_reference="reference" in (newest.a.kind, newest.b.kind),
        steps=steps,
        moved=moved,
        sessions=sum(len(one.sessions) for one in group),
    )


def _distance(group: Sequence[TastedPair]) -> Estimate:
    model = group[0].asked.method.model
    scores = [
        Score(score.counted, score.assessors * score.replicates, model)
        for one in group
        for score, times in one.scores.items()
        for _ in range(times)
    ]
    agreed = agreed_distance(scores)
    return Estimate(agreed.value, agreed.interval)


def _own_share(distance: Estimate, method: Method) -> Estimate:
    """p_d of a method at a distance, which is infinite where every answer was right."""
    ends = np.minimum([distance.value, distance.low, distance.high], FAR)
    shares = (method.model.function(ends) - method.chance) / (1 - method.chance)
    value, low, high = np.clip(shares, 0.0, 1.0).tolist()
    return Estimate(value, Interval(low, high, distance.interval.confidence))


def _estimate(finding: Finding, name: str) -> Estimate | None:
    """What only some kinds of question estimate."""
    return getattr(finding.evidence, name, None)


def beside_curve(shares: Sequence[SessionShare], driver: Driver) -> tuple[SessionShare, ...]:
    """The difference tests that belong beside the fitted curve of a driver.

    Left out are sessions that changed something else and next to nothing of this driver.
    """
    asked = [
        one
        for one in shares
        if one.method.question_kind == "difference" and one.p_d and driver.key in one.steps
    ]
    least = _LEAST_SHARE * max((abs(one.steps[driver.key]) for one in asked), default=0.0)
    return tuple(
        one for one in asked if not one.moved - {driver.key} or abs(one.steps[driver.key]) > least
    )
