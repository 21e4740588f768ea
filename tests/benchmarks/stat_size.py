"""How often the tests err where nothing is there, and how often they see what is, as a table.

Run from the project's folder:

    python -m tests.benchmarks.stat_size > tests/benchmarks/stat_size.md

Rows marked exact are sums over every count of a range of panel sizes; the others are seeded
simulations of one case, whose Monte-Carlo error stands beside them. Where a number of tastings is
planned for a power, panels of that number are drawn: perceptions from Thurstone's model, where
the plan is by d-prime, so that the method's decision rule is put to the test as well.
"""

from collections.abc import Callable, Iterable, Iterator

import numpy as np
from numpy.random import Generator
from scipy.stats import binom, fisher_exact

from tasting.stats.agreed_distance import compare_distances
from tasting.stats.binomial import critical_number
from tasting.stats.contrast_power import contrast_power, contrast_size
from tasting.stats.dprime import Score, pooled_d_prime
from tasting.stats.panel_check import assessors, halves, order_effect, position_effect
from tasting.stats.power import panel_size
from tasting.stats.preference import Preference, preference
from tasting.stats.psychometric import (
    DUO_TRIO,
    SPECIFIED_TETRAD,
    TETRAD,
    THREE_AFC,
    TRIANGLE,
    TWO_AFC,
    Psychometric,
)
from tasting.stats.ranking import friedman, rank_differences
from tasting.stats.replicates import fit_replicates, sign_change_p_value
from tasting.stats.sequential import Decision, run, wald_test
from tasting.stats.similarity import largest_similar, similarity_size
from tasting.stats.worths import bradley_terry
from tests.benchmarks.promises import Array, Row, exactly, show, simulated
from tests.benchmarks.verdict_size import verdicts

ALPHA = 0.05
SIZE = "<= 0.05"
POWER = ">= 0.90"
SEEN = "> 0.05"
"""More often than where nothing is there; no plan promises how often."""
PANELS = 4000


def differences() -> Iterator[Row]:
    """The exact tests, over panels of 6 to 200."""
    n = np.arange(6, 201)
    for name, chance, sides in (("1/3", 1 / 3, 1), ("1/2", 1 / 2, 1), ("1/2, two-sided", 1 / 2, 2)):
        x = critical_number(n, chance, ALPHA, sides)
        yield exactly_most(f"difference, chance {name}", sides * binom.sf(x - 1, n, chance))
    x = np.array([largest_similar(int(size), 1 / 3, 0.3) for size in n])
    yield exactly_most("similarity, triangle, p_d 0.3", binom.cdf(x, n, 1 / 3 + 0.2))
    sizes = [(n, m) for n in (6, 10, 20, 40) for m in (6, 10, 20, 40)]
    shares = np.linspace(0.05, 0.95, 19)
    found = [contrast_power(n, m, share, share, ALPHA) for n, m in sizes for share in shares]
    yield exactly_most("contrast (Fisher), 6 to 40 sets of a kind", np.array(found))


def exactly_most(what: str, values: Array) -> Row:
    """The greatest value of a grid of exact ones."""
    row = exactly(f"size: {what}", SIZE, values)
    return Row(row.what, row.nominal, float(values.max()), row.mean)


def apart(a: Array, b: Array) -> Array:
    """Distances of two perceptions."""
    return np.asarray(np.abs(a - b))


def triangle(a: Array, b: Array) -> Array:
    """Right if the two alike are the two closest to each other."""
    alike = apart(a[:, 0], a[:, 1])
    return np.asarray((alike < apart(a[:, 0], b[:, 0])) & (alike < apart(a[:, 1], b[:, 0])))


def duo_trio(a: Array, b: Array) -> Array:
    """Right if the one like the reference is closer to it."""
    return np.asarray(apart(a[:, 0], a[:, 1]) < apart(a[:, 0], b[:, 0]))


def tetrad(a: Array, b: Array) -> Array:
    """Right if the two weakest, or the two strongest, are of one kind."""
    return np.asarray((a.max(axis=1) < b.min(axis=1)) | (b.max(axis=1) < a.min(axis=1)))


JUDGED: dict[Psychometric, tuple[int, int, Callable[[Array, Array], Array]]] = {
    TRIANGLE: (2, 1, triangle),
    DUO_TRIO: (2, 1, duo_trio),
    TETRAD: (2, 2, tetrad),
    SPECIFIED_TETRAD: (2, 2, lambda a, b: a.max(axis=1) < b.min(axis=1)),
    TWO_AFC: (1, 1, lambda a, b: a[:, 0] < b[:, 0]),
    THREE_AFC: (2, 1, lambda a, b: a.max(axis=1) < b[:, 0]),
}
"""Cups of A and of B in a set, and whether their perceptions lead to a correct answer."""


