"""From comparisons to rows of a likelihood: which factors each question's answers depend on.

    difference  squared distance = sum w_k^2 D_k^2 + 2 q D_a D_s + g,   q = rho w_a w_s, g = c^2
    direction   lead of B        = sum v_k D_k
    preference  lead of B        = U(B) - U(A),   U = sum l_k x_k - m_k x_k^2 / 2

D is B minus A in units of the driver's typical difference, x a level less the middle of all levels.
All three are linear in what is estimated. The ideal of a driver is l / m, where m is above 0.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

import numpy as np

from tasting.insight.noticing.comparisons import ComparedPair, difference_components
from tasting.insight.noticing.drivers import Reading
from tasting.stats.checks import Floats
from tasting.stats.fitting.barrier import Bounds
from tasting.stats.fitting.clusters import Clusters
from tasting.stats.fitting.likelihood import Likelihood, Rows

# Where every fit starts: a squared distance, or a curvature, of 1/2 at the largest difference
# tasted, and a small spread between assessors. Any point well inside leads to the same maximum.
INSIDE: Final = 0.5
_USUAL_SPREAD: Final = 0.2
# Keeps the scale of a driver that never moved from being 0; such drivers are left out before.
_LEAST_STEP: Final = 1e-12


@dataclass(frozen=True, slots=True)
class Distances:
    """Layout of the parameters of a squared distance.

    drivers: indices of the drivers that are in it, among those of a comparison; scale: the unit of
    each; pair: indices, within `drivers`, of acid and sugar if both are in; gap: whether a
    character gap is. The parameters come in this order: squared weights, q, squared gap.
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
    def q_index(self) -> int:
        """Index of q."""
        return len(self.drivers)

    def names(self, keys: Sequence[str]) -> list[str]:
        """What each parameter belongs to."""
        own = [keys[index] for index in self.drivers]
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

    def components(self, a: Reading, b: Reading, theta: Floats) -> dict[str, float]:
        """What one standard deviation of each source of uncertainty does to the squared distance.

        With an error d of the difference D it changes by 2 D'Q d and by d'Q d. The second is all
        there is where D is 0; its square has the mean 3 (d'Q d)^2 for a normal error, and it counts
        as a source of its own.
        """
        form = self.form(theta)
        delta = (b.levels - a.levels)[list(self.drivers)] / self.scale
        components = {}
        for source, component in difference_components(a, b).items():
            error = component[list(self.drivers)] / self.scale
            components[source] = float(2 * delta @ form @ error)
            components[f"{source}, squared"] = float(sqrt(3) * error @ form @ error)
        return components

    def form(self, theta: Floats) -> Floats:
        """The matrix Q of the squared distance D'Q D, in scaled differences."""
        form = np.diag(theta[: len(self.drivers)])
        if self.pair:
            a, s = self.pair
            form[a, s] = form[s, a] = theta[self.q_index]
        return form

    def started(self, model: Likelihood) -> tuple[Bounds, Floats]:
        """Where the parameters have to lie, and a point well inside."""
        cone = (*self.pair, self.q_index) if self.pair else None
        alone = [at for at in range(len(self.drivers)) if at not in (self.pair or ())]
        gap = [self.size - 1] if self.gap else []
        share = self.size if model.spread else None
        start = np.full((1, model.parameters), INSIDE)
        if self.pair:
            start[:, self.q_index] = 0.0
        start[:, self.size :] = _USUAL_SPREAD
        return Bounds(tuple(range(self.size)), (*alone, *gap), cone, share), start

    def correlation(self, theta: Floats, factors: Floats) -> tuple[Floats, Floats]:
        """rho = q/(w_a w_s) times the factor of q, and its slopes: a quantity for `ends`."""
        assert self.pair
        a, s = (theta[:, index] for index in self.pair)
        sign, root = factors[:, self.q_index], np.sqrt(a * s)
        rho = theta[:, self.q_index] / root
        slopes = np.zeros_like(theta)
        slopes[:, self.q_index] = sign / root
        slopes[:, self.pair[0]], slopes[:, self.pair[1]] = -sign * rho / 2 / a, -sign * rho / 2 / s
        return sign * rho, slopes

    def without(self, driver: int) -> "Distances":
        """The layout without a driver, given by its index within `drivers`."""
        kept = [index for index in range(len(self.drivers)) if index != driver]
        both = self.pair is not None and driver not in self.pair
        pair = (kept.index(self.pair[0]), kept.index(self.pair[1])) if both and self.pair else None
        drivers = tuple(self.drivers[index] for index in kept)
        return Distances(drivers, self.scale[kept], pair, self.gap)

    def dropped(self, driver: int) -> tuple[int, ...]:
        """Which parameters `without` leaves out."""
        paired = self.pair is not None and driver in self.pair
        return (driver, self.q_index) if paired else (driver,)


