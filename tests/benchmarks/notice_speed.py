"""How fast the noticing model is fitted, as ratios measured in one run, against their floors.

Run from the project's folder: `python -m tests.benchmarks.notice_speed`. The plain way is
scipy.optimize.minimize on the formula, session by session, with finite differences, and a profile
of each parameter by brentq; one parameter is profiled and the time scaled up. The last lines say
what years of the same 30 comparisons cost over 100 sessions of them. Exits with 1 if a floor is
missed.
"""

import sys
from dataclasses import replace
from functools import partial
from math import log, log1p, sqrt

import numpy as np
from scipy import optimize, stats

from tasting.insight.noticing.comparisons import ComparedPair, Counted
from tasting.insight.noticing.distance_model import Distance, fit_distance
from tasting.insight.noticing.drivers import DRIVERS, Reading
from tasting.insight.noticing.fit_check import drawn_deviances
from tasting.panel.methods import METHODS
from tasting.stats.psychometric import TRIANGLE
from tests.benchmarks.stat_speed import Line, seconds

KEYS = ("ta", "sugar", "alcohol", "co2")
LEVELS = np.array([6.0, 60.0, 8.0, 5.0])
WEIGHTS = np.array([2.2, 0.165, 1.0, 1.2])
RHO, GAP = -0.3, 1.2


def sessions(count: int, replicates: int, seed: int = 1) -> list[ComparedPair]:
    """Triangle tests by 24 tastings each, drawn from the model."""
    random = np.random.default_rng(seed)
    made = []
    for _ in range(count):
        delta = random.choice([-1.0, -0.5, 0.0, 0.5, 1.0], 4) / WEIGHTS
        reference = bool(random.random() < 0.25)
        p = float(TRIANGLE.function(distance((*WEIGHTS, RHO, GAP), delta, reference)))
        right = random.binomial(replicates, p, 24 // replicates)
        made.append(
            ComparedPair(
                session_id="made-up",
                name="made up",
                method=METHODS["triangle"],
                attribute="",
                a=Reading(LEVELS, {}),
                b=Reading(LEVELS + delta, {}),
                with_reference=reference,
                counts=tuple(Counted(replicates, int(each)) for each in right),
            )
        )
    return made


def years(count: int, seed: int = 2) -> list[ComparedPair]:
    """So many sessions of 30 comparisons, each by 24 of the same 40 assessors."""
    random, pairs = np.random.default_rng(seed), sessions(30, 1)
    made = []
    for place in range(count):
        one = pairs[place % len(pairs)]
        right = random.random(24) < one.count / one.n
        who = random.permutation(40)[:24]
        counts = zip(right.tolist(), who.tolist(), strict=True)
        made.append(replace(one, counts=tuple(Counted(1, int(r), w) for r, w in counts)))
    return made


def distance(parameters: tuple[float, ...], delta: np.ndarray, reference: bool) -> float:
    """The model's formula."""
    *weights, rho, gap = parameters
    felt = [weight * step for weight, step in zip(weights, delta, strict=True)]
    square = sum(each**2 for each in felt) + 2 * rho * felt[0] * felt[1] + reference * gap**2
    return sqrt(max(square, 0.0))


def ours(made: list[ComparedPair]) -> Distance:
    """Fit, intervals of all parameters, and likelihood-ratio tests."""
    drivers = [DRIVERS[key] for key in KEYS]
    found, _ = fit_distance(made, drivers, "linear", (0, 1), 0.95)
    assert found
    return found


def plainly(
    made: list[ComparedPair], fixed: float | None, start: np.ndarray
) -> optimize.OptimizeResult:
    """The maximum, with the character gap held if it is given; scaled so that steps are fair."""

    def miss(scaled: np.ndarray) -> float:
        full = [*scaled[:4] * WEIGHTS, float(np.tanh(scaled[4])), fixed or scaled[-1]]
        total = 0.0
        for one in made:
            p = float(TRIANGLE.function(distance(tuple(full), one.delta, one.with_reference)))
            total += one.count * log(p) + (one.n - one.count) * log1p(-p)
        return -total

    return optimize.minimize(miss, start, method="BFGS")


def plain_profile(made: list[ComparedPair], best: optimize.OptimizeResult) -> tuple[float, float]:
    """Ends of the interval of the character gap."""
    cut = stats.chi2.ppf(0.95, 1)

    def over(gap: float) -> float:
        return 2 * (plainly(made, gap, best.x[:5]).fun - best.fun) - cut

    value = abs(best.x[5])
    low = optimize.brentq(over, 0.3 * value, value, xtol=1e-4)
    return float(low), float(optimize.brentq(over, value, 2 * value, xtol=1e-4))


def main() -> int:
    """Print every line; 1 if a floor is missed."""
    made, twice = sessions(200, 1), sessions(200, 2)
    found = ours(made)
    quick = seconds(lambda: ours(made), 25)
    best = plainly(made, None, np.array([1, 1, 1, 1, 0, 1.0]))
    ends: list[tuple[float, float]] = []
    fit = seconds(lambda: plainly(made, None, np.array([1, 1, 1, 1, 0, 1.0])), 1)
    profile = seconds(lambda: ends.append(plain_profile(made, best)), 1)
    gap = found.gap.estimate if found.gap else None
    assert gap
    assert np.allclose(ends[0], (gap.low, gap.high), atol=2e-3), (ends, gap)
    plain = fit + 6 * profile
    replicated = seconds(lambda: ours(twice), 15)
    boot = seconds(lambda: drawn_deviances(found, 99, np.random.default_rng(1)), 2)
    few, many = years(100), years(10_000)
    quickly, slowly = seconds(lambda: ours(few), 15), seconds(lambda: ours(many), 5)
    checks = [
        seconds(partial(drawn_deviances, ours(some), 99, np.random.default_rng(1)), 2)
        for some in (few, many)
    ]
    lines = [
        Line("fit and intervals, 200 sessions x 4 drivers, in ms", 1000 * quick, 150, False),
        Line("... the plain way over ours (6 profiles, one timed)", plain / quick, 20, True),
        Line("... of which the bare fit, plain over all of ours", fit / quick, 1, True),
        Line("... 200 sessions by assessors who taste twice, in ms", 1000 * replicated, 400, False),
        Line("99 bootstrap fits of 200 sessions, in ms for each", 1000 * boot / 99, 20, False),
        Line("10,000 sessions of 30 comparisons, fit over that of 100", slowly / quickly, 4, False),
        Line("... sums and fit, in ms", 1000 * slowly, 600, False),
        Line("... 99 bootstrap fits over those of 100", checks[1] / checks[0], 10, False),
    ]
    print(*lines, sep="\n")
    return 0 if all(line.met for line in lines) else 1


if __name__ == "__main__":
    sys.exit(main())