def planned_by_distance(rng: Generator) -> Iterator[Row]:
    """As many sets as planned for d-prime 1, judged by what is perceived."""
    for method, (of_a, of_b, right) in JUDGED.items():
        plan = panel_size(method.chance, float(method.p_d(1.0)), ALPHA, 0.1)
        panels = PANELS if plan.n < 200 else PANELS // 8
        sets = panels * plan.n
        a, b = rng.standard_normal((sets, of_a)), rng.standard_normal((sets, of_b)) + 1.0
        correct = right(a, b).reshape(panels, plan.n).sum(axis=1)
        shown = (correct >= plan.critical_number).tolist()
        yield simulated(f"power: {method.name}, {plan.n} sets planned for d' 1", POWER, shown)


def planned_by_share(rng: Generator) -> Iterator[Row]:
    """As many tastings as planned for a share that notices; two-sided, and for similarity."""
    pair = panel_size(1 / 2, 0.4, ALPHA, 0.1, sides=2)
    chosen = rng.binomial(pair.n, 0.7, PANELS)
    shown = np.maximum(chosen, pair.n - chosen) >= pair.critical_number
    yield simulated(f"power: two-sided, {pair.n} planned for p_d 0.4", POWER, shown.tolist())
    alike = similarity_size(1 / 3, 0.3, 0.1, 0.05)
    within = rng.binomial(alike.n, 1 / 3, PANELS) <= alike.largest
    yield simulated(
        f"power: similarity, {alike.n} triangles planned for p_d 0.3", POWER, within.tolist()
    )
    half = contrast_size(0.8, 0.4, ALPHA, 0.1).n // 2
    some, none = rng.binomial(half, 0.8, 1000), rng.binomial(half, 0.4, 1000)
    found = [
        fisher_exact([[x, half - x], [y, half - y]], alternative="greater").pvalue <= ALPHA
        for x, y in zip(some, none, strict=True)
    ]
    yield simulated(f"power: contrast, {2 * half} sets planned for 0.8 against 0.4", POWER, found)


def sequences(rng: Generator) -> Iterator[Row]:
    """Wald's test, until it decides."""
    plan = wald_test(1 / 3, 0.4, ALPHA, 0.10)
    for p, decision, nominal in (
        (1 / 3, Decision.DIFFERENT, SIZE),
        (0.6, Decision.SIMILAR, "<= 0.10"),
        (1 / 3, Decision.SIMILAR, ">= 0.95"),
        (0.6, Decision.DIFFERENT, POWER),
    ):
        hits = [run(plan, rng.random(500) < p).decision is decision for _ in range(PANELS)]
        wrong = nominal.startswith("<=")
        what = f"{'size' if wrong else 'power'}: sequential triangle, {decision.value}"
        yield simulated(f"{what}, {'wrongly' if wrong else 'rightly'}", nominal, hits)


def no_spread(rng: Generator) -> Iterator[Row]:
    """Spread between assessors, and preferences of people who each hold to their own."""
    for kind, nominal, gamma in (("size", SIZE, 0.0), ("power", SEEN, 0.4)):
        hits = []
        for _ in range(300):
            p = rng.beta(*(2 * [(1 / gamma - 1) / 2]), 24) if gamma else np.full(24, 0.5)
            hits.append(fit_replicates(rng.binomial(3, p).tolist(), 3).p_value <= ALPHA)
        yield simulated(f"{kind}: spread {gamma:g} between 24 assessors x 3", nominal, hits)
    for kind, nominal, lean in (("size", SIZE, 0.5), ("power", SEEN, 0.7)):
        a, b = lean * 7 / 3, (1 - lean) * 7 / 3  # a spread of 0.3
        hits = [
            sign_change_p_value((2 * rng.binomial(3, rng.beta(a, b, 12)) - 3).tolist()) <= ALPHA
            for _ in range(2000)
        ]
        yield simulated(f"{kind}: replicated preference 12 x 3, lean {lean:g}", nominal, hits)


WAYS: dict[str, Callable[[Preference], float]] = {
    "dropped": lambda found: found.dropped_p_value,
    "split": lambda found: found.split_p_value,
    "modelled": lambda found: found.model.p_value,
}


def undecided(rng: Generator) -> Iterator[Row]:
    """Preference of 60 people, a fifth of them without one."""
    for kind, nominal, shares in (
        ("size", SIZE, [0.4, 0.4, 0.2]),
        ("power", SEEN, [0.55, 0.25, 0.2]),
    ):
        found = [preference(*rng.multinomial(60, shares).tolist()) for _ in range(2000)]
        for name, p_value in WAYS.items():
            hits = [p_value(one) <= ALPHA for one in found]
            yield simulated(f"{kind}: preference, undecided {name}", nominal, hits)


