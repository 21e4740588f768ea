"""Many sessions looked at together: false alarms to expect, adjusted p-values, repeats combined."""

from collections import defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tasting.insight.findings.closed_session import Closed, ClosedSession, closed_sessions
from tasting.insight.findings.evidence import evaluate, has_critical_number
from tasting.insight.findings.kinds.sequential import SequentialEvidence
from tasting.insight.findings.tally import Tally
from tasting.panel.design import TestDesign
from tasting.panel.methods import Method
from tasting.stats import many
from tasting.stats.agreed_distance import AgreedDistance, agreed_distance
from tasting.stats.dprime import Score
from tasting.stats.many import Combined, FalseAlarms
from tasting.stats.power import power_curve


@dataclass(frozen=True, slots=True)
class Adjusted:
    """A session's p-value beside those that allow for all the others."""

    session: ClosedSession
    shown: bool
    p_value: float
    holm: float
    benjamini_hochberg: float


@dataclass(frozen=True, slots=True)
class Repeated:
    """One comparison of two samples that was made several times.

    question: "which differs", or the attribute with the sample that was expected to have more of it
    by_method: the counts of each method taken together
    pooled: one d-prime for all of them, and the one test of whether the sessions agree with one
    """

    samples: tuple[str, str]
    question: str
    sessions: tuple[ClosedSession, ...]
    by_method: tuple[tuple[Method, Combined], ...]
    pooled: AgreedDistance


def adjusted(sessions: Sequence[Closed]) -> tuple[Adjusted, ...]:
    """Every closed session that has a p-value, in the order given.

    A sequential test has none, and sessions without an answer are left out. Raises SealedError for
    one that is not closed.
    """
    tested = [
        (session, *(session.weighed or _weighed(session.tally)))
        for session in _answered(sessions)
        if not session.tally.design.sequential
    ]
    raw = [p for _, _, p in tested]
    both = zip(many.holm(raw), many.benjamini_hochberg(raw), strict=True) if raw else ()
    return tuple(
        Adjusted(session, shown, p, float(holm), float(share))
        for (session, shown, p), (holm, share) in zip(tested, both, strict=True)
    )


def _answered(sessions: Sequence[Closed]) -> list[ClosedSession]:
    """Those that have an answer that counts."""
    return [one for one in closed_sessions(sessions) if one.tally.n]


def _weighed(tally: Tally) -> tuple[bool, float]:
    found = evaluate(tally)
    assert not isinstance(found, SequentialEvidence)
    return found.verdict.difference, float(found.p_value)


def expected_alarms(sessions: Sequence[Closed]) -> FalseAlarms:
    """False alarms to expect if no difference at all were real.

    From each test's actual risk where its count has a critical number, else from the planned α.
    Raises SealedError for a session that is not closed.
    """
    risks = [_actual_alpha(one.tally) for one in _answered(sessions)]
    return many.false_alarms([risk for risk in risks if risk > 0])


def _actual_alpha(tally: Tally) -> float:
    design = tally.design
    return _risk(design, tally.n) if has_critical_number(tally) else design.alpha


# Many sessions are of one design and size.
@lru_cache(maxsize=1024)
def _risk(design: TestDesign, n: int) -> float:
    asked = (design.chance, np.zeros(1), design.alpha, design.sides)
    return float(power_curve(n, *asked)[0]) * design.sides


def repeated(sessions: Sequence[Closed], most: int | None = None) -> tuple[Repeated, ...]:
    """Comparisons of the same two samples, by methods that ask the same, made more than once; of
    many the `most` that were made most often.

    One-sided tests of a fixed size against a chance of guessing: others share no count that may be
    added up. Raises SealedError for a session that is not closed.
    """
    groups: dict[Hashable, list[ClosedSession]] = defaultdict(list)
    for session in _answered(sessions):
        if combinable(session.tally):
            groups[_compared(session)].append(session)
    again = [group for group in groups.values() if len(group) > 1]
    if most is not None and len(again) > most:
        again = sorted(again, key=len, reverse=True)[:most]
    return tuple(map(_together, again))


def combinable(tally: Tally) -> bool:
    """Whether a count may be weighed against others: one-sided, of a fixed size, with a chance."""
    design = tally.design
    return design.has_chance and design.sides == 1 and not design.sequential


def _compared(session: ClosedSession) -> Hashable:
    pair = frozenset((sample.kind, sample.id) for sample in (session.a, session.b))
    expected = session.tally.design.expected
    more = session.a if expected == "A" else session.b
    return pair, (session.tally.attribute, more.id if expected else "")


def _together(group: Sequence[ClosedSession]) -> Repeated:
    first = group[0]
    tallies = [session.tally for session in group]
    return Repeated(
        (first.a.name, first.b.name),
        asked(first),
        tuple(group),
        tuple((method, _combined(tallies, method)) for method in _methods(tallies)),
        agreed_distance([Score(one.count, one.n, one.method.model) for one in tallies]),
    )


def asked(session: ClosedSession) -> str:
    """What a session asked for, in words."""
    expected = session.tally.design.expected
    more = session.a if expected == "A" else session.b
    return f"{more.name} {session.tally.attribute}" if expected else "any difference"


def _methods(tallies: Sequence[Tally]) -> list[Method]:
    return list({tally.method.key: tally.method for tally in tallies}.values())


def _combined(tallies: Sequence[Tally], method: Method) -> Combined:
    own = [tally for tally in tallies if tally.method.key == method.key]
    counts, sizes = [tally.count for tally in own], [tally.n for tally in own]
    return many.combine(counts, sizes, method.chance)
