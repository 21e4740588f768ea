"""How fast the statistics are, as ratios measured in one run, against their floors.

Run from the project's folder: `python -m tests.benchmarks.stat_speed`. Slow alternatives are timed
on a sample and scaled up; the sample is named in the line. Exits with 1 if a floor is missed.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from math import pi, sqrt
from time import perf_counter

import numpy as np
from scipy import integrate, special
from scipy.stats import binom, binomtest

from tasting.stats import power as power_module
from tasting.stats.binomial import p_value
from tasting.stats.dprime import d_prime
from tasting.stats.power import panel_size
from tasting.stats.psychometric import (
    DUO_TRIO,
    SPECIFIED_TETRAD,
    TETRAD,
    THREE_AFC,
    TRIANGLE,
    TWO_AFC,
)

RISKS = (0.2, 0.1, 0.05, 0.01, 0.001)
SHARES = (0.1, 0.2, 0.3, 0.4, 0.5)
METHODS = (("triangle", 1 / 3, 1), ("duo-trio, paired one-sided", 1 / 2, 1), ("paired", 1 / 2, 2))
METHOD_CURVES = (TWO_AFC, THREE_AFC, TRIANGLE, DUO_TRIO, TETRAD, SPECIFIED_TETRAD)


@dataclass(frozen=True, slots=True)
class Line:
    """One measured ratio; `at_least` says on which side of the floor it must lie."""

    what: str
    ratio: float
    floor: float
    at_least: bool

    @property
    def met(self) -> bool:
        return self.ratio >= self.floor if self.at_least else self.ratio <= self.floor

    def __str__(self) -> str:
        sign = ">=" if self.at_least else "<="
        verdict = "met" if self.met else "MISSED"
        return f"{self.what:<72} {self.ratio:>10.2f}  {sign} {self.floor:g}  {verdict}"


def seconds(work: Callable[[], object], repeats: int = 3) -> float:
    """Best of several runs."""
    times = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def exact_tests() -> list[Line]:
    rng = np.random.default_rng(1)
    n = rng.integers(1, 200, 1_000_000)
    x = (rng.random(n.size) * (n + 1)).astype(np.int64)
    ours = seconds(lambda: p_value(x, n, 1 / 3))
    raw = seconds(lambda: special.betainc(x, n - x + 1, 1 / 3))
    pairs = list(zip(x[:2000].tolist(), n[:2000].tolist(), strict=True))
    loop = seconds(lambda: [binomtest(a, b, 1 / 3, "greater") for a, b in pairs], 1) * 500
    return [
        Line("exact test, 1 000 000 pairs: time over raw scipy.special", ours / raw, 1.5, False),
        Line("... against a loop of binomtest (2000 pairs, scaled)", loop / ours, 300, True),
    ]


def size_by_loop(chance: float, p_d: float, alpha: float, beta: float, sides: int) -> int:
    """First n as one would write it with scipy.stats."""
    p_c = chance + (1 - chance) * p_d
    n = 1
    while binom.sf(binom.isf(alpha / sides, n, chance), n, p_c) < 1 - beta:
        n += 1
    return n


def panel_sizes() -> Line:
    cells = list(product(METHODS, SHARES, RISKS, RISKS))

    def ours() -> list[int]:
        power_module._last_n.cache_clear()
        return [panel_size(c, p_d, a, b, s).n for (_, c, s), p_d, a, b in cells]

    sizes, sample = ours(), range(0, len(cells), 7)
    start = perf_counter()
    for k in sample:
        (_, chance, sides), p_d, alpha, beta = cells[k]
        assert size_by_loop(chance, p_d, alpha, beta, sides) == sizes[k]
    loop = (perf_counter() - start) * sum(sizes) / sum(sizes[k] for k in sample)
    what = f"panel size, {len(cells)} cells, against a scipy loop (every 7th, scaled)"
    return Line(what, loop / seconds(ours), 100, True)


def _phi(x: float) -> float:
    return float(np.exp(-x * x / 2) / sqrt(2 * pi))


def _ndtr(x: float) -> float:
    return float(special.ndtr(x))


INTEGRANDS: dict[str, tuple[Callable[[float, float], float], float]] = {
    "2-AFC": (lambda x, d: _phi(x - d) * _ndtr(x), -np.inf),
    "3-AFC": (lambda x, d: _phi(x - d) * _ndtr(x) ** 2, -np.inf),
    "4-AFC": (lambda x, d: _phi(x - d) * _ndtr(x) ** 3, -np.inf),
    "triangle": (
        lambda z, d: (
            2
            * _phi(z)
            * (_ndtr(-z * sqrt(3) + d * sqrt(2 / 3)) + _ndtr(-z * sqrt(3) - d * sqrt(2 / 3)))
        ),
        0.0,
    ),
    "tetrad": (
        lambda z, d: 2 * _phi(z) * (0.5 - 2 * _ndtr(z) * _ndtr(z - d) + _ndtr(z - d) ** 2),
        -np.inf,
    ),
    "specified tetrad": (lambda x, d: 2 * _phi(x) * _ndtr(x) * (1 - _ndtr(x - d)) ** 2, -np.inf),
}


def psychometric_functions() -> list[Line]:
    d = np.linspace(0, 5, 100_000)
    lines = []
    for method in METHOD_CURVES:
        if method.name not in INTEGRANDS:
            continue
        integrand, low = INTEGRANDS[method.name]
        sample = d[::500]
        by_quad = [integrate.quad(integrand, low, np.inf, args=(x,))[0] for x in sample]
        assert np.allclose(by_quad, method.function(sample), atol=1e-7)
        slow = 500 * seconds(
            lambda f=integrand, a=low, s=sample: [
                integrate.quad(f, a, np.inf, args=(x,)) for x in s
            ],
            1,
        )
        fast = seconds(lambda m=method: m.function(d))
        what = f"{method.name}, 100 000 values, against quad (200, scaled)"
        lines.append(Line(what, slow / fast, 1000, True))
    return lines


def profile_intervals() -> list[Line]:
    lines = []
    for method in METHOD_CURVES:
        d_prime(18, 30, method)
        once = seconds(lambda m=method: [d_prime(18, 30, m) for _ in range(20)]) / 20
        what = f"{method.name}, d-prime with its intervals, milliseconds"
        lines.append(Line(what, once * 1000, 2, False))
    return lines


def main() -> int:
    lines = [*exact_tests(), panel_sizes(), *psychometric_functions(), *profile_intervals()]
    for line in lines:
        print(line)
    return 0 if all(line.met for line in lines) else 1


if __name__ == "__main__":
    sys.exit(main())
