"""How often the intervals cover and the tests err, as a table in Markdown.

Run from the project's folder:

    python -m tests.benchmarks.stat_coverage > tests/benchmarks/stat_coverage.md

Rows marked exact are sums over every possible count; the others are seeded simulations, whose
Monte-Carlo error (two standard errors) stands beside them.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.random import Generator
from scipy.stats import binom

from tasting.stats.binomial import critical_number, distinguishers, proportion_interval
from tasting.stats.criterion import a_not_a, same_different
from tasting.stats.dprime import Score, compare_d_primes, d_prime, pooled_d_prime
from tasting.stats.panel_check import assessors, order_effect, position_effect
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
from tasting.stats.ranking import friedman
from tasting.stats.replicates import fit_replicates, sign_change_p_value
from tasting.stats.results import Interval
from tasting.stats.sequential import Decision, run, wald_test
from tasting.stats.similarity import largest_similar
from tasting.stats.worths import bradley_terry

SIZES = (12, 24, 36, 60)
METHODS = (TWO_AFC, THREE_AFC, TRIANGLE, DUO_TRIO, TETRAD, SPECIFIED_TETRAD)
CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: the least (or greatest) value found and the mean over the grid."""

    what: str
    nominal: str
    worst: float
    mean: float
    error: float | None = None

    def __str__(self) -> str:
        error = "exact" if self.error is None else f"± {self.error:.3f}"
        return f"| {self.what} | {self.nominal} | {self.worst:.3f} | {self.mean:.3f} | {error} |"


def covered(intervals: list[Interval], n: int, p: np.ndarray, truth: np.ndarray) -> np.ndarray:
    """Exact coverage at each truth, whose probability of a correct answer is p."""
    low, high = np.array([(i.low, i.high) for i in intervals]).T
    inside = (low <= truth[:, None] + 1e-9) & (truth[:, None] - 1e-9 <= high)
    return np.sum(binom.pmf(np.arange(n + 1), n, p[:, None]) * inside, axis=1)


def proportions() -> Row:
    p = np.linspace(0.01, 0.99, 197)
    values = [covered([proportion_interval(x, n) for x in range(n + 1)], n, p, p) for n in SIZES]
    return _summed("share correct, Clopper-Pearson", values)


def shares_who_notice() -> Row:
    p_d = np.linspace(0, 0.99, 100)
    values = []
    for n in SIZES:
        for chance in (1 / 2, 1 / 3, 1 / 6):
            found = [distinguishers(x, n, chance).interval for x in range(n + 1)]
            values.append(covered(found, n, chance + (1 - chance) * p_d, p_d))
    return _summed("p_d", values)


@cache
def estimates(method: Psychometric, n: int) -> list:
    return [d_prime(x, n, method) for x in range(n + 1)]


def distances(name: str, pick: Callable[[object], Interval], n: int) -> Row:
    d = np.linspace(0, 3, 121)
    values = [covered([pick(e) for e in estimates(m, n)], n, m.function(d), d) for m in METHODS]
    promised = ">= 0.95" if name == "exact" else "0.95 on average"
    return _summed(f"d-prime, {name}, n = {n}, d' 0 to 3, six methods", values, promised)


def _summed(what: str, values: list[np.ndarray], promised: str = ">= 0.95") -> Row:
    joined = np.concatenate(values)
    return Row(f"coverage: {what}", promised, float(joined.min()), float(joined.mean()))


def difference_sizes() -> list[Row]:
    n, rows = np.arange(6, 201), []
    for name, chance, sides in (("1/3", 1 / 3, 1), ("1/2", 1 / 2, 1), ("1/2, two-sided", 1 / 2, 2)):
        x = critical_number(n, chance, 0.05, sides)
        size = sides * binom.sf(x - 1, n, chance)
        rows.append(Row(f"size: difference, chance {name}", "<= 0.05", size.max(), size.mean()))
    x = np.array([largest_similar(int(size), 1 / 3, 0.3) for size in n])
    wrong = binom.cdf(x, n, 1 / 3 + 0.2)
    rows.append(Row("size: similarity, triangle, p_d 0.3", "<= 0.05", wrong.max(), wrong.mean()))
    return rows


