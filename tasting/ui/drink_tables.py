"""Drinks as tables that people read: parts, composition, comparison, and the tree of versions."""

from collections import defaultdict
from collections.abc import Iterator, Mapping

import pandas as pd

from tasting.drink.composition import Composition
from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference
from tasting.insight.levels import levels

UNKNOWN = "–"
DIGITS = {
    "Serving, mL": 0,
    "TA, g/L": 2,
    "Sugar, g/L": 1,
    "Sugar : acid": 1,
    "°Brix": 1,
    "Refractometer, °Brix": 1,
    "Alcohol, % vol": 1,
    "Alcohol, g/L": 1,
    "Energy, kcal/L": 0,
}
"""The figures that are compared, and the decimals that each is shown with."""

Figures = Mapping[str, float | None]


def tree(formula: Formula) -> Iterator[tuple[Version, int]]:
    """The versions, parents before children, each with its level.

    The child with the most descendants goes on at its parent's level, below the other children,
    which stand one level further in: a recipe that was only ever improved stays a plain list.
    """
    children: dict[str | None, list[Version]] = defaultdict(list)
    size = {version.id: 1 for version in formula.versions}
    for version in reversed(formula.versions):
        children[version.parent].insert(0, version)
        if version.parent is not None:
            size[version.parent] += size[version.id]
    waiting = [(formula.versions[0], 0)]
    while waiting:
        version, level = waiting.pop()
        yield version, level
        offspring = sorted(children[version.id], key=lambda child: size[child.id])
        waiting += [(child, level) for child in offspring[-1:]]
        waiting += [(child, level + 1) for child in reversed(offspring[:-1])]


def parts_table(version: Version) -> pd.DataFrame:
    """Ingredient and amount of each part."""
    rows = [(part.ingredient.name, str(part.amount)) for part in version.parts]
    return pd.DataFrame(rows, columns=["Ingredient", "Amount"])


def composition_table(made: Composition) -> pd.DataFrame:
    """What a litre and a serving hold."""
    serving = made.serving()
    ratio = UNKNOWN if made.sugar_acid_ratio is None else f"{made.sugar_acid_ratio:.1f}"
    rows = [
        ("Volume", "1000 mL", f"{serving.volume_ml:.0f} mL"),
        ("TA, as citric acid", f"{made.ta_g_per_l:.2f} g", f"{serving.ta_g:.2f} g"),
        ("Sugar", f"{made.sugar_g_per_l:.1f} g", f"{serving.sugar_g:.1f} g"),
        ("Sugar : acid", ratio, ratio),
        ("°Brix", f"{made.brix:.1f}", f"{made.brix:.1f}"),
        ("Alcohol by volume", *[f"{made.alcohol_percent_vol:.1f} % vol"] * 2),
        ("Alcohol by mass", f"{made.alcohol_g_per_l:.1f} g", f"{serving.alcohol_g:.1f} g"),
        ("Energy", f"{made.energy_kcal_per_l:.0f} kcal", f"{serving.energy_kcal:.0f} kcal"),
    ]
    return pd.DataFrame(rows, columns=["Composition", "Per litre", "Per serving"])


def composed_figures(made: Composition) -> Figures:
    """The figures of a composition."""
    return {
        "Serving, mL": made.serving().volume_ml,
        "TA, g/L": made.ta_g_per_l,
        "Sugar, g/L": made.sugar_g_per_l,
        "Sugar : acid": made.sugar_acid_ratio,
        "°Brix": made.brix,
        "Refractometer, °Brix": made.refractometer_brix,
        "Alcohol, % vol": made.alcohol_percent_vol,
        "Alcohol, g/L": made.alcohol_g_per_l,
        "Energy, kcal/L": made.energy_kcal_per_l,
    }


def label_figures(reference: Reference) -> Figures:
    """The figures of a reference as far as its label declares them or somebody measured them."""
    known = levels(reference)
    sugar, ta = known.sugar_g_per_l, known.ta_g_per_l
    return {
        "Serving, mL": reference.serving_ml,
        "TA, g/L": ta,
        "Sugar, g/L": sugar,
        "Sugar : acid": sugar / ta if sugar is not None and ta else None,
        "Refractometer, °Brix": reference.brix,
        "Alcohol, % vol": known.alcohol_percent_vol,
        "Energy, kcal/L": known.energy_kcal_per_l,
    }


def compared(this: Figures, other: Figures, names: tuple[str, str, str]) -> pd.DataFrame:
    """The figures that both can have, side by side, and this minus the other."""
    rows = [
        (
            what,
            _shown(this[what], digits),
            _shown(other[what], digits),
            _change(this[what], other[what], digits),
        )
        for what, digits in DIGITS.items()
        if what in this and what in other
    ]
    return pd.DataFrame(rows, columns=["Figure", *names])


def _shown(value: float | None, digits: int) -> str:
    return UNKNOWN if value is None else f"{value:.{digits}f}"


def _change(this: float | None, other: float | None, digits: int) -> str:
    if this is None or other is None:
        return UNKNOWN
    difference = round(this - other, digits)
    return f"{difference:+.{digits}f}".replace("-", "−") if difference else f"{0:.{digits}f}"
