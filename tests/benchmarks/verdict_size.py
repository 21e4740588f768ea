"""How often a finding claims what is not there, claim by claim, with replicates and spread.

People who differ without a common direction: each has a probability of their own of finding B
stronger in a pair, from a beta distribution of mean one half and spread γ (0: nobody notices, 1:
everybody is sure, half of them one way). That probability is carried to a sensory distance with
its sign, and every set is judged by what is perceived. Claims are those that `findings` prints; a
test holds that they decide as here.
"""

from collections.abc import Iterator
from functools import cache

import numpy as np
from numpy.random import Generator
from scipy.special import ndtri
from scipy.stats import binom

from tasting.panel.design import TestDesign
from tasting.panel.methods import A_NOT_A
from tasting.panel.sizing import contrast_size
from tasting.stats.binomial import critical_number, p_value
from tasting.stats.contrast_power import contrast_power
from tasting.stats.psychometric import different_said, not_a_said
from tasting.stats.replicates import log_probabilities, replicated_limit, sign_change_p_value
from tasting.stats.sequential import carried, wald_test
from tests.benchmarks.promises import Array, Row, worst_of

ALPHA = 0.05
SIZE = "<= 0.05"
DRAWS = 4000
PANELS = ((6, 4), (10, 3), (12, 2), (24, 1))
SPREADS = (0.0, 0.5, 0.9)


def distances(rng: Generator, people: int, spread: float) -> Array:
    """A signed sensory distance for each of so many people, in every panel."""
    if spread == 0:
        return np.zeros((DRAWS, people))
    shape = (1 / spread - 1) / 2
    chosen = rng.beta(shape, shape, (DRAWS, people)).clip(1e-12, 1 - 1e-12)
    return np.asarray(np.sqrt(2) * ndtri(chosen))


def drawn(rng: Generator, people: int, sets: int, spread: float) -> dict[str, Array]:
    """Choices of B by each person: of a pair, of 3-AFC, and both B of an attribute tetrad."""
    d = distances(rng, people, spread)[..., None]
    a, b = rng.standard_normal((2, 2, DRAWS, people, sets))
    b = b + d
    return {
        "pair": (a[0] < b[0]).sum(axis=-1),
        "3-AFC": (a.max(axis=0) < b[0]).sum(axis=-1),
        "attribute tetrad": (a.max(axis=0) < b.min(axis=0)).sum(axis=-1),
    }


CHANCES = {"pair": 1 / 2, "3-AFC": 1 / 3, "attribute tetrad": 1 / 6}


@cache
def turned(scores: tuple[int, ...], sets: int, sides: int) -> float:
    """p from turning round whole assessors."""
    return sign_change_p_value([2 * own - sets for own in scores], sides)


def direction_shown(scores: Array, sets: int, chance: float, sides: int) -> bool:
    """What `findings` claims as a direction of these choices."""
    count, n = int(scores.sum()), int(scores.size) * sets
    once = sets == 1 and chance == 1 / 2
    if once:
        return p_value(count, n, 0.5, sides) <= ALPHA
    if chance < 1 / 2 and count < critical_number(n, chance, ALPHA):
        return False
    return turned(tuple(sorted(scores.tolist())), sets, sides) <= ALPHA


def directions(rng: Generator) -> Iterator[Row]:
    """A direction where there is no common one."""
    for spread in SPREADS:
        panels = [(sets, drawn(rng, people, sets, spread)) for people, sets in PANELS]
        for method, sides in (("pair", 1), ("pair", 2), ("3-AFC", 1), ("attribute tetrad", 1)):
            cases = [
                [direction_shown(one, sets, CHANCES[method], sides) for one in counts[method]]
                for sets, counts in panels
            ]
            what = f"{method}, {'one' if sides == 1 else 'two'}-sided, spread {spread:g}"
            yield greatest(f"size: direction, {what}", cases)


def greatest(what: str, cases: list[list[bool]]) -> Row:
    """The most frequent false claim over the panels, with the error of `worst_of`."""
    row = worst_of(what, SIZE, [[not hit for hit in case] for case in cases], len(cases[0]))
    return Row(what, SIZE, 1 - row.worst, 1 - row.mean, row.error)


def nothing_noticed() -> Iterator[Row]:
    """A difference where nobody notices anything: answers pooled, whoever gives them."""
    n = np.array([people * sets for people, sets in PANELS])
    for name, chance in (("3-AFC, triangle, tetrad", 1 / 3), ("attribute tetrad", 1 / 6)):
        x = critical_number(n, chance, ALPHA)
        often = binom.sf(x - 1, n, chance)
        what = f"size: something noticed, {name}, replicates pooled"
        yield Row(what, SIZE, float(often.max()), float(often.mean()))
    for chance in (1 / 2, 1 / 3, 1 / 6):
        often = [low_score(size, chance) for size in range(1, 201)]
        what = f"size: caution of a low score, chance {chance:.2f}"
        yield Row(what, SIZE, max(often), float(np.mean(often)))


def low_score(n: int, chance: float) -> float:
    """Probability of a score whose lower tail is at most 5 %, if nobody notices."""
    tails = binom.cdf(np.arange(n + 1), n, chance)
    return float(tails[tails <= ALPHA].max(initial=0.0))


def similarities(rng: Generator) -> Iterator[Row]:
    """Similarity at β = 0.05 where the planned 30 % notice, in triangles."""
    for spread in SPREADS:
        cases = []
        for people, sets in ((12, 3), (20, 2)):
            p = np.exp(log_probabilities(sets, np.array(0.3), np.array(spread), 1 / 3))
            counts = rng.multinomial(people, p / p.sum(), 300)
            cases.append([similar(tuple(row.tolist()), sets) for row in counts])
        yield greatest(f"size: similarity, 12 x 3 and 20 x 2 triangles, spread {spread:g}", cases)
    for p_d, beta in ((0.3, 0.05), (0.3, 0.2), (0.5, 0.1)):
        test = wald_test(1 / 3, p_d, ALPHA, beta)
        risk = carried(test, 400, p_d).similar
        yield Row(
            f"size: sequential similarity, triangle, p_d {p_d:g}, β {beta:g}",
            f"<= {beta:.2f}",
            risk,
            risk,
        )


@cache
def similar(counts: tuple[int, ...], sets: int) -> bool:
    """From how many people had 0, 1, ... correct."""
    scores = [correct for correct, people in enumerate(counts) for _ in range(people)]
    above = sum(scores) >= len(scores) * sets / 3 - 1e-9
    return above and replicated_limit(scores, sets, 1 / 3, 0.05) < 0.3


def by_two_rules() -> Iterator[Row]:
    """A-not-A as planned for power 0.80, if assessors know what differs or go by the reference."""
    for d_prime in (1.5, 2.0, 3.0):
        half = contrast_size(TestDesign(A_NOT_A, d_prime=d_prime)).n // 2
        for name, rate in (("by the reference", different_said), ("knowing", not_a_said)):
            power = contrast_power(half, half, rate(d_prime, 0.3), 0.3, ALPHA)
            what = f"power: A-not-A, {2 * half} sets planned for d' {d_prime:g}, {name}"
            yield Row(what, ">= 0.80", power, power)


def verdicts(rng: Generator) -> Iterator[Row]:
    """Row after row."""
    yield from directions(rng)
    yield from nothing_noticed()
    yield from similarities(rng)
    yield from by_two_rules()
