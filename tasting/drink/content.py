"""From the figures of ingredients to what one gram of each brings into a mixture.

Everything that adds up is one column of one matrix: a mixture is the masses times that matrix.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from operator import attrgetter
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tasting.drink import acidity, alcohol, energy, sugar
from tasting.drink.arrays import Floats
from tasting.drink.pantry import ACID_FIGURES, FIGURES, SUGAR_FIGURES, Ingredient

# Columns of the matrix, per gram of ingredient.
WATER, ETHANOL = 0, 1
SUGARS = slice(2, 2 + len(sugar.SUGARS))
ACIDS = slice(SUGARS.stop, SUGARS.stop + len(acidity.ACIDS))
OTHER, CATIONS, CO2, RESIDUE, KCAL, KJ = range(ACIDS.stop, ACIDS.stop + 6)
MASSES = slice(WATER, OTHER + 1)
WIDTH: Final = KJ + 1

# Apparent specific volumes at 20 °C, mL/g. Anhydrous citric acid 0.597, computed from published
# densities of its solutions at 1 to 30 %; the other acids are given the same. Other solids
# (pectin, protein, minerals) 0.6, a judgement that liquids correct by their measured density.
ACID_ML_PER_G: Final = 0.597
OTHER_ML_PER_G: Final = 0.6
POTASSIUM_MG_PER_MEQ: Final = 39.0983
_KJ_PER_KCAL: Final = 4.184

_AT = {figure: place for place, figure in enumerate(FIGURES)}
_SUGARS_AT = [_AT[figure] for figure in SUGAR_FIGURES]
_ACIDS_AT = [_AT[figure] for figure in ACID_FIGURES]
_ENERGETIC = [*range(SUGARS.start, ACIDS.stop), ETHANOL]
_BY_GROUP = ["carbohydrate"] * 5 + ["organic acid"] * 7 + ["alcohol"]
_KCAL = np.array([energy.KCAL_PER_G[group] for group in _BY_GROUP])
_KJ = np.array([energy.KJ_PER_G[group] for group in _BY_GROUP])


_figures = attrgetter(*FIGURES)


def figures_of(ingredient: Ingredient) -> tuple[float | None, ...]:
    """The FIGURES of an ingredient, None where a figure is not known."""
    figures: tuple[float | None, ...] = _figures(ingredient)
    return figures


def figure_rows(ingredients: Sequence[Ingredient]) -> Floats:
    """The FIGURES of each ingredient, one row each, NaN where a figure is not known."""
    return np.array([figures_of(item) for item in ingredients], dtype=float)


def content(ingredient: Ingredient) -> Floats:
    """What one gram of an ingredient brings; one row of `contents`, remembered by its figures."""
    return _content(figures_of(ingredient), ingredient.form == "solid")


@lru_cache(maxsize=4096)
def _content(figures: tuple[float | None, ...], solid: bool) -> Floats:
    row: Floats = contents(np.array([figures], dtype=float), np.array([solid]))[0]
    row.flags.writeable = False
    return row


def contents(figures: Floats, solid: NDArray[np.bool_]) -> Floats:
    """What one gram of each ingredient brings: masses in g, cations in eq, energy, residue in mL.

    The residue is the ingredient's own volume (from its density) less the volume that the mixture
    rule gives for its content: carried along, it lets every liquid keep its measured density alone
    and the mixture rule say only what mixing changes. Solids have none.
    """
    out = np.zeros((len(figures), WIDTH))
    density = figures[:, _AT["density_kg_per_l"]]
    out[:, SUGARS] = figures[:, _SUGARS_AT] / 100
    out[:, ETHANOL] = (
        figures[:, _AT["alcohol_percent_vol"]] / 100 * alcohol.ETHANOL_G_PER_ML / density
    )
    out[:, ACIDS], out[:, CATIONS] = _acids_and_cations(figures, density)
    dissolved = out[:, MASSES].sum(axis=1)
    water = figures[:, _AT["water_g_per_100g"]] / 100
    rest = np.maximum(1 - dissolved, 0.0)
    out[:, WATER] = np.where(np.isnan(water), rest, np.minimum(water, rest))
    out[:, OTHER] = 1 - dissolved - out[:, WATER]
    out[:, CO2] = figures[:, _AT["co2_g_per_l"]] / (1000 * density)
    out[:, KCAL], out[:, KJ] = _energies(figures, out)
    out[:, RESIDUE] = np.where(solid, 0.0, 1 / density - model_volume_ml(out))
    return out


def _acids_and_cations(figures: Floats, density: Floats) -> tuple[Floats, Floats]:
    """Acid shares (g/g) and net strong cations (eq/g) that agree with what was measured."""
    per_litre = 1000 * density
    moles = figures[:, _ACIDS_AT] / 100 / acidity.MOLAR_MASS * per_litre[:, None]
    ta = figures[:, _AT["ta_citric_g_per_100g"]] / 100 / acidity.CITRIC_G_PER_EQ * per_litre
    potassium = figures[:, _AT["potassium_mg_per_100g"]]
    minerals = np.nan_to_num(potassium) / POTASSIUM_MG_PER_MEQ
    cations = (minerals + figures[:, _AT["other_cations_meq_per_100g"]]) / 1e5 * per_litre
    # The pH speaks for the cations only where nobody measured the potassium.
    ph = np.where(np.isnan(potassium), figures[:, _AT["ph"]], np.nan)
    moles = _scaled_to_titration(moles, cations, ta, ph)
    inferred = np.flatnonzero(~np.isnan(ph) & moles.any(axis=1))
    held = acidity.bound_charge(moles[inferred], ph[inferred])
    cations[inferred] = np.maximum(held, 0.0)
    return moles * acidity.MOLAR_MASS / per_litre[:, None], cations / per_litre


def _scaled_to_titration(moles: Floats, cations: Floats, ta: Floats, ph: Floats) -> Floats:
    """Acids (mol/L) in their given proportions, citric where none is given, but as much of them
    as titrates to `ta` (eq/L, NaN: not known) from the pH, or from the cations, that are known."""
    titrated = np.flatnonzero(~np.isnan(ta))
    if not titrated.size:
        return moles
    some, target, at_ph = moles[titrated], ta[titrated], ph[titrated]
    some[~some.any(axis=1), 0] = target[~some.any(axis=1)] / 3
    for _ in range(60):
        held = acidity.bound_charge(some, np.nan_to_num(at_ph, nan=7.0))
        start = np.where(np.isnan(at_ph), cations[titrated], held)
        # More base than acid at the start would turn the step round: a small floor keeps it going.
        span = np.maximum(acidity.bound_charge(some, acidity.END_POINT_PH) - start, 1e-9)
        factor = np.where(target > 0, target / span, 0.0)
        some = some * np.clip(factor, 0.0, 4.0)[:, None]
        if np.all(np.abs(factor - 1)[target > 0] < 1e-9):
            break
    scaled = moles.copy()
    scaled[titrated] = some
    return scaled


def _energies(figures: Floats, out: Floats) -> tuple[Floats, Floats]:
    declared = figures[:, _AT["energy_kcal_per_100g"]] / 100
    kcal, kj = out[:, _ENERGETIC] @ _KCAL, out[:, _ENERGETIC] @ _KJ
    known = ~np.isnan(declared)
    return np.where(known, declared, kcal), np.where(known, declared * _KJ_PER_KCAL, kj)


def model_volume_ml(totals: Floats) -> Floats:
    """Volume in mL at 20 °C by apparent volumes: ethanol and water after OIML R 22, and on top of
    it what each dissolved thing adds. `totals` has the columns of this module, last axis."""
    volume: Floats = (
        alcohol.liquid_volume_ml(totals[..., ETHANOL], totals[..., WATER])
        + sugar.dissolved_volume_ml(totals[..., SUGARS], totals[..., WATER])
        + ACID_ML_PER_G * totals[..., ACIDS].sum(axis=-1)
        + OTHER_ML_PER_G * totals[..., OTHER]
    )
    return volume
