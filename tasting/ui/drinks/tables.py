"""Drinks as tables that people read: parts, composition, comparison, and the tree of versions."""

from collections import defaultdict
from collections.abc import Iterator, Mapping

import pandas as pd

from tasting.drink import carbonation, words
from tasting.drink.composition import Composition
from tasting.drink.formula import Formula, Version
from tasting.drink.label import Match, Reference
from tasting.drink.mixture import NAMES, NOT_COMPUTABLE
from tasting.drink.uncertainty import MODEL, advice
from tasting.wording import decimals, interval, percent, short

COMPARED = {
    "Serving, mL": ("serving_ml", 0),
    "TA, g/L": ("ta_g_per_l", 2),
    "pH": ("ph", 2),
    "Sugar, g/L": ("sugar_g_per_l", 1),
    "Sweetness as sucrose, g/L": ("sweetness_g_per_l", 1),
    "Sugar : acid": ("sugar_acid_ratio", 1),
    "°Brix": ("brix", 1),
    "Refractometer, °Brix": ("refractometer_brix", 1),
    "CO₂, g/L": ("co2_g_per_l", 1),
    "Alcohol, % vol": ("alcohol_percent_vol", 2),
    "Alcohol, g/L": ("alcohol_g_per_l", 1),
    "Density, kg/L": ("density_kg_per_l", 4),
    "Energy, kcal/L": ("energy_kcal_per_l", 0),
    "Energy, kJ/L": ("energy_kj_per_l", 0),
}
"""The figures that are compared: where each is found, and the decimals that it is shown with."""

_UNSURE = (
    "ta_g_per_l",
    "ph",
    "sugar_g_per_l",
    "sweetness_g_per_l",
    "refractometer_brix",
    "alcohol_percent_vol",
    "energy_kcal_per_l",
    "co2_g_per_l",
    "density_kg_per_l",
)
"""Figures of which it is said what would make them surer."""

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


_PER_LITRE = (
    ("TA, as citric acid", "ta_g_per_l", 2, "g", "ta_g"),
    ("pH", "ph", 2, "", ""),
    ("Sugar", "sugar_g_per_l", 1, "g", "sugar_g"),
    ("Sweetness, as sucrose", "sweetness_g_per_l", 1, "g", ""),
    ("Sugar : acid", "sugar_acid_ratio", 1, "", ""),
    ("°Brix", "brix", 1, "", ""),
    ("Refractometer, °Brix", "refractometer_brix", 1, "", ""),
    ("CO₂", "co2_g_per_l", 1, "g", ""),
    ("Alcohol by volume", "alcohol_percent_vol", 2, "% vol", ""),
    ("Alcohol by mass", "alcohol_g_per_l", 1, "g", "alcohol_g"),
    ("Density", "density_kg_per_l", 4, "kg/L", ""),
    ("Energy", "energy_kcal_per_l", 0, "kcal", "energy_kcal"),
    ("Energy in kJ", "energy_kj_per_l", 0, "kJ", ""),
)
"""Rows of a composition: name, figure, decimals, unit of a litre, and the name in a serving."""


def composition_table(made: Composition) -> pd.DataFrame:
    """What a litre holds, how sure that is, and what a serving holds."""
    rows = [_per_litre(made, *row) for row in _PER_LITRE]
    volume = ("Volume", "1000 mL", "", f"{decimals(made.serving().volume_ml, 0)} mL")
    return pd.DataFrame(
        [volume, *rows], columns=["Composition", "Per litre", "Likely", "Per serving"]
    )


def _per_litre(
    made: Composition, what: str, figure: str, digits: int, unit: str, served: str
) -> tuple[str, str, str, str]:
    value, serving = getattr(made, figure), made.serving()
    if figure == "sugar_acid_ratio":
        return what, decimals(value, digits), "", ""
    litre = _gas(made) if figure == "co2_g_per_l" else _written(value, digits, unit)
    one = _written(getattr(serving, served), digits, unit) if served else ""
    if figure == "energy_kj_per_l":
        one = _written(value and value * serving.volume_ml / 1000, digits, unit)
    return what, litre, _likely(made, figure), one


