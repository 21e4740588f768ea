"""How often the 95 % intervals of the noticing model hold the truth, as a table in Markdown.

Run from the project's folder (some minutes; the argument is the number of workshops):

    python -m tests.benchmarks.notice_calibration 500 > tests/benchmarks/notice_calibration.md

Every workshop is drawn from a stated truth and analysed as any other. "reported" is the share of
workshops in which the quantity was not refused. Where doubts are drawn, the true levels differ from
the computed ones by a normal error for each source, common to all sessions. Exits with 1 if a
quantity, or a step, is held less often than 93 % by more than chance allows (two standard errors);
of steps those cases are left out in which assessors who come again are taken for different ones.
"""

import sys
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import inf, sqrt

import numpy as np
from numpy.random import Generator
from scipy.optimize import brentq

from tasting.insight.noticing.attribute_models import fit_attribute
from tasting.insight.noticing.comparisons import ComparedPair, Counted
from tasting.insight.noticing.distance_model import Distance, fit_distance
from tasting.insight.noticing.drivers import SUGAR, TA, Reading
from tasting.insight.noticing.liking_model import fit_liking
from tasting.insight.noticing.steps import StepBound, StepsIn, noticed_steps
from tasting.panel.methods import METHODS
from tasting.stats.psychometric import TRIANGLE
from tasting.stats.results import Estimate, Interval

LEVELS = np.array([5.5, 60.0])
DRIVERS = (TA, SUGAR)
FLOOR = 0.93
NEW = np.array([0.6, -7.0])
BENT_AT = np.array([0.6, 8.0])
HALF = float(TRIANGLE.d_prime(2 / 3))
# Gauss-Hermite nodes and weights for a standard normal distribution.
NODES, WEIGHTS = np.polynomial.hermite_e.hermegauss(41)
WEIGHTS = WEIGHTS / WEIGHTS.sum()


@dataclass(frozen=True, slots=True)
class Truth:
    """What the answers are drawn from; doubt: standard deviation of the reference's levels.

    differ: standard deviation of the logarithm of an assessor's sensitivity
    again: whether the same people come to every session
    power: of the step that distance grows with; as with a power of 1 at the step BENT_AT
    """

    acid: float = 2.2
    sugar: float = 0.165
    rho: float = -0.3
    gap: float = 1.2
    spread: float = 0.0
    doubt: tuple[float, float] = (0.0, 0.0)
    differ: float = 0.0
    again: bool = False
    power: float = 1.0

    def distance(self, delta: np.ndarray, reference: bool) -> float:
        """The model's formula."""
        bent = np.sign(delta) * BENT_AT * np.abs(np.array(delta) / BENT_AT) ** self.power
        acid, sugar = self.acid * bent[0], self.sugar * bent[1]
        square = acid**2 + sugar**2 + 2 * self.rho * acid * sugar + reference * self.gap**2
        return sqrt(max(square, 0.0))

    def half_step(self) -> float:
        """The step in acid that is noticed in half of all triangles; infinite without one."""
        if not self.acid:
            return inf
        factors = np.exp(self.differ * NODES)

        def missed(step: float) -> float:
            distance = self.distance((step, 0.0), False)
            return float(WEIGHTS @ TRIANGLE.p_d(factors * distance)) - 0.5

        return float(brentq(missed, 1e-3, 100.0))


@dataclass(frozen=True, slots=True)
class Evening:
    """One session of a programme: a difference in acid and sugar, and who tastes."""

    delta: tuple[float, float]
    reference: bool = False
    people: int = 24
    replicates: int = 1
    method: str = "triangle"


HANDFUL = (
    Evening((0.5, 0)),
    Evening((0.9, 0)),
    Evening((0, 8)),
    Evening((0, -12)),
    Evening((0.8, 9)),
    Evening((0.7, -9)),
    Evening((0, 0), reference=True),
    Evening((0.3, 2), reference=True),
)
FEW = (HANDFUL[1], HANDFUL[3], HANDFUL[4], HANDFUL[6])
TWICE = tuple(replace(one, people=12, replicates=2) for one in HANDFUL)
MANY = tuple(HANDFUL) * 4
MIXED = tuple(
    replace(one, method=method)
    for one, method in zip(HANDFUL, ["triangle", "tetrad", "duo-trio", "tetrad"] * 2, strict=True)
)
CASES = {
    "8 triangles of 24": (HANDFUL, Truth()),
    "8 difference tests of 24, three methods": (MIXED, Truth()),
    "4 triangles of 24": (FEW, Truth()),
    "32 triangles of 24": (MANY, Truth()),
    "8 triangles, 12 people twice, alike": (TWICE, Truth()),
    "8 triangles, 12 people twice, spread 0.3": (TWICE, Truth(spread=0.3)),
    "8 triangles, no character gap, sugar unnoticed": (HANDFUL, Truth(gap=0, sugar=0, rho=0)),
    "8 triangles, the reference unsure by 0.2 and 3 g/L": (HANDFUL, Truth(doubt=(0.2, 3.0))),
    "8 triangles, square-root response": (HANDFUL, Truth(power=0.5)),
    "32 triangles, square-root response": (MANY, Truth(power=0.5)),
}


