"""How the figures of a drink respond when some of this is added and some of that taken out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from tasting.drink.arrays import Floats
from tasting.drink.mixture import mix

# Step for slopes, as a share of the batch: far below any pinch, far above rounding.
_STEP: Final = 1e-6


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