def _written(value: float | None, digits: int, unit: str = "") -> str:
    if value is None:
        return NOT_COMPUTABLE
    return f"{decimals(value, digits)} {unit}".strip()


def _gas(made: Composition) -> str:
    if made.co2_g_per_l is None:
        return NOT_COMPUTABLE
    volumes = carbonation.volumes(made.co2_g_per_l)
    return f"{decimals(made.co2_g_per_l, 1)} g, {decimals(volumes, 1)} volumes"


def _likely(made: Composition, figure: str) -> str:
    return words.likely(figure, made.intervals[figure]) if figure else ""


def sureness_table(made: Composition) -> pd.DataFrame:
    """What to measure, and how much of what is unsure of each figure comes from it."""
    narrows: dict[str, list[str]] = defaultdict(list)
    for figure in _UNSURE:
        spread = made.intervals[figure]
        what = advice(spread).rpartition(": ")[0]
        if not what and spread.main == MODEL:
            what = "Measure the drink itself: the model adds more uncertainty than the ingredients"
        if what:
            narrows[what].append(f"{NAMES[figure].name} {percent(spread.share)}")
    rows = [(what, ", ".join(figures)) for what, figures in narrows.items()]
    return pd.DataFrame(rows, columns=["What to do", "Share of the uncertainty"])


_STORED_AT_C = (4.0, 20.0, 40.0)


def _gas_to_expect(made: Composition) -> float:
    """CO2 in g/L; where it is not known, the most that it may be."""
    known = made.co2_g_per_l
    return made.at_most("co2_g_per_l") if known is None else known


def pressures_table(made: Composition) -> pd.DataFrame:
    """Estimated pressure above the air's in a closed bottle: in the cold, in a room, in the sun."""
    result = [
        carbonation.pressure(_gas_to_expect(made), celsius, made.sugar_g_per_l or 0.0)
        for celsius in _STORED_AT_C
    ]
    rows = [
        (
            f"{short(bottle.temperature_c)} °C",
            f"{decimals(bottle.gauge_bar, 1)} bar",
            interval(bottle.low_bar, bottle.high_bar, 1),
        )
        for bottle in result
    ]
    return pd.DataFrame(rows, columns=["At", "Estimated pressure", "Likely"])


def matches_table(found: tuple[Match, ...]) -> pd.DataFrame:
    """Each value of a label: what was printed, what the version likely has, and whether the two can
    be one drink."""
    rows = [
        (
            words.value_name(match),
            short(match.declared),
            words.verdict(match),
            words.tolerated(match),
            words.meant(match, match.rounding),
            words.meant(match, match.likely),
        )
        for match in found
    ]
    names = ["Value", "Label", "Verdict", "Tolerance", "Label can mean", "Version likely"]
    return pd.DataFrame(rows, columns=names)


def composed_figures(made: Composition) -> Figures:
    """The figures of a composition."""
    own = {"serving_ml": made.serving().volume_ml}
    return {
        what: own[figure] if figure in own else getattr(made, figure)
        for what, (figure, _) in COMPARED.items()
    }


def label_figures(reference: Reference) -> Figures:
    """The figures of a reference as far as its label declares them or somebody measured them."""
    sugar, ta = reference.sugar_g_per_l, reference.ta_g_per_l
    return {
        "Serving, mL": reference.serving_ml,
        "TA, g/L": ta,
        "pH": reference.ph,
        "Sugar, g/L": sugar,
        "Sugar : acid": sugar / ta if sugar is not None and ta else None,
        "Refractometer, °Brix": reference.brix,
        "CO₂, g/L": reference.co2_g_per_l,
        "Density, kg/L": reference.density_kg_per_l,
        "Alcohol, % vol": reference.alcohol_percent_vol,
        "Energy, kcal/L": reference.energy_kcal_per_l,
    }
