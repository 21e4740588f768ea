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
from tasting.wording import decimals, percent, short, signed, span, three_digits

_COMPARED = {
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


def parts_table(version: Version) -> pd.DataFrame:
    """Ingredient and amount of each part."""
    rows = [(part.ingredient.name, str(part.amount)) for part in version.parts]
    return pd.DataFrame(rows, columns=["Ingredient", "Amount"])


def composition_table(made: Composition) -> pd.DataFrame:
    """What a litre holds, how sure that is, and what a serving holds."""
    serving = made.serving()
    kj = made.energy_kj_per_l and made.energy_kj_per_l * serving.volume_ml / 1000
    rows = [
        ("Volume", "1000 mL", "", f"{serving.volume_ml:.0f} mL"),
        (
            "TA, as citric acid",
            _written(made.ta_g_per_l, 2, "g"),
            "ta_g_per_l",
            _written(serving.ta_g, 2, "g"),
        ),
        ("pH", _written(made.ph, 2), "ph", ""),
        (
            "Sugar",
            _written(made.sugar_g_per_l, 1, "g"),
            "sugar_g_per_l",
            _written(serving.sugar_g, 1, "g"),
        ),
        (
            "Sweetness, as sucrose",
            _written(made.sweetness_g_per_l, 1, "g"),
            "sweetness_g_per_l",
            "",
        ),
        ("Sugar : acid", decimals(made.sugar_acid_ratio, 1), "", ""),
        ("°Brix", _written(made.brix, 1), "brix", ""),
        ("Refractometer, °Brix", _written(made.refractometer_brix, 1), "refractometer_brix", ""),
        ("CO₂", _gas(made), "co2_g_per_l", ""),
        (
            "Alcohol by volume",
            _written(made.alcohol_percent_vol, 2, "% vol"),
            "alcohol_percent_vol",
            "",
        ),
        (
            "Alcohol by mass",
            _written(made.alcohol_g_per_l, 1, "g"),
            "alcohol_g_per_l",
            _written(serving.alcohol_g, 1, "g"),
        ),
        ("Density", f"{made.density_kg_per_l:.4f} kg/L", "density_kg_per_l", ""),
        (
            "Energy",
            _written(made.energy_kcal_per_l, 0, "kcal"),
            "energy_kcal_per_l",
            _written(serving.energy_kcal, 0, "kcal"),
        ),
        (
            "Energy in kJ",
            _written(made.energy_kj_per_l, 0, "kJ"),
            "energy_kj_per_l",
            _written(kj, 0, "kJ"),
        ),
    ]
    table = [(what, litre, _likely(made, figure), one) for what, litre, figure, one in rows]
    return pd.DataFrame(table, columns=["Composition", "Per litre", "Likely", "Per serving"])


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


def likely_figures(made: Composition) -> dict[str, str]:
    """The likely interval of each figure that is compared, where one is known."""
    return {
        what: words.likely(figure, made.intervals[figure])
        for what, (figure, _) in _COMPARED.items()
        if figure in made.intervals
    }


def sureness_table(made: Composition) -> pd.DataFrame:
    """What to measure, and how much of what is unsure of each figure comes from it."""
    narrows: dict[str, list[str]] = defaultdict(list)
    for figure in _UNSURE:
        spread = made.intervals[figure]
        what = advice(spread).rpartition(": ")[0]
        if not what and spread.main == MODEL:
            what = "Measure the drink itself: the model leaves more open than the ingredients"
        if what:
            narrows[what].append(f"{NAMES[figure].name} {percent(spread.share)}")
    rows = [(what, ", ".join(figures)) for what, figures in narrows.items()]
    return pd.DataFrame(rows, columns=["What to do", "Share of what is unsure"])


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
            span(bottle.low_bar, bottle.high_bar, 1),
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
            span(match.rounding.low, match.rounding.high, three_digits),
            span(match.likely.low, match.likely.high, three_digits),
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
        for what, (figure, _) in _COMPARED.items()
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
        "Alcohol, % vol": reference.alcohol_percent_vol,
        "Energy, kcal/L": reference.energy_kcal_per_l,
    }


def compared(this: Figures, other: Figures, names: tuple[str, str, str]) -> pd.DataFrame:
    """The figures that both can have, side by side, and this minus the other."""
    rows = [
        (
            what,
            decimals(this[what], digits),
            decimals(other[what], digits),
            signed(_minus(this[what], other[what]), digits),
        )
        for what, (_, digits) in _COMPARED.items()
        if what in this and what in other
    ]
    return pd.DataFrame(rows, columns=["Figure", *names])


def _minus(this: float | None, other: float | None) -> float | None:
    return None if this is None or other is None else this - other