def simulated(what: str, nominal: str, hits: list[bool]) -> Row:
    share = float(np.mean(hits))
    return Row(what, nominal, share, share, 2 * float(np.sqrt(share * (1 - share) / len(hits))))


def inside(interval: Interval, truth: float) -> bool:
    return interval.low <= truth + 1e-9 and truth - 1e-9 <= interval.high


def replicates(rng: Generator, mu: float, gamma: float, chance: float) -> Row:
    a, b = (share * (1 / gamma - 1) for share in (mu, 1 - mu))
    hits = []
    for _ in range(200):
        p = chance + (1 - chance) * rng.beta(a, b, 24)
        fit = fit_replicates(rng.binomial(3, p).tolist(), 3, chance)
        hits.append(inside(fit.mu.interval, mu))
    what = f"coverage: replicates 24 x 3, mu {mu}, gamma {gamma}, chance {chance:.2f}"
    return simulated(what, ">= 0.95", hits)


def no_spread(rng: Generator) -> Row:
    hits = [
        fit_replicates(rng.binomial(3, 0.5, 24).tolist(), 3).p_value <= 0.05 for _ in range(300)
    ]
    return simulated("size: no spread between 24 assessors x 3", "<= 0.05", hits)


def flipped_assessors(rng: Generator) -> Row:
    hits = []
    for _ in range(2000):
        chosen = rng.binomial(3, rng.beta(7 / 6, 7 / 6, 12))
        hits.append(sign_change_p_value((2 * chosen - 3).tolist()) <= 0.05)
    return simulated("size: replicated preference 12 x 3, gamma 0.3", "<= 0.05", hits)


def undecided(rng: Generator) -> list[Row]:
    found = [preference(*rng.multinomial(60, [0.4, 0.4, 0.2]).tolist()) for _ in range(2000)]
    ways = {
        "dropped": [f.dropped_p_value <= 0.05 for f in found],
        "split": [f.split_p_value <= 0.05 for f in found],
        "modelled": [f.model.p_value <= 0.05 for f in found],
    }
    return [simulated(f"size: preference, undecided {k}", "<= 0.05", v) for k, v in ways.items()]


def wald(rng: Generator) -> list[Row]:
    plan, rows = wald_test(1 / 3, 0.4, 0.05, 0.10), []
    for p, wrong, nominal in (
        (1 / 3, Decision.DIFFERENT, "<= 0.05"),
        (0.6, Decision.SIMILAR, "<= 0.10"),
    ):
        hits = [run(plan, rng.random(500) < p).decision is wrong for _ in range(4000)]
        rows.append(simulated(f"risk: sequential triangle, {wrong.value} wrongly", nominal, hits))
    return rows


def with_criteria(rng: Generator, d: float) -> list[Row]:
    same, other = float(says_same(0.0, 1.5)), float(says_same(d, 1.5))
    pairs = [
        same_different(int(rng.binomial(40, same)), 40, int(rng.binomial(40, other)), 40)
        for _ in range(300)
    ]
    edges = [-99, -0.4, 0.4, 1.2, 99]
    sure = []
    for _ in range(200):
        a, b = rng.standard_normal(40), rng.standard_normal(40) + d
        counts = [np.histogram(x, edges)[0].tolist() for x in (a, b)]
        sure.append(inside(a_not_a(*counts).interval, d))
    return [
        simulated(
            f"coverage: same-different, d' {d}", ">= 0.95", [inside(p.interval, d) for p in pairs]
        ),
        simulated(f"coverage: A-not-A with four answers, d' {d}", ">= 0.95", sure),
    ]