def several(rng: Generator) -> Iterator[Row]:
    """Scores of a triangle and a tetrad, of one distance or of two."""
    for kind, nominal, d, e in (("size", SIZE, 1.5, 1.5), ("power", SEEN, 0.5, 2.5)):
        pairs = [
            [
                Score(int(rng.binomial(30, float(method.function(at)))), 30, method)
                for method, at in ((TRIANGLE, d), (TETRAD, e))
            ]
            for _ in range(300)
        ]
        uneven = [pooled_d_prime(pair).p_value <= ALPHA for pair in pairs]
        differ = [compare_distances([a], [b]).p_value <= ALPHA for a, b in pairs]
        yield simulated(f"{kind}: homogeneity of d', {d:g} and {e:g}", nominal, uneven)
        yield simulated(f"{kind}: comparison of d', {d:g} and {e:g}", nominal, differ)


def many_products(rng: Generator) -> Iterator[Row]:
    """Worths of four products, and their ranks by 12 people."""
    for kind, nominal, step in (("size", SIZE, 0.0), ("power", SEEN, 0.3)):
        worth = np.exp(step * np.arange(4))
        p = worth[:, None] / (worth[:, None] + worth)
        hits = []
        for _ in range(400):
            upper = np.triu(rng.binomial(30, p), 1)
            hits.append(bradley_terry(upper + np.tril(30 - upper.T, -1)).p_value <= ALPHA)
        yield simulated(f"{kind}: four worths, 30 a pair, steps of {step:g}", nominal, hits)
        ratings = [rng.random((12, 4)) + step * np.arange(4) for _ in range(2000)]
        found = [friedman(rating) for rating in ratings]
        pairs = [min(one.p_value for one in rank_differences(rating)) for rating in ratings[:400]]
        small = [friedman(rng.random((4, 3)) + step * np.arange(3)) for _ in range(2000)]
        for name, p_values in (
            ("Friedman, 4 x 3, exact", [one.p_value for one in small]),
            ("Friedman, 12 x 4, exact", [one.p_value for one in found]),
            ("Friedman, 12 x 4, F", [one.f_p_value for one in found]),
            ("any pair of rank sums, 12 x 4", pairs),
        ):
            shown = [p_value <= ALPHA for p_value in p_values]
            yield simulated(f"{kind}: {name}, steps of {step:g}", nominal, shown)


def checks(rng: Generator) -> Iterator[Row]:
    """Is the panel well? A panel that is, and one that prefers the first cup, tires, or cannot."""
    for kind, nominal, sick in (("size", SIZE, 0.0), ("power", SEEN, 0.35)):
        place, order, half, family = [], [], [], []
        for _ in range(400):
            place.append(position_effect(_places(rng, sick), rng, 499).p_value <= ALPHA)
            right = rng.binomial(8, np.array([0.5 - sick, 0.5, 0.5 + sick]))
            order.append(order_effect(right.tolist(), [8] * 3, rng, 499).p_value <= ALPHA)
            first, second = (int(rng.binomial(24, 0.5 + lean)) for lean in (sick / 2, -sick / 2))
            half.append(halves((first, 24), (second, 24)).p_value <= ALPHA)
            family.append(_worst_assessor(rng, sick) <= ALPHA)
        yield simulated(f"{kind}: position check, 24 sets", nominal, place)
        yield simulated(f"{kind}: serving-order check, 24 sets", nominal, order)
        yield simulated(f"{kind}: first half against second, 24 + 24", nominal, half)
        yield simulated(f"{kind}: any of 12 assessors, 6 sessions, Holm", nominal, family)


def _places(rng: Generator, sick: float) -> Array:
    """Sets by place of the odd cup and place chosen; the sick choose the first too often."""
    chosen = np.zeros((3, 3), dtype=np.int64)
    for odd in range(3):
        p = (1 - sick) * np.where(np.arange(3) == odd, 0.5, 0.25) + sick * (np.arange(3) == 0)
        chosen[odd] = rng.multinomial(8, p)
    return chosen


def _worst_assessor(rng: Generator, sick: float) -> float:
    """The smallest p of twelve people in six sessions; the first one tastes no difference."""
    sessions, people = np.repeat(range(6), 12).tolist(), np.tile(range(12), 6).tolist()
    p = np.where(np.array(people) == 0, 0.5 - sick, 0.5 + sick)
    found = assessors(sessions, people, (rng.random(72) < p).tolist())
    return min(check.holm_p_value for check in found)


def table() -> Iterable[Row]:
    """Row after row."""
    rng = np.random.default_rng(2024)
    yield from differences()
    for kind in (
        planned_by_distance,
        planned_by_share,
        sequences,
        no_spread,
        undecided,
        several,
        many_products,
        checks,
    ):
        yield from kind(rng)
    yield from verdicts(np.random.default_rng(2025))


def main() -> None:
    """Print the table."""
    print("# Size and power of the tests\n")
    print("Written by `python -m tests.benchmarks.stat_size`: how often a test at α = 0.05 shows")
    print(
        "what is not there (size), and what is (power). Exact rows give the greatest and the mean"
    )
    print("value over a range of panels; the others are seeded simulations of one case. Where a")
    print("number of sets was planned for a power, that power is the promise; elsewhere what is")
    print("there has to be seen more often than what is not.\n")
    show(table())


if __name__ == "__main__":
    main()
