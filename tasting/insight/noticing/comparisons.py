"""From closed sessions to plain records: what was compared, how far apart it was, who said what.

The only place of the noticing model that reads a session. Sessions that compared the same two
drinks in the same way are added up (`pooled`, or before by `sums`), so that a fit costs as much as
there are different comparisons, however often they were run.
"""

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from tasting.errors import InputError
from tasting.insight.findings.closed_session import Closed, ClosedSession, closed_sessions
from tasting.insight.findings.tally import Tally
from tasting.insight.noticing.drivers import Drink, Driver, Reading, Scale, reading
from tasting.panel.design import Letter
from tasting.panel.methods import Method
from tasting.panel.plan import Sample
from tasting.stats.checks import Floats, Ints

Drinks = Callable[[Sample], Drink] | Mapping[str, Drink]
"""Finds the drink that a sample points to: a function, or a mapping by the sample's id."""


class Counted(NamedTuple):
    """One assessor's answers in a session: how many, and how many of them counted.

    A tuple, because there are as many as seats in all sessions, and tuples are added up fast.
    who: a number for the assessor, the same in every session, None where it is not known; never a
    pseudonym, because results are kept longer than those
    """

    n: int
    counted: int
    who: int | None = None


class SessionScore(NamedTuple):
    """Assessors who tasted equally often in one session, and how many of their answers counted."""

    replicates: int
    assessors: int
    counted: int


NOBODY_KNOWN = -1
"""Stands for an assessor of whom it is not known who it is."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What sessions asked of two samples. expected: the sample that the plan named, if it did
    fixed: whether the number of answers was fixed before, not by what came (a sequential test)"""

    method: Method
    attribute: str
    expected: Letter | None
    fixed: bool

    @property
    def lead(self) -> int:
        """1 where a counted answer speaks for B (or is correct), -1 where it speaks for A."""
        return -1 if self.expected == "A" else 1

    @property
    def adds_up(self) -> bool:
        """Whether counts of several sessions may be added: one-sided tests of a fixed size against
        a chance of guessing."""
        one_sided = self.method.has_right_answer or self.expected is not None
        return self.fixed and one_sided and self.method.psychometric is not None


