"""How the figures of a drink respond when some of this is added and some of that taken out, and how
much of one ingredient brings a figure to where it is wanted."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.optimize import elementwise

from tasting.drink import content
from tasting.drink.arrays import Floats
from tasting.drink.composition import part_grams
from tasting.drink.formula import Version
from tasting.drink.mixture import mix
from tasting.drink.pantry import Ingredient

# Step for slopes, as a share of the batch: far below any pinch, far above rounding.
_STEP: Final = 1e-6
# Amounts tried on the way to a root, as shares of the limit: from a pinch that nobody can weigh, in
# steps of a quarter, because a figure may turn round (pH, or what dilutes and sours at once).
_TRIED: Final = np.geomspace(1e-6, 1.0, 60)
# What the same figure, computed in two ways, may differ by.
_EQUAL: Final = 1e-9
# Beyond so many times the batch the drink is the ingredient, to within 2 %.
_MOST_ADDED: Final = 50


@dataclass(frozen=True, slots=True)
class Response:
    """A batch and the ingredients that may change in it.

    `totals` of the batch and `shelf` (a row an ingredient) are in the columns of `content`; amounts
    are in g for the batch, between `least` (what can be taken out, negative) and `most`.
    """

    totals: Floats
    shelf: Floats
    least: Floats
    most: Floats
    batch_g: float

    @classmethod
    def of(
        cls, version: Version, items: Sequence[Ingredient], least: Floats, most: Floats
    ) -> "Response":
        """Of a version, when these ingredients change between `least` and `most`."""
        masses = [part_grams(part) for part in version.parts]
        rows = [content.content(part.ingredient) for part in version.parts]
        shelf = np.array([content.content(item) for item in items])
        return cls(np.array(masses) @ np.array(rows), shelf, least, most, sum(masses))

    def figures(self, amounts_g: Floats, names: Sequence[str]) -> Floats:
        """The named figures after each row of amounts: a row for each, a column a figure."""
        mixture = mix(self.totals + amounts_g @ self.shelf)
        return np.column_stack([getattr(mixture, name) for name in names])

    def linear(self, amounts_g: Floats, names: Sequence[str]) -> tuple[Floats, Floats]:
        """The named figures at one set of amounts, and their slopes per g of each ingredient.

        Steps are upward: a little more than allowed can be computed, less than nothing cannot.
        """
        step = _STEP * self.batch_g
        rows = np.vstack([amounts_g, amounts_g + step * np.eye(len(amounts_g))])
        table = self.figures(rows, names)
        slopes: Floats = ((table[1:] - table[0]) / step).T
        return table[0], slopes

    def tried(self, index: int) -> Floats:
        """Amounts in g of one ingredient from its least to its most, closer together near none."""
        below, above = self.least[index] * _TRIED, self.most[index] * _TRIED
        return np.unique(np.concatenate([below, [0.0], above]))

    def alone(self, index: int, amounts_g: Floats, name: str) -> Floats:
        """The named figure after each amount of one ingredient."""
        row = np.eye(len(self.shelf))[index]
        return self.figures(np.outer(amounts_g, row), [name])[:, 0]

    def reaching(self, index: int, name: str, targets: Floats) -> Floats:
        """The least amount in g of one ingredient that brings the named figure to each target: 0
        where it is there already, infinite where no amount within the limits does."""

        def miss(grams: Floats, *wanted: Floats) -> Floats:
            return self.alone(index, grams, name) - wanted[0]

        tried = self.tried(index)
        misses = miss(tried, targets[:, None])
        crossed = np.sign(misses[:, :-1]) * np.sign(misses[:, 1:]) <= 0
        left = np.where(crossed, np.abs(tried[:-1]), np.inf).argmin(axis=1)
        amounts, can = np.full(targets.shape, np.inf), crossed.any(axis=1)
        if can.any():
            ends, wanted = (tried[left[can]], tried[left[can] + 1]), (targets[can],)
            root = elementwise.find_root(miss, ends, args=wanted, tolerances={"xrtol": _EQUAL})
            amounts[can] = root.x
        there = np.abs(misses[:, tried == 0.0])[:, 0] <= _EQUAL * np.maximum(targets, 1.0)
        return np.where(there & np.isfinite(targets), 0.0, amounts)


def grams_to_reach(version: Version, item: Ingredient, figure: str, targets: Floats) -> Floats:
    """Grams of an ingredient, added to the batch, that bring a figure to each target; infinite
    where the ingredient does not reach it."""
    most = _MOST_ADDED * sum(map(part_grams, version.parts))
    added = Response.of(version, [item], np.zeros(1), np.array([most]))
    return added.reaching(0, figure, targets)
