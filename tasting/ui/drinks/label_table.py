"""A version beside what is known of a reference, per litre, and how sure their difference is."""

from math import sqrt

import pandas as pd

from tasting.drink.composition import Composition
from tasting.drink.label import Reference, bands
from tasting.ui.drinks.tables import COMPARED, composed_figures, label_figures
from tasting.wording import decimals, interval, signed

_Ends = tuple[float, float]


def beside_label(made: Composition, reference: Reference) -> pd.DataFrame:
    """The figures that both can have, each with what it may be, and the version minus the
    reference, with half the width of its 95 % interval where both are known."""
    this, other = composed_figures(made), label_figures(reference)
    rows = []
    for what, (figure, digits) in COMPARED.items():
        if what in other:
            ends = _of_version(made, figure), _of_label(reference, figure)
            written = [
                _with_ends(value, span, digits)
                for value, span in zip((this[what], other[what]), ends, strict=True)
            ]
            rows.append((what, *written, _difference(this[what], other[what], ends, digits)))
    return pd.DataFrame(rows, columns=["Figure", "Version", "Reference", "Difference"])


def _of_version(made: Composition, figure: str) -> _Ends | None:
    spread = made.intervals.get(figure)
    return (max(spread.low, 0.0), spread.high) if spread and spread.main else None


def _of_label(reference: Reference, figure: str) -> _Ends | None:
    """What a declared or measured value can mean."""
    meant = bands(reference).get(figure)
    return (meant[0].low, meant[0].high) if meant else None


def _with_ends(value: float | None, ends: _Ends | None, digits: int) -> str:
    written = decimals(value, digits)
    return f"{written} ({interval(*ends, digits)})" if ends and value is not None else written


def _difference(
    this: float | None, other: float | None, ends: tuple[_Ends | None, _Ends | None], digits: int
) -> str:
    if this is None or other is None:
        return signed(None, digits)
    written = signed(this - other, digits)
    halves = [(high - low) / 2 for low, high in filter(None, ends)]
    if len(halves) < 2:
        return written
    return f"{written} ± {decimals(sqrt(sum(half**2 for half in halves)), digits)}"
