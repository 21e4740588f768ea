"""Which of many versions is preferred, from all closed preference sessions together."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse.csgraph import connected_components

from tasting.errors import InputError
from tasting.insight.findings.closed_session import Closed, ClosedSession, closed_sessions
from tasting.panel.plan import Sample
from tasting.stats.checks import Floats
from tasting.stats.worths import Worths, bradley_terry, davidson, unplaced

_LEAST = 3
Known = Mapping[tuple[str, str], Sample]
Vote = tuple[Sample, Sample, float]
"""Two samples, and how the first one did: 1 chosen, 0 not chosen, 0.5 neither preferred."""


@dataclass(frozen=True, slots=True)
class Preferred:
    """Samples in the order of `worths`, with what they rest on.

    votes: one for each person and session; `undecided` of them preferred neither
    """

    samples: tuple[Sample, ...]
    worths: Worths
    sessions: int
    votes: int
    undecided: int


def preferred(sessions: Sequence[Closed]) -> Preferred | None:
    """The largest group of samples that preference sessions connect; None for fewer than three.

    One vote for each person in each session: of repeated answers, what the person chose more
    often. Raises SealedError for a session that is not closed, and InputError where a sample was
    always, or never, preferred, so that it has no place.
    """
    asked = [
        session
        for session in closed_sessions(sessions)
        if session.tally.method.question_kind == "preference"
    ]
    known: dict[tuple[str, str], Sample] = {
        (sample.kind, sample.id): sample for session in asked for sample in (session.a, session.b)
    }
    votes = [vote for session in asked for vote in _votes(session, known)]
    samples = _connected(votes)
    if len(samples) < _LEAST:
        return None
    inside = set(samples)
    votes = [vote for vote in votes if vote[0] in inside]
    wins, ties = _tables(votes, samples)
    _check_placed(wins + ties, samples)
    found = davidson(wins, ties) if ties.any() else bradley_terry(wins)
    held = sum(known[session.a.kind, session.a.id] in inside for session in asked)
    return Preferred(samples, found, held, len(votes), sum(score == 0.5 for *_, score in votes))


def _votes(session: ClosedSession, known: Known) -> list[Vote]:
    """A sample is known by its kind and id; its name may have been another earlier."""
    lead: Counter[str] = Counter()
    for given in session.tally.given:  # an answer counts that chose B
        lead[given.assessor] += 0 if given.undecided else (-1 if given.counted else 1)
    a, b = known[session.a.kind, session.a.id], known[session.b.kind, session.b.id]
    return [(a, b, 0.5 + 0.5 * float(np.sign(excess))) for excess in lead.values()]


def _connected(votes: Sequence[Vote]) -> tuple[Sample, ...]:
    """The largest group of samples that have met, directly or through others."""
    pairs = {(id(a), id(b)): (a, b) for a, b, _ in votes}.values()
    samples = list(dict.fromkeys(sample for pair in pairs for sample in pair))
    if not samples:
        return ()
    met = np.zeros((len(samples), len(samples)))
    for a, b in pairs:
        met[samples.index(a), samples.index(b)] = 1
    _, label = connected_components(met, directed=False)
    largest = np.argmax(np.bincount(label))
    return tuple(sample for sample, own in zip(samples, label, strict=True) if own == largest)


def _tables(votes: Sequence[Vote], samples: Sequence[Sample]) -> tuple[Floats, Floats]:
    wins, ties = np.zeros((2, len(samples), len(samples)))
    places = {sample: place for place, sample in enumerate(samples)}
    for a, b, score in votes:
        i, j = places[a], places[b]
        if score == 0.5:
            ties[i, j] += 1
            ties[j, i] += 1
        else:
            wins[(i, j) if score == 1 else (j, i)] += 1
    return wins, ties


def _check_placed(beaten: Floats, samples: Sequence[Sample]) -> None:
    alone = unplaced(beaten)
    if alone:
        group = [samples[place].name for place in alone]
        rest = [sample.name for sample in samples if sample.name not in group]
        raise InputError(
            f"between {', '.join(group)} and {', '.join(rest)} everyone chose the same side, so "
            "the versions cannot be put in one order yet; taste more pairs"
        )