def drawn(evenings: tuple[Evening, ...], truth: Truth, random: Generator) -> list[ComparedPair]:
    """A workshop's comparisons, as they would be known to the analysis."""
    error = random.normal(0, truth.doubt)
    most = max(one.people for one in evenings)
    people = np.exp(random.normal(0, truth.differ, most)) if truth.differ else np.ones(most)
    doubts = {
        f"reference: {driver.key}": spread * np.eye(2)[place]
        for place, (driver, spread) in enumerate(zip(DRIVERS, truth.doubt, strict=True))
        if spread
    }
    made = []
    for one in evenings:
        delta = np.array(one.delta)
        true = delta + error if one.reference else delta
        model = METHODS[one.method].model
        distance = truth.distance(true, one.reference)
        p_d = np.maximum(model.p_d(distance * people[: one.people]), 0.0)
        made.append(
            ComparedPair(
                session_id="made-up",
                name="made up",
                method=METHODS[one.method],
                attribute="",
                a=Reading(LEVELS, {}),
                b=Reading(LEVELS + delta, doubts if one.reference else {}),
                with_reference=one.reference,
                counts=tuple(_answers(one, p_d, model.chance, truth, random)),
            )
        )
    return made


def _answers(
    one: Evening, p_d: np.ndarray, chance: float, truth: Truth, random: Generator
) -> Iterator[Counted]:
    spread = truth.spread
    for person, own in enumerate(p_d.tolist()):
        noticed = own
        if spread and 0 < own < 1:
            noticed = random.beta(own * (1 / spread - 1), (1 - own) * (1 / spread - 1))
        share = chance + (1 - chance) * noticed
        right = random.binomial(one.replicates, share)
        yield Counted(one.replicates, right, person if truth.again else None)


def quantities(found: Distance, truth: Truth) -> Iterator[tuple[str, Estimate | None, float]]:
    """Name, estimate (None: refused) and truth."""
    for place, key in enumerate(("ta", "sugar")):
        largest = np.eye(2)[place] * found.layout.scale
        true = truth.distance(largest, False) / found.layout.scale[place]
        tested = found.weights.get(key)
        yield f"weight of {key}", tested.estimate if tested else None, float(true)
    yield "correlation", found.rho if truth.sugar else None, truth.rho
    yield "character gap", found.gap.estimate if found.gap else None, truth.gap
    a, b = Reading(LEVELS, {}), Reading(LEVELS + NEW, {})
    for name, reference in (("forecast of a new pair", False), ("... with the reference", True)):
        if not reference or not any(truth.doubt):
            value, low, high = found.between([(a, b)], reference)[0]
            estimate = Estimate(value, Interval(low, high, 0.95))
            yield name, estimate, truth.distance(NEW, reference)


def distance_rows(workshops: int) -> Iterator[tuple[str, str, int, int]]:
    """Case, quantity, times reported, times held."""
    for place, (name, (evenings, truth)) in enumerate(CASES.items()):
        random = np.random.default_rng([20260601, place])
        tally: dict[str, list[bool]] = defaultdict(list)
        for _ in range(workshops):
            found, _ = fit_distance(drawn(evenings, truth, random), DRIVERS, "linear", (0, 1), 0.95)
            assert found
            for quantity, estimate, true in quantities(found, truth):
                if estimate:
                    tally[quantity].append(estimate.low - 1e-6 <= true <= estimate.high)
        for quantity, held in tally.items():
            yield name, quantity, len(held), sum(held)


PAIRS = ((0.5, 0), (1.0, 0), (0, 8), (0.4, 8), (-0.3, 10))
LIKED = ((4.5, 5.5), (5.0, 6.0), (5.5, 6.5), (4.5, 6.5), (6.0, 7.0))


