"""How often the intervals cover, over grids of truths, as a table in Markdown.

Run from the project's folder:

    python -m tests.benchmarks.stat_coverage > tests/benchmarks/stat_coverage.md

Rows marked exact sum over every result that can come out; the others are seeded simulations, whose
Monte-Carlo error stands beside them. A result that allows no estimate (a product that was never
chosen) claims no interval and is left out, and so is a truth under which half of the results do.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from itertools import combinations_with_replacement, product

import numpy as np
from numpy.random import Generator
from scipy.special import gammaln, ndtr, ndtri
from scipy.stats import binom, multinomial

from tasting.stats.agreed_distance import compare_distances
from tasting.stats.binomial import distinguishers, proportion_interval
from tasting.stats.criterion import a_not_a, same_different
from tasting.stats.dprime import DPrime, Score, d_prime, pooled_d_prime
from tasting.stats.preference import preference
from tasting.stats.psychometric import (
    DUO_TRIO,
    SPECIFIED_TETRAD,
    TETRAD,
    THREE_AFC,
    TRIANGLE,
    TWO_AFC,
    Psychometric,
    says_same,
)
from tasting.stats.replicates import (
    fit_replicates,
    log_probabilities,
    replicated_limit,
)
from tasting.stats.results import Interval
from tasting.stats.sequential import Decision, Run, WaldTest, wald_test
from tasting.stats.sequential_interval import stopped_interval
from tasting.stats.similarity import upper_limit
from tests.benchmarks.coverage_findings import said
from tests.benchmarks.coverage_worths import paired_worths, tied_worths
from tests.benchmarks.promises import (
    PROMISE,
    Array,
    Outcomes,
    Row,
    chances,
    counted,
    exactly,
    inside,
    show,
    tried,
    worst_of,
)

SIZES = (8, 12, 24, 36, 60)
METHODS = (TWO_AFC, THREE_AFC, TRIANGLE, DUO_TRIO, TETRAD, SPECIFIED_TETRAD)
CHANCES = (1 / 2, 1 / 3, 1 / 6)
DISTANCES = np.arange(0, 3.01, 0.25)
FALSE_ALARMS = (0.05, 0.1, 0.2, 0.3, 0.5, 0.7)
SURE_DRAWS = 600
SPREADS = (0.0, 0.1, 0.2, 0.3, 0.5, 0.8)
SHARES = (0.02, 0.1, 0.3, 0.5, 0.8)


def one_count(found: Sequence[Interval], n: int, p: Array, truth: Array) -> Iterator[float]:
    """Coverage for counts of n answers, of truths that make p of them correct."""
    outcomes = Outcomes.of(found)
    for share, value in zip(p, truth, strict=True):
        yield outcomes.coverage(binom.pmf(np.arange(n + 1), n, share), value)


def shares() -> Iterator[Row]:
    p = np.linspace(0.01, 0.99, 99)
    p_d = np.linspace(0, 0.99, 100)
    exact = [one_count([proportion_interval(x, n) for x in range(n + 1)], n, p, p) for n in SIZES]
    yield exactly("share correct, Clopper-Pearson", PROMISE, np.concatenate([*map(list, exact)]))
    tied = [
        one_count([preference(x, n - x).model.interval for x in range(n + 1)], n, p, p)
        for n in SIZES
    ]
    yield exactly(
        "worth of one of a pair, ties modelled", PROMISE, np.concatenate([*map(list, tied)])
    )
    for what, ends in (
        ("p_d", lambda x, n, c: distinguishers(x, n, c).interval),
        ("p_d, one-sided upper limit", lambda x, n, c: Interval(0, upper_limit(x, n, c), 0.95)),
    ):
        values = [
            value
            for n, chance in product(SIZES, CHANCES)
            for value in one_count(
                [ends(x, n, chance) for x in range(n + 1)], n, chance + (1 - chance) * p_d, p_d
            )
        ]
        yield exactly(what, PROMISE, values)


@cache
def estimates(method: Psychometric, n: int) -> list[DPrime]:
    return [d_prime(x, n, method) for x in range(n + 1)]


def distances(n: int) -> Iterator[Row]:
    d = np.linspace(0, 3, 61)
    for name in ("exact", "interval"):
        values = [
            value
            for method in METHODS
            for value in one_count(
                [getattr(e, name) for e in estimates(method, n)], n, method.function(d), d
            )
        ]
        kind = "exact" if name == "exact" else "likelihood"
        yield exactly(f"d-prime, {kind}, n = {n}, d' 0 to 3, six methods", PROMISE, values)


def said_same(false_alarms: float, d: float) -> tuple[float, float]:
    tau = -np.sqrt(2) * ndtri(false_alarms / 2)
    return float(says_same(0.0, tau)), float(says_same(d, tau))


def said_a(false_alarms: float, d: float) -> tuple[float, float]:
    criterion = -ndtri(false_alarms)
    return float(ndtr(criterion)), float(ndtr(criterion - d))


def with_criterion(
    what: str,
    sizes: tuple[int, int],
    estimate: Callable[[int, int], Interval],
    said: Callable[[float, float], tuple[float, float]],
) -> Row:
    """Exact, over distances and shares of false alarms."""
    results = counted(*sizes)
    outcomes = Outcomes.of(tried(lambda r=r: estimate(*r)) for r in results)
    values = [
        outcomes.coverage(chances(results, sizes, said(alarms, d)), float(d))
        for alarms, d in product(FALSE_ALARMS, DISTANCES)
    ]
    return exactly(f"{what}, {sizes[0]} + {sizes[1]} sets, d' 0 to 3", PROMISE, values)


def with_criteria() -> Iterator[Row]:
    for n, m in ((8, 8), (12, 12), (24, 24), (8, 16)):
        yield with_criterion(
            "same-different",
            (n, m),
            lambda x, y, n=n, m=m: same_different(x, n, y, m).interval,
            said_same,
        )
    for n, m in ((8, 8), (12, 12), (20, 20), (8, 16)):
        yield with_criterion(
            "A-not-A",
            (n, m),
            lambda x, y, n=n, m=m: a_not_a([x, n - x], [y, m - y]).interval,
            said_a,
        )


def with_three_answers(n: int) -> Row:
    """A-not-A with a middle answer, exact: every way in which n cups of each can be judged."""
    rows = spreads(n, 2)
    outcomes = Outcomes.of(tried(lambda t=t: a_not_a(*t).interval) for t in product(rows, rows))
    values = []
    for d, edges in product(DISTANCES[::2], ((-0.3, 0.7), (0.5, 1.2), (1.0, 2.0))):
        for_a, other = (answer_chances(np.array(rows), edges, mean) for mean in (0.0, float(d)))
        values.append(outcomes.coverage(np.outer(for_a, other).ravel(), float(d)))
    return exactly(f"A-not-A with three answers, {n} + {n} cups, d' 0 to 3", PROMISE, values)


def answer_chances(results: Array, edges: tuple[float, ...], mean: float) -> Array:
    """Probability of each row of counts, if perceptions have this mean."""
    p = np.diff(ndtr([-np.inf, *(edge - mean for edge in edges), np.inf]))
    return np.asarray(multinomial.pmf(results, int(results[0].sum()), p))


def with_four_answers(rng: Generator) -> Row:
    """A-not-A with sureness, for timid and for bold people."""
    find = cache(lambda a, b: tried(lambda: a_not_a(a, b).interval))
    cases = []
    for d, edges in product((0.0, 1.0, 2.0, 3.0), ((-0.4, 0.4, 1.2), (0.5, 1.0, 1.5))):
        bins, hits = [-99, *edges, 99], []
        for _ in range(SURE_DRAWS):
            cups = rng.standard_normal(12), rng.standard_normal(12) + d
            found = find(*(tuple(np.histogram(cup, bins)[0].tolist()) for cup in cups))
            hits += [inside(found, d)] if found else []
        cases.append(hits)
    what = "A-not-A with four answers, 12 + 12 cups, d' 0 to 3"
    return worst_of(what, PROMISE, cases, SURE_DRAWS)


def spreads(assessors: int, replicates: int) -> list[tuple[int, ...]]:
    """How many assessors had 0, 1, ... correct: every way."""
    ways = combinations_with_replacement(range(replicates + 1), assessors)
    return [tuple(np.bincount(way, minlength=replicates + 1)) for way in ways]


def spread_chances(results: Array, mu: float, gamma: float, chance: float) -> Array:
    rows = log_probabilities(results.shape[1] - 1, np.asarray(mu), np.asarray(gamma), chance)
    ways = gammaln(results.sum(axis=1) + 1) - gammaln(results + 1).sum(axis=1)
    return np.asarray(np.exp(ways + results @ rows))


def replicates(assessors: int, times: int) -> Iterator[Row]:
    """Mean, spread and limit for similarity, over means and spreads, with and without chance."""
    ways = spreads(assessors, times)
    scores = [np.repeat(np.arange(times + 1), way).tolist() for way in ways]
    values: dict[str, list[float]] = {"mean mu": [], "spread gamma": [], "upper limit of p_d": []}
    for chance in (0.0, 1 / 3, 1 / 2):
        fits = [fit_replicates(score, times, chance) for score in scores]
        outcomes = {
            "mean mu": Outcomes.of(fit.mu.interval for fit in fits),
            "spread gamma": Outcomes.of(fit.gamma.interval for fit in fits),
        }
        if chance:
            limits = [replicated_limit(score, times, chance) for score in scores]
            outcomes["upper limit of p_d"] = Outcomes.of(Interval(0, u, 0.95) for u in limits)
        for mu, gamma in product(SHARES, SPREADS):
            weights = spread_chances(np.array(ways), mu, gamma, chance)
            for name, outcome in outcomes.items():
                truth = gamma if name == "spread gamma" else mu
                values[name].append(outcome.coverage(weights, truth))
    for name, found in values.items():
        yield exactly(f"replicates {assessors} x {times}, {name}", PROMISE, found)


def after_a_stop() -> Row:
    """p_d of a sequential test that stops, or ends undecided after 30 answers."""
    values = []
    for chance, p_d, alpha, beta in (
        (1 / 3, 0.5, 0.05, 0.1),
        (1 / 3, 0.3, 0.05, 0.2),
        (1 / 2, 0.4, 0.05, 0.05),
    ):
        test = wald_test(chance, p_d, alpha, beta)
        found = {key: stopped_interval(test, *key) for key in stops(test, 0.5)}
        outcomes = Outcomes.of(found.values())
        for share in np.linspace(0, 0.98, 50):
            weights = np.array(list(stops(test, chance + (1 - chance) * share).values()))
            values.append(outcomes.coverage(weights, float(share)))
    return exactly("p_d after a sequential stop, up to 30 answers", PROMISE, values)


def stops(test: WaldTest, p_c: float) -> dict[tuple[Run, int], float]:
    """Where the test stops, with how many correct answers, and how probably."""
    going, ended = {0: 1.0}, {}
    for n in range(1, 31):
        ahead: dict[int, float] = {}
        for correct, weight in going.items():
            for more, p in ((0, 1 - p_c), (1, p_c)):
                ahead[correct + more] = ahead.get(correct + more, 0.0) + weight * p
        going = {}
        for correct, weight in ahead.items():
            decision = test.decide(correct, n)
            if decision is Decision.GO_ON and n < 30:
                going[correct] = weight
            else:
                ended[Run(decision, n), correct] = weight
    return ended


def compared(one: Score, other: Score) -> Interval:
    return compare_distances([one], [other]).interval


def two_scores(n: int) -> Iterator[Row]:
    """One d-prime of two scores, and the difference of two, by the same and by two methods."""
    results, pooled, apart = counted(n, n), [], []
    for a, b in (
        (TRIANGLE, TRIANGLE),
        (TRIANGLE, TETRAD),
        (DUO_TRIO, TWO_AFC),
        (THREE_AFC, TETRAD),
    ):
        pairs = [(Score(x, n, a), Score(y, n, b)) for x, y in results]
        common = Outcomes.of(pooled_d_prime(pair).interval for pair in pairs)
        difference = Outcomes.of(
            None if all(one.correct == n for one in pair) else compared(*pair) for pair in pairs
        )
        for d, e in product(DISTANCES[::2], DISTANCES[::2]):
            p = float(a.function(d)), float(b.function(e))
            weights = chances(results, (n, n), p)
            apart.append(difference.coverage(weights, float(d - e)))
            if d == e:
                pooled.append(common.coverage(weights, float(d)))
    yield exactly(f"d-prime of two scores of {n}, pooled", PROMISE, pooled)
    yield exactly(f"difference of the d-primes of two scores of {n}", PROMISE, apart)


def table() -> Iterable[Row]:
    """Row after row."""
    rng = np.random.default_rng(2024)
    yield from shares()
    yield after_a_stop()
    for n in SIZES:
        yield from distances(n)
    for n in (12, 20):
        yield from two_scores(n)
    yield from with_criteria()
    yield with_three_answers(8)
    yield with_four_answers(rng)
    for assessors, times in ((8, 2), (12, 2), (8, 3), (6, 4)):
        yield from replicates(assessors, times)
    yield paired_worths(6)
    yield paired_worths(10)
    yield from tied_worths(rng)
    yield from said(np.random.default_rng(2025))


def main() -> None:
    """Print the table."""
    print("# Coverage of the intervals\n")
    print("Written by `python -m tests.benchmarks.stat_coverage`: the least and the mean share of")
    print(
        "results whose 95 % interval holds the truth, over a grid of truths. Rows marked exact sum"
    )
    print("over every result; the others are seeded simulations.\n")
    show(table())


if __name__ == "__main__":
    main()
