"""Published values of the statistics: critical numbers, p-values, panel sizes, d′, Wald's lines."""

from collections.abc import Iterator
from math import nan

from tasting.published.check import PublishedValue, Row, check, ratio, rows
from tasting.stats import psychometric
from tasting.stats.binomial import critical_number, p_value
from tasting.stats.dprime import d_prime
from tasting.stats.power import panel_size
from tasting.stats.psychometric import Psychometric
from tasting.stats.ranking import least_difference
from tasting.stats.sequential import Decision, run, wald_test
from tasting.stats.similarity import largest_similar

_METHODS: dict[str, Psychometric] = {
    method.name: method
    for method in (
        psychometric.TWO_AFC,
        psychometric.THREE_AFC,
        psychometric.TRIANGLE,
        psychometric.DUO_TRIO,
        psychometric.TETRAD,
        psychometric.SPECIFIED_TETRAD,
    )
}
# Newell and MacFarlane's numbers come from simulations and were read by optical recognition.
_RANKS = 1.999


def _critical_numbers() -> Iterator[PublishedValue]:
    """Every printed or recalled critical number; a dash in print stands for n + 1."""
    for table, cells in (
        ("critical_numbers", rows("critical_numbers", folder="tasting.stats")),
        ("stat_critical_memory", rows("stat_critical_memory")),
    ):
        for row in cells:
            n, alpha = int(row["n"]), float(row["alpha"])
            case = f"chance {row['chance']}, n {n}, α {row['alpha']}"
            computed = critical_number(n, ratio(row["chance"]), alpha)
            yield check(table, row, case, row["critical"] or str(n + 1), computed)


def _p_values() -> Iterator[PublishedValue]:
    """Exact p-values of triangle tests."""
    for row in rows("stat_p_values"):
        computed = p_value(int(row["correct"]), int(row["n"]), 1 / 3)
        allowed = float(row["tolerance"])
        yield check("stat_p_values", row, row["case"], row["p"], computed, allowed=allowed)


def _panel_sizes() -> Iterator[PublishedValue]:
    """First n that reaches the power, and the n from which power stays."""
    for row in rows("stat_panel_size"):
        yield from _panel_size(row)


def _panel_size(row: Row) -> Iterator[PublishedValue]:
    table = "stat_panel_size"
    p_d, alpha, beta = (float(row[name]) for name in ("p_d", "alpha", "beta"))
    size = panel_size(ratio(row["chance"]), p_d, alpha, beta, sides=int(row["sides"]))
    case = (
        f"chance {row['chance']}, {row['sides']}-sided, p_d {row['p_d']}, "
        f"α {row['alpha']}, β {row['beta']}"
    )
    printed, known = row["n"] or row["computed_first"], float(row["differs"] or 0)
    yield check(table, row, case, printed, size.n, known_to_differ=known)
    earlier = {**row, "status": "computed"}
    if row["computed_lasting"]:
        yield check(table, earlier, f"{case}, lasting", row["computed_lasting"], size.lasting_n)


def _d_primes() -> Iterator[PublishedValue]:
    """d′, its standard error and both ends of its interval."""
    for row in rows("stat_d_prime"):
        found = d_prime(int(row["correct"]), int(row["n"]), _METHODS[row["method"]])
        case = f"{row['method']}, {row['correct']} of {row['n']}"
        for name, computed in (
            ("d_prime", found.value),
            ("standard_error", found.standard_error or nan),
            ("low", found.interval.low),
            ("high", found.interval.high),
        ):
            what = f"{case}: {name.replace('_', ' ')}"
            yield check("stat_d_prime", row, what, row[name], computed, allowed=2e-6)


def _sizes_for_a_distance() -> Iterator[PublishedValue]:
    """First n for a sensory distance, one-sided at α = 0.05."""
    for row in rows("stat_d_prime_size"):
        method = _METHODS[row["method"]]
        p_d = float(method.p_d(float(row["d_prime"])))
        size = panel_size(method.chance, p_d, 0.05, 1 - float(row["power"]))
        case = f"{row['method']}, d′ {row['d_prime']}, power {row['power']}"
        yield check("stat_d_prime_size", row, case, row["n"], size.n)


def _largest_for_similarity() -> Iterator[PublishedValue]:
    """Most correct answers that still show similarity."""
    for row in rows("stat_similarity"):
        n, p_d, beta = int(row["n"]), float(row["p_d"]), float(row["beta"])
        computed = largest_similar(n, ratio(row["chance"]), p_d, beta)
        case = f"chance {row['chance']}, n {n}, p_d {row['p_d']}, β {row['beta']}"
        known = float(row["differs"] or 0)
        yield check("stat_similarity", row, case, row["largest"], computed, known_to_differ=known)


def _wald_lines() -> Iterator[PublishedValue]:
    """Slope and intercepts of Wald's two lines."""
    for row in rows("stat_wald_lines"):
        chance = ratio(row["chance"])
        p_d = (float(row["p_1"]) - chance) / (1 - chance)
        found = wald_test(chance, p_d, float(row["alpha"]), float(row["beta"]))
        case = f"chance {row['chance']}, p₁ {float(row['p_1']):.3g}, α {row['alpha']}"
        for name in ("slope", "lower", "upper"):
            computed, what = getattr(found, name), f"{case}: {name}"
            yield check("stat_wald_lines", row, what, row[name], computed, allowed=1e-9)


def _wald_sequences() -> Iterator[PublishedValue]:
    """The tasting at which a printed sequence of answers is decided, as printed."""
    for row in rows("stat_wald_sequences"):
        counts = [0, *map(int, row["cumulative_correct"].split())]
        answers = [after > before for before, after in zip(counts, counts[1:], strict=False)]
        found = run(wald_test(1 / 2, 0.4, 0.1, 0.1), answers)
        decided = found.decision is Decision[row["outcome"]]
        case = f"{row['sample']}: tastings until {row['outcome'].lower().replace('_', ' ')}"
        computed = found.n if decided else 0
        yield check("stat_wald_sequences", row, case, row["tastings"], computed)


def _rank_differences() -> Iterator[PublishedValue]:
    """Least difference of two rank sums at 5 %."""
    for row in rows("stat_rank_sum_differences"):
        assessors, products = int(row["assessors"]), int(row["products"])
        computed = least_difference(assessors, products) or 0.0
        case = f"{assessors} assessors, {products} products"
        yield check(
            "stat_rank_sum_differences", row, case, row["critical"], computed, allowed=_RANKS
        )


STATISTICS = (
    _critical_numbers,
    _p_values,
    _panel_sizes,
    _d_primes,
    _sizes_for_a_distance,
    _largest_for_similarity,
    _wald_lines,
    _wald_sequences,
    _rank_differences,
)