def distances(
    compared: Sequence[ComparedPair], drivers: Sequence[int], pair: tuple[int, int] | None
) -> Distances:
    """The layout for these comparisons; `pair` holds the indices of acid and sugar, if both are
    among the drivers of a comparison."""
    deltas = np.array([one.delta for one in compared])[:, list(drivers)]
    both = pair is not None and set(pair) <= set(drivers)
    return Distances(
        drivers=tuple(drivers),
        scale=np.maximum(np.abs(deltas).max(axis=0), _LEAST_STEP),
        pair=(drivers.index(pair[0]), drivers.index(pair[1])) if both and pair else None,
        gap=any(one.with_reference for one in compared),
    )


def signed(model: Likelihood) -> tuple[Bounds, Floats]:
    """Bounds and start of a fit whose parameters may have either sign."""
    start = np.zeros((1, model.parameters))
    start[:, model.size :] = _USUAL_SPREAD
    share = model.size if model.spread else None
    return Bounds(tuple(range(model.size)), share=share), start


def utility(x: Floats, y: Floats) -> Floats:
    """Factors of the lead of B over A in liking: l of each driver, then m of each.

    x, y: scaled levels of A and B, a row each
    """
    return np.concatenate([y - x, (x**2 - y**2) / 2], axis=-1)


def likelihood(compared: Sequence[ComparedPair], design: Floats) -> Likelihood:
    """Rows of all comparisons, by psychometric function and number of tastings an assessor.

    design: the factors of each comparison, a row each.
    """
    blocks: dict[tuple[str, int], list[tuple[int, Floats]]] = defaultdict(list)
    for index, one in enumerate(compared):
        for replicates, counts in _by_replicates(one).items():
            blocks[one.method.key, replicates].append((index, counts))
    rows = tuple(_rows(compared, design, blocks[key]) for key in sorted(blocks))
    return Likelihood(rows, design.shape[1], any(block.replicates > 1 for block in rows))


def clusters(compared: Sequence[ComparedPair]) -> Clusters | None:
    """Who gave which answers; None where that is not known."""
    rows = [
        (one.who, index, one.n, one.count)
        for index, each in enumerate(compared)
        for one in each.counts
        if one.who is not None
    ]
    if len(rows) < sum(len(each.counts) for each in compared):
        return None
    return Clusters(*np.array(rows, dtype=np.int64).T)


def _by_replicates(one: ComparedPair) -> dict[int, Floats]:
    """How many assessors had 0, 1, ..., r counted answers, by r."""
    table: dict[int, Floats] = {}
    for counted in one.counts:
        table.setdefault(counted.n, np.zeros(counted.n + 1))[counted.count] += 1
    return table


def _rows(
    compared: Sequence[ComparedPair], design: Floats, block: Sequence[tuple[int, Floats]]
) -> Rows:
    which = np.array([index for index, _ in block])
    first = compared[int(which[0])]
    return Rows(
        psychometric=first.method.model,
        squared=first.kind == "difference",
        design=design[which],
        counts=np.array([counts for _, counts in block]),
        lead=np.array([compared[index].lead for index in which], dtype=float),
        which=which,
    )
