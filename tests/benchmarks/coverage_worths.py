"""How often the intervals of worths cover: part of `stat_coverage`."""

from collections.abc import Iterator, Sequence
from itertools import product

import numpy as np
from numpy.random import Generator

from tasting.errors import InputError
from tasting.stats.results import Interval
from tasting.stats.worths import Worths, bradley_terry, davidson
from tests.benchmarks.promises import (
    PROMISE,
    Array,
    Outcomes,
    Row,
    chances,
    counted,
    exactly,
    inside,
    worst_of,
)

DRAWS = 200
WORTHS = (
    (0, 0, 0),
    (0.5, 0, -0.5),
    (1, 0, -1),
    (1.5, 0, -1.5),
    (2, 0, -2),
    (1, 1, -2),
    (2, -1, -1),
)


def of_worths(fit: Worths, truth: Sequence[float]) -> Iterator[tuple[Interval, float]]:
    """Every log-worth and every difference of two, with the truth."""
    for i, value in enumerate(truth):
        yield fit.log_worths[i].interval, value
        for j in range(i):
            yield fit.difference(i, j).interval, value - truth[j]


def paired_worths(n: int) -> Row:
    """Three products, each two compared n times."""
    results = counted(n, n, n)
    fits = []
    for a, b, c in results:
        try:
            fits.append(bradley_terry([[0, a, b], [n - a, 0, c], [n - b, n - c, 0]]))
        except InputError:
            fits.append(None)
    values = []
    for worths in WORTHS:
        w = np.exp(worths)
        p = [w[i] / (w[i] + w[j]) for i, j in ((0, 1), (0, 2), (1, 2))]
        weights = chances(results, (n, n, n), p)
        kept = [list(of_worths(fit, worths)) if fit else None for fit in fits]
        for place in range(6):
            outcomes = Outcomes.of(k[place][0] if k else None for k in kept)
            truth = next(k for k in kept if k)[place][1]
            values.append(outcomes.coverage(weights, truth))
    return exactly(f"log-worths and their differences, 3 products, {n} a pair", PROMISE, values)


def tied_worths(rng: Generator) -> Iterator[Row]:
    """Three products, each two compared 10 times, undecided allowed."""
    cases, ties = [], []
    for worths, nu in product(WORTHS[:4], (0.3, 1.0)):
        drawn = [_tied(rng, np.exp(worths), nu) for _ in range(DRAWS)]
        found = [(fit, of_worths(fit, worths)) for fit in drawn if fit]
        cases.append([inside(*pair) for _, pairs in found for pair in pairs])
        ties.append([inside(fit.tie_weight.interval, nu) for fit, _ in found if fit.tie_weight])
    what = "log-worths and their differences, ties allowed, 10 a pair"
    yield worst_of(what, PROMISE, cases, DRAWS)
    yield worst_of("tie weight, 10 a pair", PROMISE, ties, DRAWS)


def _tied(rng: Generator, worth: Array, nu: float) -> Worths | None:
    wins, ties = np.zeros((3, 3)), np.zeros((3, 3))
    for i, j in ((0, 1), (0, 2), (1, 2)):
        terms = np.array([worth[i], worth[j], nu * np.sqrt(worth[i] * worth[j])])
        wins[i, j], wins[j, i], ties[i, j] = rng.multinomial(10, terms / terms.sum())
    try:
        return davidson(wins, ties + ties.T)
    except InputError:
        return None
