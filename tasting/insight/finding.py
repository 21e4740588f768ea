"""What a closed session says, in numbers; `words` says it in sentences."""

from collections.abc import Sequence
from dataclasses import dataclass

from tasting.errors import InputError, SealedError
from tasting.insight import words
from tasting.insight.tally import Tally
from tasting.panel.session import Session
from tasting.stats.binomial import distinguishers, p_value, proportion_interval
from tasting.stats.results import Estimate, Interval
from tasting.stats.tables import CriticalNumber, critical

CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Finding:
    """A finding.

    p_value: exact, one- or two-sided as fixed in the plan
    critical: the number that shows a difference, and the published row that it was looked up in
    noticed: share of tastings in which the difference was noticed (p_d), with its exact interval
    shown: whether a difference is shown at the planned alpha
    """

    tally: Tally
    p_value: float
    critical: CriticalNumber
    noticed: Estimate
    shown: bool
    headline: str
    sentences: tuple[str, ...]
    cautions: tuple[str, ...]


def finding(session: Session) -> Finding:
    """The finding of a closed session.

    Raises SealedError while it is not closed, InputError when nobody answered.
    """
    if session.state != "closed":
        raise SealedError(f"the session {session.name!r} is {session.state}: close it first")
    return conclude(Tally.of_session(session))


def conclude(tally: Tally) -> Finding:
    """The finding of a tally. Raises InputError when there is no answer in it."""
    if tally.n == 0:
        raise InputError("no answer was given, so there is nothing to conclude")
    method = tally.method
    probability = p_value(tally.count, tally.n, method.chance, tally.sides)
    table = method.table if tally.sides == 1 else None
    number = critical(tally.n, method.chance, tally.alpha, tally.sides, table)
    noticed = noticed_share(tally)
    shown = tally.extreme >= number.value
    return Finding(
        tally=tally,
        p_value=probability,
        critical=number,
        noticed=noticed,
        shown=shown,
        headline=words.headline(tally, shown),
        sentences=(
            words.evidence(tally, number, probability),
            words.extent(tally, noticed, shown),
            words.next_step(tally, shown),
        ),
        cautions=words.cautions(tally),
    )


def noticed_share(tally: Tally) -> Estimate:
    """p_d with its exact 95 % interval (Clopper and Pearson 1934).

    One-sided: (p_c - chance) / (1 - chance), at least 0. Two-sided: the distance of the two
    choices, |2p - 1|, whose interval reaches down to 0 when it holds both directions.
    """
    if tally.sides == 1:
        return distinguishers(tally.count, tally.n, tally.method.chance, CONFIDENCE)
    interval = proportion_interval(tally.count, tally.n, CONFIDENCE)
    ends = (2 * interval.low - 1, 2 * interval.high - 1)
    nearest = 0.0 if ends[0] < 0 < ends[1] else min(map(abs, ends))
    farthest = max(map(abs, ends))
    value = abs(2 * tally.count / tally.n - 1)
    return Estimate(value, Interval(nearest, farthest, CONFIDENCE))


def findings(sessions: Sequence[Session]) -> list[tuple[Session, Finding]]:
    """The sessions that have an answer, each with its finding."""
    return [(session, finding(session)) for session in sessions if session.answers]