@dataclass(frozen=True, slots=True)
class TastedPair:
    """Closed sessions that compared the same two samples in the same way, added up.

    sessions: id and name of each, oldest first; shown: how many of them show a difference
    answers: rows of tastings, those that counted, number of the assessor (or NOBODY_KNOWN), and in
        how many sessions the assessor had this score; the likelihood needs no more
    scores: how often a session had this score, for the check of the fit
    """

    asked: Asked
    a: Sample
    b: Sample
    sessions: tuple[tuple[str, str], ...]
    shown: int
    answers: Ints
    scores: Mapping[SessionScore, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pair:
    """Two samples and what was asked of them, levels with their uncertainty on the model's scale.

    lead: 1 where a counted answer speaks for B (or is correct), -1 where it speaks for A
    with_reference: whether one of the two is a reference
    """

    method: Method
    attribute: str
    a: Reading
    b: Reading
    with_reference: bool
    lead: int = 1

    @property
    def kind(self) -> str:
        """Whether it asked for a difference, a direction or a preference."""
        return self.method.question_kind

    @property
    def delta(self) -> Floats:
        """B minus A, one for each driver."""
        return self.b.levels - self.a.levels

    @property
    def components(self) -> dict[str, Floats]:
        """What one standard deviation of each source of uncertainty does to delta."""
        return difference_components(self.a, self.b)

    @property
    def known(self) -> bool:
        """Whether every level of both samples is known."""
        return bool(np.all(np.isfinite(self.delta)))


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedPair(_Pair):
    """One closed session as the model sees it."""

    session_id: str
    name: str
    counts: tuple[Counted, ...]

    @property
    def n(self) -> int:
        """Answers given."""
        return sum(one.n for one in self.counts)

    @property
    def count(self) -> int:
        """Answers that counted."""
        return sum(one.counted for one in self.counts)

    @property
    def named(self) -> tuple[tuple[str, str], ...]:
        """Its id and name."""
        return ((self.session_id, self.name),)


@dataclass(frozen=True, slots=True, kw_only=True)
class PooledPair(_Pair):
    """All sessions that compared the same two drinks in the same way, as sums.

    named, answers, scores: as `sessions`, `answers` and `scores` of a TastedPair
    """

    named: tuple[tuple[str, str], ...]
    answers: Ints
    scores: Mapping[SessionScore, int]

    @property
    def sessions(self) -> int:
        """How many there are."""
        return len(self.named)

    @property
    def n(self) -> int:
        """Answers given."""
        return int(self.answers[:, 0] @ self.answers[:, 3])

    @property
    def count(self) -> int:
        """Answers that counted."""
        return int(self.answers[:, 1] @ self.answers[:, 3])


Compared = ComparedPair | PooledPair
"""One session, or some that are added up already."""


def pooled(compared: Sequence[Compared]) -> tuple[PooledPair, ...]:
    """These sessions added up, in the order in which each comparison came first."""
    known: dict[int, Hashable] = {}
    alike: dict[Hashable, list[Compared]] = {}
    for one in compared:
        for each in (one.a, one.b):
            if id(each) not in known:
                known[id(each)] = each.key
        asked = one.method.key, one.attribute, one.with_reference, one.lead
        alike.setdefault((asked, known[id(one.a)], known[id(one.b)]), []).append(one)
    return tuple(_sum(sessions) for sessions in alike.values())


def _sum(alike: Sequence[Compared]) -> PooledPair:
    first, scores = alike[0], Counter[SessionScore]()
    if len(alike) == 1 and isinstance(first, PooledPair):
        return first
    for one in alike:
        scores.update(one.scores if isinstance(one, PooledPair) else _scores(one.counts))
    return PooledPair(
        method=first.method,
        attribute=first.attribute,
        a=first.a,
        b=first.b,
        with_reference=first.with_reference,
        lead=first.lead,
        named=tuple(named for one in alike for named in one.named),
        answers=_answers(alike),
        scores=scores,
    )


def _answers(alike: Sequence[Compared]) -> Ints:
    """Those that are added up already, and then all others added up."""
    counts = Counter(each for one in alike if isinstance(one, ComparedPair) for each in one.counts)
    rows = [
        (n, counted, NOBODY_KNOWN if who is None else who, times)
        for (n, counted, who), times in counts.items()
    ]
    own = np.array(rows, dtype=np.int64).reshape(-1, 4)
    return np.concatenate([*(one.answers for one in alike if isinstance(one, PooledPair)), own])


def _scores(counts: Sequence[Counted]) -> Iterator[SessionScore]:
    """The score of one session, by how often its assessors tasted."""
    for replicates in {n for n, _, _ in counts}:
        own = [count for n, count, _ in counts if n == replicates]
        yield SessionScore(replicates, len(own), sum(own))


def difference_components(a: Reading, b: Reading) -> dict[str, Floats]:
    """Uncertainty components of B minus A: what moves both alike cancels."""
    nothing = np.zeros_like(a.levels)
    return {
        source: b.components.get(source, nothing) - a.components.get(source, nothing)
        for source in sorted({*a.components, *b.components})
    }


def comparisons(
    sessions: Sequence[Closed], drinks: Drinks, drivers: Sequence[Driver], scale: Scale = "linear"
) -> tuple[ComparedPair, ...]:
    """The sessions that have an answer, in the order given. Methods without a chance of
    guessing (same-different, A-not-A) have no share that could be modelled.

    Raises SealedError for a session that is not closed, InputError for a drink that is not there.
    """
    closed = closed_sessions(sessions)
    known = readings(closed, drinks, drivers, scale)
    numbers: dict[str, int] = {}
    return tuple(
        _comparison(session, known[session.a], known[session.b], numbers)
        for session in closed
        if session.answers and session.tally.method.psychometric
    )


def in_sums(
    tasted: Sequence[TastedPair], drinks: Drinks, drivers: Sequence[Driver], scale: Scale = "linear"
) -> tuple[PooledPair, ...]:
    """The same of sessions that are added up already. Raises InputError as `comparisons`."""
    samples = [sample for one in tasted for sample in (one.a, one.b)]
    known = _readings(samples, drinks, drivers, scale)
    return tuple(
        PooledPair(
            method=one.asked.method,
            attribute=one.asked.attribute,
            a=known[one.a],
            b=known[one.b],
            with_reference="reference" in (one.a.kind, one.b.kind),
            lead=one.asked.lead,
            named=one.sessions,
            answers=one.answers,
            scores=one.scores,
        )
        for one in tasted
        if one.asked.method.psychometric
    )


def readings(
    sessions: Sequence[Closed], drinks: Drinks, drivers: Sequence[Driver], scale: Scale = "linear"
) -> dict[Sample, Reading]:
    """The levels of every drink that was tasted; each is composed once. Raises as `comparisons`."""
    tasted = [sample for each in closed_sessions(sessions) for sample in (each.a, each.b)]
    return _readings(tasted, drinks, drivers, scale)


def readings_of(
    tasted: Sequence[TastedPair], drinks: Drinks, drivers: Sequence[Driver]
) -> dict[Sample, Reading]:
    """The same of sessions that are added up already."""
    samples = [sample for one in tasted for sample in (one.a, one.b)]
    return _readings(samples, drinks, drivers, "linear")


def _readings(
    samples: Iterable[Sample], drinks: Drinks, drivers: Sequence[Driver], scale: Scale
) -> dict[Sample, Reading]:
    each = dict.fromkeys(samples)
    return {one: reading(find(drinks, one), drivers).scaled(scale) for one in each}


def find(drinks: Drinks, sample: Sample) -> Drink:
    """The drink that a sample points to. Raises InputError."""
    if callable(drinks):
        return drinks(sample)
    if sample.id not in drinks:
        raise InputError(f"there is no {sample.kind} with the id {sample.id!r}; give it as well")
    return drinks[sample.id]


def _comparison(
    session: ClosedSession, a: Reading, b: Reading, numbers: dict[str, int]
) -> ComparedPair:
    tally = session.tally
    return ComparedPair(
        session_id=session.id,
        name=session.name,
        method=tally.method,
        attribute=tally.attribute.strip().casefold(),
        a=a,
        b=b,
        with_reference="reference" in (session.a.kind, session.b.kind),
        counts=_counts(tally, numbers),
        lead=-1 if tally.design.expected == "A" else 1,
    )


def _counts(tally: Tally, numbers: dict[str, int]) -> tuple[Counted, ...]:
    """By assessor, those left out who were excluded, and without answers that chose no sample.
    `numbers` numbers assessors by pseudonym, and learns those who are new."""
    names = dict.fromkeys(given.assessor for given in tally.choosing)
    return tuple(
        Counted(n, count, numbers.setdefault(name, len(numbers)))
        for name, (count, n) in zip(names, tally.scores, strict=True)
        if n
    )
