"""Many sessions looked at together: false alarms to expect, adjusted p-values, repeats combined."""

from collections import defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np

from tasting.insight.findings.closed_session import Closed, ClosedSession
from tasting.insight.findings.finding import Finding, findings
from tasting.insight.findings.kinds.sequential import SequentialEvidence
from tasting.insight.findings.tally import Tally
from tasting.panel.methods import Method
from tasting.stats import many
from tasting.stats.agreed_distance import AgreedDistance, agreed_distance
from tasting.stats.dprime import Score
from tasting.stats.many import Combined, FalseAlarms
from tasting.stats.power import power_curve

Known = Sequence[tuple[ClosedSession, Finding]]


@dataclass(frozen=True, slots=True)
class Adjusted:
    """A session's p-value beside those that allow for all the others."""

    session: ClosedSession
    finding: Finding
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
        (session, found, found.evidence.p_value)
        for session, found in findings(sessions)
        if not isinstance(found.evidence, SequentialEvidence)
    ]
    raw = [p for _, _, p in tested]
    both = zip(many.holm(raw), many.benjamini_hochberg(raw), strict=True) if raw else ()
    return tuple(
        Adjusted(session, found, p, float(holm), float(share))
        for (session, found, p), (holm, share) in zip(tested, both, strict=True)
    )


def expected_alarms(sessions: Sequence[Closed]) -> FalseAlarms:
    """False alarms to expect if no difference at all were real.

    From each test's actual risk where its count has a critical number, else from the planned α.
    Raises SealedError for a session that is not closed.
    """
    risks = [_actual_alpha(found) for _, found in findings(sessions)]
    return many.false_alarms([risk for risk in risks if risk > 0])


def _actual_alpha(finding: Finding) -> float:
    design = finding.tally.design
    if getattr(finding.evidence, "critical", None) is None:
        return design.alpha
    asked = (design.chance, np.zeros(1), design.alpha, design.sides)
    return float(power_curve(finding.tally.n, *asked)[0]) * design.sides


def repeated(sessions: Sequence[Closed]) -> tuple[Repeated, ...]:
    """Comparisons of the same two samples, by methods that ask the same, made more than once.

    One-sided tests of a fixed size against a chance of guessing: others share no count that may be
    added up. Raises SealedError for a session that is not closed.
    """
    groups: dict[Hashable, list[tuple[ClosedSession, Finding]]] = defaultdict(list)
    for session, found in findings(sessions):
        if combinable(found.tally):
            groups[_compared(session)].append((session, found))
    return tuple(_together(group) for group in groups.values() if len(group) > 1)


def combinable(tally: Tally) -> bool:
    """Whether a count may be weighed against others: one-sided, of a fixed size, with a chance."""
    design = tally.design
    return design.has_chance and design.sides == 1 and not design.sequential


def _compared(session: ClosedSession) -> Hashable:
    pair = frozenset((sample.kind, sample.id) for sample in (session.a, session.b))
    expected = session.tally.design.expected
    more = session.a if expected == "A" else session.b
    return pair, (session.tally.attribute, more.id if expected else "")


def _together(group: Known) -> Repeated:
    first = group[0][0]
    tallies = [found.tally for _, found in group]
    return Repeated(
        (first.a.name, first.b.name),
        asked(first),
        tuple(session for session, _ in group),
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
