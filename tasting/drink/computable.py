"""Which figures of a drink can be computed, and why the others cannot.

Two things stand in the way: a figure of an ingredient that nobody knows, and protein, which holds
the pH where the acids and minerals do not tell it (240 mL of milk with 15 mL of lemon juice is at
pH 5 to 5.5; its acids alone would be at 2.7).
"""

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tasting.drink import content
from tasting.drink.arrays import Floats
from tasting.drink.mixture import FIGURES

# Up to this share of the mass an unknown only widens the interval: a dash in a glass.
_LITTLE: Final = 0.01
# Protein takes about 1.4 meq of acid per g on the way from milk to pH 3 (casein's carboxyl groups;
# from memory), with milk's salts 1.8: 1 g/L shifts a juice drink by less than 0.1, which is within
# what the pH model leaves open (a judgement).
MOST_BUFFER_G_PER_L: Final = 1.0
BUFFER_EQ_PER_G: Final = 0.0018
_BUFFERED: Final = ("ta_g_per_l", "ph")
_ENERGY: Final = ("energy_kcal_per_l", "energy_kj_per_l")
_BLOCKED: Final[Mapping[int, tuple[str, tuple[str, ...]]]] = {
    content.NO_ACID: ("acidity", ("ta_g_per_l", "ph", "brix", "refractometer_brix")),
    content.NO_SUGAR: (
        "sugar",
        ("sugar_g_per_l", "sweetness_g_per_l", "brix", "refractometer_brix"),
    ),
    content.NO_ALCOHOL: (
        "alcohol",
        ("alcohol_percent_vol", "alcohol_g_per_l", "refractometer_brix"),
    ),
    content.NO_CO2: ("CO₂", ("co2_g_per_l",)),
    content.NO_ENERGY: ("energy", _ENERGY),
}


def _unknown(totals: Floats, volume_ml: Floats) -> dict[str, NDArray[np.bool_]]:
    """For each figure of mixture.FIGURES that is ever unknown, in which mixtures it is; `totals`
    one row each, in the columns of `content`."""
    mass = totals[:, content.MASSES].sum(axis=1)
    missing: dict[str, NDArray[np.bool_]] = {}
    for column, (_, figures) in _BLOCKED.items():
        here = totals[:, column] > _LITTLE * mass
        missing |= {figure: missing.get(figure, False) | here for figure in figures}
    buffered = buffer_g_per_l(totals, volume_ml) > MOST_BUFFER_G_PER_L
    return missing | {figure: missing[figure] | buffered for figure in _BUFFERED}


def buffer_g_per_l(totals: Floats, volume_ml: Floats | float) -> Floats:
    """Protein that holds the pH."""
    held: Floats = totals[..., content.BUFFER] / volume_ml * 1000
    return held


def unknown_of(totals: Floats, volume_ml: float, *, of_acids: bool = False) -> frozenset[str]:
    """The figures of one mixture that cannot be computed; with `of_acids`, only for want of what is
    not known of the ingredients, protein aside."""
    row = totals.copy()
    if of_acids:
        row[content.BUFFER] = 0.0
    missing = _unknown(row[None, :], np.array([volume_ml]))
    return frozenset(figure for figure in FIGURES if figure in missing and missing[figure][0])


def reasons(
    names: Sequence[str], brought: Floats, missing: frozenset[str], figure_names: Mapping[str, str]
) -> dict[str, str]:
    """Why each figure in `missing` cannot be computed, in a sentence or two, from the rows that the
    named parts bring."""
    return {
        figure: _reason(figure, names, brought, figure_names[figure])
        for figure in FIGURES
        if figure in missing
    }


def _reason(figure: str, names: Sequence[str], brought: Floats, called: str) -> str:
    sentences = []
    for column, (what, figures) in _BLOCKED.items():
        where = _named(names, brought[:, column])
        if figure in figures and where:
            sentences.append(f"the {what} of {where} is not known; measure it or look it up")
    where = _named(names, brought[:, content.BUFFER])
    if figure in _BUFFERED and where:
        sentences.append(f"{where} buffers the pH in a way that is not modelled; use a meter")
    return f"{_capital(called)}{_IS_NOT}{'; and '.join(sentences)}."


_IS_NOT: Final = " is not computable: "


def together(reasons: Mapping[str, str]) -> tuple[str, ...]:
    """The reasons, each said once for all the figures that it holds for."""
    figures: dict[str, list[str]] = {}
    for reason in reasons.values():
        called, _, why = reason.partition(_IS_NOT)
        if called not in figures.setdefault(why, []):
            figures[why].append(called)
    return tuple(_for_all(called, why) for why, called in figures.items())


def _for_all(called: Sequence[str], why: str) -> str:
    if len(called) == 1 and " and " not in called[0]:
        return f"{called[0]}{_IS_NOT}{why}"
    first, *others = (
        name if name[:2] in _AS_WRITTEN else name[0].lower() + name[1:] for name in called
    )
    listed = ", ".join([_capital(first), *others[:-1]])
    last = f" and {others[-1]}" if others else ""
    return f"{listed}{last} are not computable: {why}"


_AS_WRITTEN: Final = ("pH", "TA")


def _capital(name: str) -> str:
    return name if name[:2] in _AS_WRITTEN else name[:1].upper() + name[1:]


def _named(names: Sequence[str], amounts: Floats) -> str:
    """Which parts bring some of it."""
    there = dict.fromkeys(name for name, amount in zip(names, amounts, strict=True) if amount > 0)
    return " and ".join(there)