def pair_rows(workshops: int) -> Iterator[tuple[str, str, int, int]]:
    """The same of directional and preference tests, 24 answers each."""
    random = np.random.default_rng(20260602)
    tally: dict[tuple[str, str], list[bool]] = defaultdict(list)
    for _ in range(workshops):
        sour = [_pair((5.0, 60.0), d, 2.0 * d[0] - 0.07 * d[1], "paired", random) for d in PAIRS]
        attribute, _ = fit_attribute("more sour", sour, DRIVERS, "linear", 0.95)
        assert attribute
        for key, true in (("ta", 2.0), ("sugar", -0.07)):
            if key in attribute.weights:
                estimate = attribute.weights[key].estimate
                tally["5 paired comparisons of 24", f"weight of {key}"].append(
                    estimate.low <= true <= estimate.high
                )
        liked = [
            _pair((a, 60.0), (b - a, 0), (a - 6.0) ** 2 - (b - 6.0) ** 2, "preference", random)
            for a, b in LIKED
        ]
        liking, _ = fit_liking(liked, DRIVERS, "linear", 0.95)
        assert liking
        for ideal in liking.ideals:
            tally["5 preference tests of 24", "best liked acidity"].append(
                ideal.level.low <= 6.0 <= ideal.level.high
            )
    for (case, quantity), held in tally.items():
        yield case, quantity, len(held), sum(held)


def _pair(
    base: tuple[float, float],
    delta: tuple[float, float],
    lead: float,
    method: str,
    random: Generator,
) -> ComparedPair:
    p = float(METHODS[method].model.function(lead))
    levels = np.array(base)
    counts = tuple(Counted(1, int(random.random() < p)) for _ in range(24))
    a, b = Reading(levels, {}), Reading(levels + np.array(delta), {})
    return ComparedPair(
        session_id="made-up",
        name="made up",
        method=METHODS[method],
        attribute="",
        a=a,
        b=b,
        with_reference=False,
        counts=counts,
    )


NOBODY = Truth(acid=0, sugar=0, rho=0, gap=0)
SMALL = tuple(Evening((step, 0), people=6) for step in (0.3, 0.5, 0.7))
SMALL_MIXED = tuple(Evening(delta, people=6) for delta in ((0.9, 0), (0, -12), (0.8, 9)))
ROOT, DIFFER = Truth(power=0.5), Truth(differ=0.8, again=True)
STEPS = {
    "nobody notices anything, 8 triangles of 24": (HANDFUL, NOBODY),
    "3 triangles of 6, acid alone": (SMALL, Truth()),
    "3 triangles of 12, acid alone": (tuple(replace(e, people=12) for e in SMALL), Truth()),
    "3 triangles of 24, acid alone": (tuple(replace(e, people=24) for e in SMALL), Truth()),
    "3 triangles of 6, acid, sugar and both": (SMALL_MIXED, Truth()),
    "8 triangles of 24": (HANDFUL, Truth()),
    "32 triangles of 24": (MANY, Truth()),
    "8 triangles of the same 24, sensitivity SD 0.8": (HANDFUL, DIFFER),
    "32 triangles of the same 24, sensitivity SD 0.8": (MANY, DIFFER),
    "8 triangles of the same 24, alike": (HANDFUL, Truth(again=True)),
    "8 triangles of 24, square-root response": (HANDFUL, ROOT),
    "32 triangles of 24, square-root response": (MANY, ROOT),
    "8 triangles of the same 24, SD 0.8, square root": (HANDFUL, replace(DIFFER, power=0.5)),
    "8 triangles of the same 24, SD 0.8, taken for different": (HANDFUL, Truth(differ=0.8)),
    "32 triangles of the same 24, SD 0.8, taken for different": (MANY, Truth(differ=0.8)),
}


@dataclass(frozen=True, slots=True)
class Said:
    """What workshops of one case say of the step in acid that half of assessors notice.

    held: whether what is said, a step or a bound, is true; in_proportion: the same of a model
    without a bend; widths: over those of that model; bent: whether another power is taken
    """

    steps: list[float]
    bounds: list[float]
    held: list[bool]
    in_proportion: list[bool]
    widths: list[float]
    bent: list[bool]
    refused: int


