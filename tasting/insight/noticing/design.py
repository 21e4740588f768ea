"""From comparisons to rows of a likelihood: which factors each question's answers depend on.

    difference  squared distance = sum w_k^2 D_k^2 + 2 q D_a D_s + g,   q = rho w_a w_s, g = c^2
    direction   lead of B        = sum v_k D_k
    preference  lead of B        = U(B) - U(A),   U = sum l_k x_k - m_k x_k^2 / 2

D is B minus A in units of the driver's largest difference, x a level less the middle of all levels.
All three are linear in what is estimated. The ideal of a driver is l / m, where m is above 0. The
squared distance may bend: then D is raised to a power, its sign kept (see `bend`).
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

import numpy as np

from tasting.insight.noticing.comparisons import NOBODY_KNOWN, PooledPair, difference_components
from tasting.insight.noticing.drivers import Reading
from tasting.stats.checks import Floats
from tasting.stats.fitting.barrier import WIDEST, Bounds
from tasting.stats.fitting.clusters import Clusters
from tasting.stats.fitting.likelihood import Likelihood, Rows

# Where every fit starts: a squared distance, or a curvature, of 1/2 at the largest difference
# tasted, and a small spread between assessors. Any point well inside leads to the same maximum.
INSIDE: Final = 0.5
_USUAL_SPREAD: Final = 0.2
POWERS: Final = (0.4, 1.5)
"""Powers that are looked at: from below a square root, so that one does not lie on the edge, to
steps that are felt ever more; a judgement."""
# Keeps the scale of a driver that never moved from being 0; such drivers are left out before.
_LEAST_STEP: Final = 1e-12


@dataclass(frozen=True, slots=True)
class Distances:
    """Layout of the parameters of a squared distance.

    drivers: indices of the drivers that are in it, among those of a comparison; scale: the unit of
    each; pair: indices, within `drivers`, of acid and sugar if both are in; gap: whether a
    character gap is. The parameters come in this order: squared weights, q, squared gap; where the
    power is free, it comes next. power: of a difference that distance grows with
    """

    drivers: tuple[int, ...]
    scale: Floats
    pair: tuple[int, int] | None
    gap: bool
    power: float = 1.0

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
        straight = np.atleast_2d(deltas)[:, self.drivers] / self.scale
        scaled = np.sign(straight) * np.abs(straight) ** self.power
        columns = [scaled**2]
        if self.pair:
            columns.append(2 * np.prod(scaled[:, self.pair], axis=1, keepdims=True))
        if self.gap:
            columns.append(np.broadcast_to(with_reference, len(scaled)).astype(float)[:, None])
        return np.concatenate(columns, axis=1)

    def components(
        self, pairs: Sequence[tuple[Reading, Reading]], theta: Floats
    ) -> list[dict[str, float]]:
        """For each pair what one standard deviation of each source of uncertainty does to the
        squared distance.

        An error d of the difference D moves it up and down by two different amounts. Half their
        difference, 2 D'Q d without a bend, is the source's own; half their sum, d'Q d, is all there
        is where D is 0; its square has the mean 3 (d'Q d)^2 for a normal error, and it counts as a
        source of its own.
        """
        errors = [difference_components(a, b) for a, b in pairs]
        counts = [len(each) for each in errors]
        if not sum(counts):
            return [{} for _ in pairs]
        deltas = np.array([b.levels - a.levels for a, b in pairs])
        error = np.array([one for each in errors for one in each.values()])
        moved, here = (
            np.repeat(deltas, counts, axis=0),
            np.repeat(self._squared(deltas, theta), counts),
        )
        up, down = self._squared(moved + error, theta), self._squared(moved - error, theta)
        own, squared = (up - down) / 2, sqrt(3) * ((up + down) / 2 - here)
        ends = np.cumsum(counts)[:-1]
        parts = [[part.tolist() for part in np.split(each, ends)] for each in (own, squared)]
        return [
            dict(zip([*each, *map(_squared_of, each)], [*one, *two], strict=True))
            for each, one, two in zip(errors, *parts, strict=True)
        ]

    def _squared(self, deltas: Floats, theta: Floats) -> Floats:
        """Squared distances without a character gap."""
        return np.asarray(self.factors(deltas, np.array(0.0)) @ theta[: self.size])

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
        power = ((self.size, *POWERS),) if model.bends else ()
        start = np.full((1, model.parameters), INSIDE)
        if self.pair:
            start[:, self.q_index] = 0.0
        if model.bends:
            start[:, self.size] = 1.0
        between = (*power, *_spread(model, start))
        return Bounds(tuple(range(self.size)), (*alone, *gap), cone, between), start

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
        return Distances(drivers, self.scale[kept], pair, self.gap, self.power)

    def dropped(self, driver: int) -> tuple[int, ...]:
        """Which parameters `without` leaves out."""
        paired = self.pair is not None and driver in self.pair
        return (driver, self.q_index) if paired else (driver,)


def _squared_of(source: str) -> str:
    return f"{source}, squared"


def distances(
    compared: Sequence[PooledPair], drivers: Sequence[int], pair: tuple[int, int] | None
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
    return Bounds(tuple(range(model.size)), between=_spread(model, start)), start


def _spread(model: Likelihood, start: Floats) -> tuple[tuple[int, float, float], ...]:
    """Where the spread between assessors has to lie, if there is one; sets its start."""
    if not model.spread:
        return ()
    start[:, -1] = _USUAL_SPREAD
    return ((model.parameters - 1, 0.0, WIDEST),)


def utility(x: Floats, y: Floats) -> Floats:
    """Factors of the lead of B over A in liking: l of each driver, then m of each.

    x, y: scaled levels of A and B, a row each
    """
    return np.concatenate([y - x, (x**2 - y**2) / 2], axis=-1)


def likelihood(
    compared: Sequence[PooledPair], design: Floats, bend: Floats | None = None
) -> Likelihood:
    """Rows of all comparisons, by psychometric function and number of tastings an assessor.

    design: the factors of each comparison, a row each; bend: how they grow with a free power
    """
    blocks: dict[tuple[str, int], list[tuple[int, Floats]]] = defaultdict(list)
    for index, one in enumerate(compared):
        for replicates, counts in _by_replicates(one).items():
            blocks[one.method.key, replicates].append((index, counts))
    rows = tuple(_rows(compared, design, bend, blocks[key]) for key in sorted(blocks))
    return Likelihood(rows, design.shape[1], any(block.replicates > 1 for block in rows))


def clusters(compared: Sequence[PooledPair]) -> Clusters | None:
    """Who gave which answers; None where that is not known."""
    given = np.concatenate([one.answers for one in compared])
    tastings, counted, who, times = given.T
    if (who == NOBODY_KNOWN).any():
        return None
    which = np.repeat(np.arange(len(compared)), [len(one.answers) for one in compared])
    return Clusters(who, which, tastings, counted, times)


def _by_replicates(one: PooledPair) -> dict[int, Floats]:
    """How often assessors had 0, 1, ..., r counted answers in a session, by r."""
    tastings, counted, _, times = one.answers.T
    return {
        n: np.bincount(counted[tastings == n], times[tastings == n], n + 1).astype(np.float64)
        for n in np.unique(tastings).tolist()
    }


def _rows(
    compared: Sequence[PooledPair],
    design: Floats,
    bend: Floats | None,
    block: Sequence[tuple[int, Floats]],
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
        bend=None if bend is None else bend[which],
    )
