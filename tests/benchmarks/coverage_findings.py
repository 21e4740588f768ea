"""Coverage of what findings say: leads, undecided answers, whole people, many sessions."""

from collections.abc import Iterator
from functools import cache

import numpy as np
from numpy.random import Generator
from scipy.stats import multinomial

from tasting.insight.findings.estimates import lead_of_all
from tasting.insight.findings.evidence import evaluate
from tasting.panel.methods import PAIRED, PREFERENCE, TRIANGLE
from tasting.stats.agreed_distance import agreed_distance
from tasting.stats.binomial import proportion_interval
from tasting.stats.dprime import Score
from tasting.stats.results import Estimate, Interval
from tests.benchmarks.promises import PROMISE, Row, exactly, inside, worst_of
from tests.insight.tallies import tally_by_assessor, tally_of

DRAWS = 400


def said(rng: Generator) -> Iterator[Row]:
    """Row after row."""
    yield from leads(rng)
    for spread in (0.0, 0.5):
        cases = [sessions(rng, mean, spread, count) for mean in (0.5, 1.5) for count in (2, 4)]
        what = f"d-prime of 2 and of 4 sessions of 24 triangles, spread {spread:g} between them"
        yield worst_of(what, PROMISE, cases, DRAWS)


def sessions(rng: Generator, mean: float, spread: float, count: int) -> list[bool]:
    """Sessions whose d-primes lie around a mean, below 0 counted as 0."""
    own = np.maximum(rng.normal(mean, spread, (DRAWS, count)), 0.0)
    scores = np.sort(rng.binomial(24, TRIANGLE.model.function(own)), axis=1)
    return [inside(_of_sessions(tuple(row.tolist())), mean) for row in scores]


@cache
def _of_sessions(scores: tuple[int, ...]) -> Interval:
    return agreed_distance([Score(own, 24, TRIANGLE.model) for own in scores]).interval


def leads(rng: Generator) -> Iterator[Row]:
    """Of one sample over the other."""
    for n in (12, 24, 40):
        values = [covered(n, lean, chose) for lean in LEANS for chose in (0.3, 0.6, 0.9)]
        yield exactly(f"lead of all {n} answers, undecided ones too", PROMISE, values)
    for people, sets in ((6, 4), (12, 2), (10, 3)):
        cases = [
            drawn(rng, people, sets, lean, spread)
            for lean in (0.5, 0.7, 0.9)
            for spread in (0.05, 0.3, 0.6)
        ]
        what = f"lead from {people} assessors x {sets}, whole people weighed"
        yield worst_of(what, PROMISE, cases, DRAWS)


LEANS = (0.5, 0.6, 0.75, 0.9, 0.99)


def covered(n: int, lean: float, chose: float) -> float:
    """Exact, over every number of choices of B, of A, and of neither; none without a choice."""
    results = [(b, a, n - b - a) for b in range(n + 1) for a in range(n + 1 - b) if a + b]
    p = (chose * lean, chose * (1 - lean), 1 - chose)
    weights = multinomial.pmf(results, n, p)
    truth = chose * abs(2 * lean - 1)
    hits = np.array([inside(_of_all(b, a, none), truth) for b, a, none in results])
    return float(weights[hits].sum() / weights.sum())


@cache
def _of_all(b: int, a: int, none: int) -> Interval:
    tally = tally_of(PREFERENCE, b, a + b, undecided=none)
    chosen = Estimate(b / (a + b), proportion_interval(b, a + b))
    return lead_of_all(tally, chosen).interval


def drawn(rng: Generator, people: int, sets: int, lean: float, spread: float) -> list[bool]:
    """People with a probability of their own of mean `lean`."""
    size = 1 / spread - 1
    p = rng.beta(lean * size, (1 - lean) * size, (DRAWS, people))
    scores = np.sort(rng.binomial(sets, p), axis=1)
    truth = abs(2 * lean - 1)
    return [inside(_of_people(tuple(row.tolist()), sets), truth) for row in scores]


@cache
def _of_people(scores: tuple[int, ...], sets: int) -> Interval:
    evidence = evaluate(tally_by_assessor(PAIRED, [(own, sets) for own in scores]))
    return evidence.noticed.interval