def said_of_acid(evenings: tuple[Evening, ...], truth: Truth, workshops: int, seed: int) -> Said:
    """Draw workshops and read what the model says of acid."""
    random, said = np.random.default_rng([20260603, seed]), Said([], [], [], [], [], [], 0)
    shown, true, refused = StepsIn(LEVELS, "linear", None, TRIANGLE), truth.half_step(), 0
    for _ in range(workshops):
        found, _ = fit_distance(drawn(evenings, truth, random), DRIVERS, "linear", (0, 1), 0.95)
        steps = noticed_steps(found, DRIVERS, shown)
        acid = next((one for one in steps if one.driver is TA), None)
        if found is None or acid is None:
            refused += 1
            continue
        said.bent.append(found.layout.power != 1)
        low, high = straight_step(found)
        if isinstance(acid, StepBound):
            said.bounds.append(acid.difference_threshold.amount)
            said.held.append(acid.difference_threshold.amount <= true)
            high = inf
        else:
            amount = acid.difference_threshold.amount
            said.steps.append(amount.value)
            said.held.append(amount.low <= true <= amount.high)
            if not said.bent[-1]:
                said.widths.append((amount.high - amount.low) / (high - low))
        if not said.bent[-1]:
            said.in_proportion.append(low <= true <= high)
    return replace(said, refused=refused)


def straight_step(found: Distance) -> tuple[float, float]:
    """Interval of the step by the model without a bend."""
    row = found.fitted.interval(found.fitted.unit(0), root=True)[0] / found.layout.scale[0]
    with np.errstate(divide="ignore"):
        low, high = HALF / row[[2, 1]]
    return float(low), float(high)


def step_row(name: str, evenings: tuple[Evening, ...], truth: Truth, said: Said, n: int) -> str:
    """One line of the second table."""
    true, largest = truth.half_step(), max(one.delta[0] for one in evenings)
    bias = np.median(said.steps) / true - 1 if said.steps and true < inf else np.nan
    cells = [
        name,
        f"{true:.2f}" if true < inf else "none",
        f"{largest:.1f}",
        f"{said.refused / n:.0%}",
        f"{len(said.bounds) / n:.0%}",
        f"{np.mean(said.held):.1%}",
        f"{np.mean(said.in_proportion):.1%}",
        f"{np.median(said.widths):.1f}" if said.widths else "–",
        f"{np.mean(said.bent):.0%}",
        f"{bias:+.0%}" if bias == bias else "–",
        f"{max(said.steps):.1f}" if said.steps else "–",
    ]
    return f"| {' | '.join(cells)} |"


def print_steps(workshops: int) -> bool:
    """The table of steps; whether one falls short of the floor by more than chance."""
    print("\n## The step in acid that half of assessors notice\n")
    print("“Bound only”: the weight may be 0, so no more than “more than …, if at all” is said.")
    print("“True”: the step, or the bound, holds the truth. “In proportion”: the same, and the")
    print("median width against it, of a model in which d′ grows in proportion to the step, in")
    print("workshops whose estimate is that. “Bent”: another power is taken for the estimate.\n")
    print(
        "| case | truth | largest tasted | refused | bound only | true | in proportion: true "
        "| width over it | bent | bias of steps said | largest step said |"
    )
    print(f"|{'---|' * 11}")
    short = False
    for place, (name, (evenings, truth)) in enumerate(STEPS.items()):
        said = said_of_acid(evenings, truth, workshops, place)
        if not name.endswith("taken for different"):
            share = float(np.mean(said.held))
            short |= share + two_errors(share, len(said.held)) < FLOOR
        print(step_row(name, evenings, truth, said, workshops), flush=True)
    return short


def two_errors(share: float, n: int) -> float:
    """Two standard errors of a share."""
    return 2 * sqrt(max(share * (1 - share), 0.001) / n)


def main(workshops: int) -> int:
    """Print the table; 1 if a quantity falls short of the floor by more than chance."""
    print("# How often 95 % intervals of the noticing model hold the truth\n")
    print(f"Written by `python -m tests.benchmarks.notice_calibration {workshops}`.\n")
    print(f"{workshops} drawn workshops a case; the floor is {FLOOR:.0%}.\n")
    print("| case | quantity | reported | held | ± 2 s.e. |\n|---|---|---|---|---|")
    short = False
    for case, quantity, reported, held in [*distance_rows(workshops), *pair_rows(workshops)]:
        share = held / reported
        short |= share + two_errors(share, reported) < FLOOR
        print(
            f"| {case} | {quantity} | {reported / workshops:.0%} | {share:.1%} "
            f"| {two_errors(share, reported):.1%} |",
            flush=True,
        )
    return int(print_steps(workshops) or short)


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 500))
