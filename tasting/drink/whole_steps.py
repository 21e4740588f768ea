"""The recipe that keeps demands in amounts that a scale can show, and what rounding costs."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from itertools import product
from math import ceil, floor
from typing import Final

import numpy as np

from tasting.drink.arrays import Floats
from tasting.drink.composition import Composition, compose
from tasting.drink.demands import Demand, Limits
from tasting.drink.exclusion import Shortfall
from tasting.drink.feasible import KEPT, Problem, middle
from tasting.drink.formula import Amount, Part, Version
from tasting.drink.pantry import by_hand
from tasting.drink.relaxation import Room
from tasting.wording import short

# Both neighbours are tried of as many ingredients as this; 1,024 recipes at most.
_MOST_TRIED: Final = 10
# Servings at once, so that the same step is a smaller share.
_BATCHES: Final = (1, 2, 4, 5, 10, 20)
# A step that is a larger share of what an amount may move is coarse; so many are tried.
_COARSE, _MOST_COARSE = 0.05, 3
# Less than a microgram is no amount.
_LEAST_G: Final = 1e-6
_NO_DAY: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class WeighedRecipe:
    """A recipe for so many servings in steps of the scale, whether it keeps the demands, which it
    misses and by how much, and the same in a sentence."""

    parts: tuple[Part, ...]
    servings: int
    composition: Composition
    kept: bool
    misses: tuple[Shortfall, ...]
    says: str


def as_version(parts: Sequence[Part], servings: float = 1) -> Version:
    """Parts as a version of no formula, to compose."""
    return Version(
        id="found", label="found", parts=tuple(parts), servings=servings, created_at=_NO_DAY
    )


def parts_of(limits: Sequence[Limits], amounts_g: Floats) -> tuple[Part, ...]:
    """Amounts in g as parts in mL of a liquid and g of a solid; what is given as it was given."""
    pairs = zip(limits, amounts_g.tolist(), strict=True)
    return tuple(_part(one, grams) for one, grams in pairs if grams > _LEAST_G)


def _part(one: Limits, grams: float) -> Part:
    unit, quantity = by_hand(one.ingredient, grams)
    amount = Amount(quantity=float(f"{quantity:.10g}"), unit=unit)
    return Part(ingredient=one.ingredient, amount=amount)


def composed(limits: Sequence[Limits], amounts_g: Floats) -> Composition:
    """What such amounts are."""
    return compose(as_version(parts_of(limits, amounts_g)))


def missed(demands: Sequence[Demand], values: Sequence[float]) -> tuple[Shortfall, ...]:
    """Which demands such figures do not keep."""
    return tuple(
        Shortfall(one.figure, value, value - (one.low if value < one.low else one.high))
        for one, value in zip(demands, values, strict=True)
        if not one.low - KEPT * one.half <= value <= one.high + KEPT * one.half
    )


def weighed(
    limits: Sequence[Limits], problem: Problem, room: Room, amounts_g: Floats, step_g: float
) -> WeighedRecipe:
    """The best neighbour of a recipe in whole steps of the scale (g, or mL of a liquid): one that
    keeps all demands with most margin, or else misses least. Where no neighbour keeps them, as many
    servings at once as it takes."""
    single = None
    for servings in _BATCHES:
        step = step_g / servings
        for look in (_best, _best_around_coarse):
            grams = look(limits, problem, room, amounts_g, step)
            single = grams if single is None else single
            if problem.kept(grams):
                return _told(limits, problem, grams, step_g, servings)
    assert single is not None
    return _told(limits, problem, single, step_g, 1)


def _best_around_coarse(
    limits: Sequence[Limits], problem: Problem, room: Room, amounts_g: Floats, step: float
) -> Floats:
    """The amounts for which a step is a large part of their room on both neighbours, and the others
    found anew: what is coarse in one amount another makes up for."""
    per_step = np.array([step / by_hand(one.ingredient, 1.0)[1] for one in limits])
    large: list[int] = np.flatnonzero(per_step / problem.widths > _COARSE).tolist()
    coarse = [at for at in large if not limits[at].fixed][:_MOST_COARSE]
    best, most_inside = amounts_g, -np.inf
    for ends in product(
        *(_neighbours(limits[at], float(amounts_g[at]), room.bounds[at], step) for at in coarse)
    ):
        near = _best(limits, problem, room, _with(problem, amounts_g, coarse, ends), step)
        inside = float(problem.margins(near).min())
        if inside > most_inside:
            best, most_inside = near, inside
    return best


def _with(
    problem: Problem, amounts_g: Floats, places: Sequence[int], given: Sequence[float]
) -> Floats:
    """The middle where some amounts are given."""
    least, most = problem.response.least.copy(), problem.response.most.copy()
    least[list(places)] = most[list(places)] = given
    fixed = replace(problem, response=replace(problem.response, least=least, most=most))
    return middle(fixed, [np.clip(amounts_g, least, most)]).amounts_g


def _best(
    limits: Sequence[Limits], problem: Problem, room: Room, amounts_g: Floats, step: float
) -> Floats:
    ends = [
        _neighbours(one, grams, span, step)
        for one, grams, span in zip(limits, amounts_g.tolist(), room.bounds[:-1], strict=True)
    ]
    free = [index for index, tried in enumerate(ends) if len(tried) > 1][_MOST_TRIED:]
    for index in free:
        ends[index] = [min(ends[index], key=lambda grams: abs(grams - amounts_g[index]))]
    rows = np.array(list(product(*ends)))
    rows = rows[rows.sum(axis=1) > 0] if (rows.sum(axis=1) > 0).any() else amounts_g[None, :]
    return np.asarray(rows[problem.margins(rows).min(axis=1).argmax()])


def _neighbours(one: Limits, grams: float, span: tuple[float, float], step: float) -> list[float]:
    """The steps below and above that its limits allow; what is given stays."""
    if one.fixed:
        return [grams]
    each = by_hand(one.ingredient, 1.0)[1]
    exact = grams * each / step
    tried = {float(f"{count * step:.10g}") / each for count in (floor(exact), ceil(exact))}
    low, high = span[0] - _LEAST_G, span[1] + _LEAST_G
    return sorted(end for end in tried if low <= end <= high) or [grams]


def _told(
    limits: Sequence[Limits], problem: Problem, grams: Floats, step: float, servings: int
) -> WeighedRecipe:
    figures = problem.response.figures(grams[None, :], problem.names)[0].tolist()
    off = missed(problem.demands, figures)
    parts = parts_of(limits, servings * grams)
    return WeighedRecipe(
        parts=parts,
        servings=servings,
        composition=compose(as_version(parts, servings)),
        kept=not off,
        misses=off,
        says=" ".join(_sentences(off, step, servings)),
    )


def _sentences(off: Sequence[Shortfall], step: float, servings: int) -> Iterator[str]:
    steps = f"steps of {short(step)} g or mL"
    if off:
        yield f"In {steps}: {'; '.join(f'{miss.called} {miss}' for miss in off)}."
    elif servings > 1:
        yield f"One serving in {steps} misses a demand; {servings} at once meet all of them."
    else:
        yield f"In {steps} it meets every demand."
