"""From comparisons to rows of a likelihood: which factors each question's answers depend on.

    difference  squared distance = sum w_k^2 D_k^2 + 2 q D_a D_s + g,   q = rho w_a w_s, g = c^2
    direction   lead of B        = sum v_k D_k
    preference  lead of B        = U(B) - U(A),   U = sum l_k x_k - m_k x_k^2 / 2

D is B minus A in units of the driver's typical difference, x a level less the middle of all levels.
All three are linear in what is estimated. The ideal of a driver is l / m, where m is above 0.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from tasting.insight.noticing.comparisons import ComparedPair, difference_components
from tasting.insight.noticing.drivers import Reading
from tasting.stats.checks import Floats
from tasting.stats.fitting.barrier import Bounds
from tasting.stats.fitting.likelihood import Likelihood, Rows


@dataclass(frozen=True, slots=True)
class Distances:
    """Layout of the parameters of a squared distance.

    drivers: places of the drivers that are in it, among those of a comparison; scale: the unit of
    each; pair: places, within `drivers`, of acid and sugar if both are in; gap: whether a character
    gap is. The parameters come in this order: squared weights, q, squared gap.
    """

    drivers: tuple[int, ...]
    scale: Floats
    pair: tuple[int, int] | None
    gap: bool

    @property
    def size(self) -> int:
        """Number of parameters."""
        return len(self.drivers) + (self.pair is not None) + self.gap

    @property
    def q_place(self) -> int:
        """Place of q."""
        return len(self.drivers)

    def names(self, keys: Sequence[str]) -> list[str]:
        """What each parameter belongs to."""
        own = [keys[place] for place in self.drivers]
        return own + ["rho"] * (self.pair is not None) + ["gap"] * self.gap

    def factors(self, deltas: Floats, with_reference: Floats) -> Floats:
        """A row for each difference: what the parameters are multiplied with."""
        scaled = np.atleast_2d(deltas)[:, self.drivers] / self.scale
        columns = [scaled**2]
        if self.pair:
            columns.append(2 * np.prod(scaled[:, self.pair], axis=1, keepdims=True))
        if self.gap:
            columns.append(np.broadcast_to(with_reference, len(scaled)).astype(float)[:, None])
        return np.concatenate(columns, axis=1)

    def shifts(self, a: Reading, b: Reading, theta: Floats) -> dict[str, float]:
        """What one standard deviation of each source of doubt does to the squared distance.

        With a shift d of the difference D it changes by 2 D'Q d and by d'Q d. The second is all
        there is where D is 0; its square has the mean 3 (d'Q d)^2 for a normal shift, and it counts
        as a source of its own.
        """
        form = self.form(theta)
        delta = (b.levels - a.levels)[list(self.drivers)] / self.scale
        found = {}
        for source, shift in difference_components(a, b).items():
            step = shift[list(self.drivers)] / self.scale
            found[source] = float(2 * delta @ form @ step)
            found[f"{source}, squared"] = float(sqrt(3) * step @ form @ step)
        return found

    def form(self, theta: Floats) -> Floats:
        """The matrix Q of the squared distance D'Q D, in scaled differences."""
        form = np.diag(theta[: len(self.drivers)])
        if self.pair:
            a, s = self.pair
            form[a, s] = form[s, a] = theta[self.q_place]
        return form

    def bounds(self, spread: bool) -> Bounds:
        """Where the parameters have to lie."""
        cone = (*self.pair, self.q_place) if self.pair else None
        alone = [place for place in range(len(self.drivers)) if place not in (self.pair or ())]
        gap = [self.size - 1] if self.gap else []
        share = self.size if spread else None
        return Bounds(tuple(range(self.size)), (*alone, *gap), cone, share)

    def start(self, spread: bool) -> Floats:
        """A point well inside the bounds."""
        start = np.full((1, self.size + spread), 0.5)
        if self.pair:
            start[:, self.q_place] = 0.0
        if spread:
            start[:, -1] = 0.2
        return start

    def correlation(self, theta: Floats, factors: Floats) -> tuple[Floats, Floats]:
        """rho = q/(w_a w_s) times the factor of q, and its slopes: a quantity for `ends`."""
        assert self.pair
        a, s = (theta[:, place] for place in self.pair)
        sign, root = factors[:, self.q_place], np.sqrt(a * s)
        rho = theta[:, self.q_place] / root
        slopes = np.zeros_like(theta)
        slopes[:, self.q_place] = sign / root
        slopes[:, self.pair[0]], slopes[:, self.pair[1]] = -sign * rho / 2 / a, -sign * rho / 2 / s
        return sign * rho, slopes

    def without(self, driver: int) -> Distances:
        """The layout without a driver, given by its place within `drivers`."""
        kept = [place for place in range(len(self.drivers)) if place != driver]
        both = self.pair is not None and driver not in self.pair
        pair = (kept.index(self.pair[0]), kept.index(self.pair[1])) if both and self.pair else None
        places = tuple(self.drivers[place] for place in kept)
        return Distances(places, self.scale[kept], pair, self.gap)

    def dropped(self, driver: int) -> tuple[int, ...]:
        """Which parameters `without` leaves out."""
        paired = self.pair is not None and driver in self.pair
        return (driver, self.q_place) if paired else (driver,)


def distances(
    compared: Sequence[ComparedPair], drivers: Sequence[int], pair: tuple[int, int] | None
) -> Distances:
    """The layout for these comparisons; `pair` holds the places of acid and sugar, if both are
    among the drivers of a comparison."""
    deltas = np.array([one.delta for one in compared])[:, list(drivers)]
    both = pair is not None and all(place in drivers for place in pair)
    return Distances(
        drivers=tuple(drivers),
        scale=np.maximum(np.abs(deltas).max(axis=0), 1e-12),
        pair=(drivers.index(pair[0]), drivers.index(pair[1])) if both and pair else None,
        gap=any(one.with_reference for one in compared),
    )


def likelihood(compared: Sequence[ComparedPair], design: Floats) -> Likelihood:
    """Rows of all comparisons, by psychometric function and number of tastings an assessor.

    design: the factors of each comparison, a row each.
    """
    blocks: dict[tuple[str, int], list[tuple[int, Floats]]] = defaultdict(list)
    for place, one in enumerate(compared):
        for replicates, counts in _by_replicates(one).items():
            blocks[one.method.key, replicates].append((place, counts))
    rows = tuple(_rows(compared, design, blocks[key]) for key in sorted(blocks))
    return Likelihood(rows, design.shape[1], any(block.replicates > 1 for block in rows))


def _by_replicates(one: ComparedPair) -> dict[int, Floats]:
    """How many assessors had 0, 1, ..., r counted answers, by r."""
    table: dict[int, Floats] = {}
    for counted in one.counts:
        table.setdefault(counted.n, np.zeros(counted.n + 1))[counted.count] += 1
    return table


def _rows(
    compared: Sequence[ComparedPair], design: Floats, block: Sequence[tuple[int, Floats]]
) -> Rows:
    which = np.array([place for place, _ in block])
    first = compared[int(which[0])]
    return Rows(
        psychometric=first.method.model,
        squared=first.kind == "difference",
        design=design[which],
        counts=np.array([counts for _, counts in block]),
        lead=np.array([compared[place].lead for place in which], dtype=float),
        which=which,
    )