def several(rng: Generator, d: float) -> list[Row]:
    pooled, uneven, apart, differ = [], [], [], []
    for _ in range(200):
        scores = [
            Score(int(rng.binomial(30, float(m.function(d)))), 30, m) for m in (TRIANGLE, TETRAD)
        ]
        both, pair = pooled_d_prime(scores), compare_d_primes(*scores)
        pooled.append(inside(both.interval, d))
        uneven.append(both.p_value <= 0.05)
        apart.append(inside(pair.interval, 0.0))
        differ.append(pair.p_value <= 0.05)
    return [
        simulated(f"coverage: pooled d', d' {d}", ">= 0.95", pooled),
        simulated(f"size: homogeneity of d', d' {d}", "<= 0.05", uneven),
        simulated(f"coverage: difference of d', d' {d}", ">= 0.95", apart),
        simulated(f"size: comparison of d', d' {d}", "<= 0.05", differ),
    ]


def worths(rng: Generator) -> list[Row]:
    worth = np.array([1.0, 1.5, 2.0, 3.0])
    p = worth[:, None] / (worth[:, None] + worth)
    hits, alarms = [], []
    for _ in range(1000):
        upper = np.triu(rng.binomial(30, p), 1)
        wins = upper + np.tril(30 - upper.T, -1)
        hits.append(inside(bradley_terry(wins).difference(3, 0).interval, np.log(3)))
        level = np.triu(rng.binomial(30, 0.5, (4, 4)), 1)
        alarms.append(bradley_terry(level + np.tril(30 - level.T, -1)).p_value <= 0.05)
    return [
        simulated("coverage: difference of log-worths, 30 a pair", ">= 0.95", hits),
        simulated("size: equal worths, 30 a pair", "<= 0.05", alarms),
    ]


def rankings(rng: Generator) -> list[Row]:
    found = [friedman(rng.random((12, 4))) for _ in range(2000)]
    return [
        simulated(
            "size: Friedman, 12 x 4, chi-square", "<= 0.05", [f.p_value <= 0.05 for f in found]
        ),
        simulated("size: Friedman, 12 x 4, F", "<= 0.05", [f.f_p_value <= 0.05 for f in found]),
    ]


def checks(rng: Generator) -> list[Row]:
    place, order, family = [], [], []
    sessions, people = np.repeat(range(6), 12).tolist(), np.tile(range(12), 6).tolist()
    for _ in range(600):
        right = rng.binomial(8, 0.5, 3)
        wrong = [rng.multinomial(8 - r, w) for r, w in zip(right, (1 - np.eye(3)) / 2, strict=True)]
        place.append(position_effect(np.diag(right) + wrong, rng, 499).p_value <= 0.05)
        order.append(
            order_effect(rng.binomial(4, 0.5, 6).tolist(), [4] * 6, rng, 499).p_value <= 0.05
        )
        found = assessors(sessions, people, (rng.random(72) < 0.5).tolist())
        family.append(min(check.holm_p_value for check in found) <= 0.05)
    return [
        simulated("size: position check, 24 sets", "<= 0.05", place),
        simulated("size: serving-order check, 24 sets", "<= 0.05", order),
        simulated("size: any of 12 assessors, Holm", "<= 0.05", family),
    ]


def table() -> list[Row]:
    rng = np.random.default_rng(2024)
    profile = [distances("profile likelihood", lambda e: e.interval, n) for n in SIZES]
    exact = [distances("exact", lambda e: e.exact, n) for n in SIZES]
    rows = [proportions(), shares_who_notice(), *exact, *profile, *difference_sizes()]
    rows += [replicates(rng, *truth) for truth in ((0.3, 0.3, 1 / 3), (0.5, 0.2, 0.0))]
    rows += [no_spread(rng), flipped_assessors(rng), *undecided(rng), *wald(rng)]
    rows += [*with_criteria(rng, 1.0), *several(rng, 1.5), *worths(rng), *rankings(rng)]
    return [*rows, *checks(rng)]


def main() -> None:
    print("# Coverage of the intervals, size of the tests\n")
    print(
        "Written by `python -m tests.benchmarks.stat_coverage`. Exact rows give the worst and the"
    )
    print("mean value over their grid; the others are seeded simulations of one case.\n")
    print(
        "The profile-likelihood interval of d-prime holds its level on average only: it falls short"
    )
    print("where nearly every answer is right. The exact interval beside it never does.\n")
    print("| what | nominal | worst | mean | error |\n|---|---|---|---|---|")
    for row in table():
        print(row)


if __name__ == "__main__":
    main()
