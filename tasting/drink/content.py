"""From the figures of ingredients to what one gram of each brings into a mixture.

Everything that adds up is one column of one matrix: a mixture is the masses times that matrix.
"""

from functools import lru_cache
from operator import attrgetter
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tasting.drink import acidity, alcohol, energy, sugar
from tasting.drink.arrays import Floats
from tasting.drink.pantry import ACID_FIGURES, CARRIED_FIGURES, FIGURES, SUGAR_FIGURES, Ingredient
from tasting.errors import InputError

# Columns of the matrix, per gram of ingredient. SWEET is sucrose of equal sweetness beside the
# sugars, SALT the part of OTHER that is sodium and chloride, CARBON mol of bicarbonate, BUFFER
# protein that holds the pH where this model does not look. What is not known counts as none and is
# marked from UNKNOWN on, with 1 g per gram.
WATER, ETHANOL = 0, 1
SUGARS = slice(2, 2 + len(sugar.SUGARS))
ACIDS = slice(SUGARS.stop, SUGARS.stop + len(acidity.ACIDS))
OTHER, CATIONS, CO2, RESIDUE, KCAL, KJ = range(ACIDS.stop, ACIDS.stop + 6)
SWEET, SALT, CARBON, BUFFER = range(KJ + 1, KJ + 5)
NO_SUGAR, NO_ACID, NO_ALCOHOL, NO_CO2, NO_ENERGY = range(BUFFER + 1, BUFFER + 6)
MASSES = slice(WATER, OTHER + 1)
UNKNOWN = slice(NO_SUGAR, NO_ENERGY + 1)
WIDTH: Final = UNKNOWN.stop

# Apparent specific volumes at 20 °C, mL/g. Anhydrous citric acid 0.597, computed from published
# densities of its solutions at 1 to 30 %; the other acids are given the same. Other solids
# (pectin, protein, minerals) 0.6, a judgement that liquids correct by their measured density.
ACID_ML_PER_G: Final = 0.597
OTHER_ML_PER_G: Final = 0.6
# Sodium chloride from the densities of brine at 20 °C: 10 % 1.0707, 20 % 1.1478 kg/L give 0.324 and
# 0.349 (CRC Handbook, from memory).
_SALT_ML_PER_G: Final = 0.299
_SALT_MORE_ML_PER_G: Final = 0.25
_SATURATED_BRINE: Final = 0.264
# Polyols beside sucrose: 0.35 (lactitol) to 1.0 (xylitol); glycerol 0.6 (common practice, no
# source).
_POLYOL_SWEETNESS: Final = 0.7
_GLYCEROL_SWEETNESS: Final = 0.6
# Rounds of scaling acids to a titration; four to eight are usual. None scales by more than four, or
# the first could overshoot to where none leads back.
_SCALING_ROUNDS: Final = 60
_MOST_SCALED: Final = 4.0
_SETTLED: Final = 1e-10
# Keeps the division finite where the acids take nothing.
_NOTHING: Final = 1e-12
# Figures rounded one by one may add up to so much too much, g/g.
_ROUNDING: Final = 0.01
_POTASSIUM_MG_PER_MEQ: Final = 39.0983
_SODIUM_MG_PER_MEQ: Final = 22.9898
_CHLORIDE_MG_PER_MEQ: Final = 35.453
_KJ_PER_KCAL: Final = 4.184

_AT = {figure: index for index, figure in enumerate(FIGURES)}
_SUGARS_AT = [_AT[figure] for figure in SUGAR_FIGURES]
_ACIDS_AT = [_AT[figure] for figure in ACID_FIGURES]
_ENERGETIC = [*range(SUGARS.start, ACIDS.stop), ETHANOL]
_BY_ACID = ["organic acid" if acid != "phosphoric" else None for acid in acidity.ACIDS]
_BY_GROUP = [*["carbohydrate"] * len(sugar.SUGARS), *_BY_ACID, "alcohol"]
_KCAL, _KJ = np.array([energy.PER_G[group] if group else (0.0, 0.0) for group in _BY_GROUP]).T
# What else the Regulation gives a factor for; it defines polyols so that glycerol is one.
_ALSO = ("polyols", "glycerol", "protein", "fat", "fibre")
_ALSO_AT = [_AT[f"{name}_g_per_100g"] for name in _ALSO]
_ALSO_KCAL, _ALSO_KJ = np.array(
    [energy.PER_G[group] for group in ("polyol", "polyol", "protein", "fat", "fibre")]
).T
_SWEET_AT = [_AT[f"{name}_g_per_100g"] for name in ("polyols", "glycerol", "intense_sweetness")]
_SWEETNESS = np.array([_POLYOL_SWEETNESS, _GLYCEROL_SWEETNESS, 1.0])
_CHARGED_AT = [_AT[figure] for figure in CARRIED_FIGURES[:3]]
_SALT_AT = [_AT["sodium_mg_per_100g"], _AT["chloride_mg_per_100g"]]
# Cow's milk (USDA, from memory): what a buffer counts as at least, for its salts hold pH, too.
_MILK_PROTEIN_G_PER_100G: Final = 3.3

_figures = attrgetter(*FIGURES)


def figures_of(ingredient: Ingredient) -> tuple[float | None, ...]:
    """The FIGURES of an ingredient, None where a figure is not known."""
    figures: tuple[float | None, ...] = _figures(ingredient)
    return figures


def content(ingredient: Ingredient) -> Floats:
    """What one gram of an ingredient brings; one row of `contents`, remembered by its figures.

    Raises InputError when its acidity and its pH cannot both be true: more acid than fits into it.
    """
    row = _content(figures_of(ingredient), ingredient.form == "solid", ingredient.holds_ph)
    if not row[OTHER] > -_ROUNDING:
        raise InputError(
            f"the acidity and the pH of {ingredient.name} do not fit together, or its figures add "
            "up to too much; measure both on the same lot"
        )
    return row


@lru_cache(maxsize=4096)
def _content(figures: tuple[float | None, ...], solid: bool, holds_ph: bool) -> Floats:
    one = np.array([figures], dtype=float)
    row: Floats = contents(one, np.array([solid]), np.array([holds_ph]))[0]
    row.flags.writeable = False
    return row


def contents(figures: Floats, solid: NDArray[np.bool_], holds_ph: NDArray[np.bool_]) -> Floats:
    """What one gram of each ingredient brings: masses in g, cations in eq, energy, residue in mL.

    The residue is the ingredient's own volume (from its density) less the volume that the mixture
    rule gives for its content: carried along, it lets every liquid keep its measured density alone
    and the mixture rule say only what mixing changes. Solids have none.
    """
    given, figures = figures, np.nan_to_num(figures)
    out = np.zeros((len(figures), WIDTH))
    density = figures[:, _AT["density_kg_per_l"]]
    out[:, SUGARS] = figures[:, _SUGARS_AT] / 100
    out[:, ETHANOL] = (
        figures[:, _AT["alcohol_percent_vol"]] / 100 * alcohol.ETHANOL_G_PER_ML / density
    )
    out[:, ACIDS], out[:, CATIONS] = _acids_and_cations(given, density)
    out[:, WATER], out[:, OTHER] = _water_and_other(given, out)
    out[:, CO2] = figures[:, _AT["co2_g_per_l"]] / (1000 * density)
    out[:, CARBON] = figures[:, _AT["alkalinity_meq_per_100g"]] / 1e5
    out[:, SWEET] = figures[:, _SWEET_AT] @ _SWEETNESS / 100
    out[:, SALT] = np.minimum(figures[:, _SALT_AT].sum(axis=1) / 1e5, np.maximum(out[:, OTHER], 0))
    protein = np.maximum(figures[:, _AT["protein_g_per_100g"]], _MILK_PROTEIN_G_PER_100G)
    out[:, BUFFER] = np.where(holds_ph, protein / 100, 0.0)
    out[:, UNKNOWN] = _unknown(given)
    out[:, KCAL], out[:, KJ] = _energies(given, out)
    out[:, RESIDUE] = np.where(solid, 0.0, 1 / density - model_volume_ml(out))
    return out


def _water_and_other(figures: Floats, out: Floats) -> tuple[Floats, Floats]:
    """Water, where it is not known all that is not known to be something else, and the rest."""
    dissolved = out[:, MASSES].sum(axis=1)
    rest = np.maximum(1 - dissolved, 0.0)
    also = np.nan_to_num(figures[:, _ALSO_AT]).sum(axis=1) / 100
    water = figures[:, _AT["water_g_per_100g"]] / 100
    water = np.where(np.isnan(water), np.maximum(rest - also, 0.0), np.minimum(water, rest))
    return water, 1 - dissolved - water


def _unknown(figures: Floats) -> Floats:
    """Whether sugars, acids, alcohol, CO2 and, for want of one of these, the energy is unknown."""
    missing = np.isnan(figures)
    sugars = missing[:, _SUGARS_AT].any(axis=1)
    acids = missing[:, _ACIDS_AT].any(axis=1) & missing[:, _AT["ta_citric_g_per_100g"]]
    strength = missing[:, _AT["alcohol_percent_vol"]]
    energies = (sugars | acids | strength) & missing[:, _AT["energy_kcal_per_100g"]]
    return np.column_stack(
        [sugars, acids, strength, missing[:, _AT["co2_g_per_l"]], energies]
    ).astype(float)


def _acids_and_cations(figures: Floats, density: Floats) -> tuple[Floats, Floats]:
    """Acid shares (g/g) and net strong cations (eq/g) that agree with what was measured."""
    per_litre = 1000 * density
    moles = np.nan_to_num(figures[:, _ACIDS_AT]) / 100 / acidity.MOLAR_MASS * per_litre[:, None]
    ta = figures[:, _AT["ta_citric_g_per_100g"]] / 100 / acidity.CITRIC_G_PER_EQ * per_litre
    potassium = figures[:, _AT["potassium_mg_per_100g"]]
    minerals = np.nan_to_num(potassium) / _POTASSIUM_MG_PER_MEQ + _other_minerals(figures)
    cations = minerals / 1e5 * per_litre
    # The pH speaks for the cations only where nobody measured the potassium.
    ph = np.where(np.isnan(potassium), figures[:, _AT["ph"]], np.nan)
    moles = _scaled_to_titration(moles, cations, ta, ph)
    inferred = np.flatnonzero(~np.isnan(ph) & (moles > 0).any(axis=1))
    # Below zero where acids that nobody listed make it sourer: they count as strong anions.
    cations[inferred] = acidity.bound_charge(moles[inferred], ph[inferred])
    return moles * acidity.MOLAR_MASS / per_litre[:, None], cations / per_litre


def _other_minerals(figures: Floats) -> Floats:
    """Cations beside potassium, less chloride, meq per 100 g."""
    others: Floats = figures[:, _AT["other_cations_meq_per_100g"]]
    return others + charge_meq(*figures[:, _CHARGED_AT].T)


def charge_meq(sodium_mg: ArrayLike, chloride_mg: ArrayLike, alkalinity_meq: ArrayLike) -> Floats:
    """Net strong cations in meq that these bring; NaN: not known. Without its chloride, sodium is
    taken for table salt, which brings none."""
    sodium, chloride = np.asarray(sodium_mg, dtype=float), np.asarray(chloride_mg, dtype=float)
    salt = np.nan_to_num(sodium) / _SODIUM_MG_PER_MEQ - chloride / _CHLORIDE_MG_PER_MEQ
    charge: Floats = np.nan_to_num(salt) + np.nan_to_num(np.asarray(alkalinity_meq, dtype=float))
    return charge


def _scaled_to_titration(moles: Floats, cations: Floats, ta: Floats, ph: Floats) -> Floats:
    """Acids (mol/L) in their given proportions, citric where none is given, but as much of them
    as titrates to `ta` (eq/L, NaN: not known) from the pH, or from the cations, that are known.

    NaN where no amount of acid does. Acidity without any acid is none.
    """
    scaled = np.where((ta == 0)[:, None], 0.0, moles)
    rows = np.flatnonzero(ta > 0)
    if rows.size:
        given = scaled[rows]
        given[~given.any(axis=1), 0] = ta[rows][~given.any(axis=1)] / 3
        scaled[rows] = _titrating(given, cations[rows], ta[rows], ph[rows])
    return scaled


def _titrating(moles: Floats, cations: Floats, ta: Floats, ph: Floats) -> Floats:
    """Fixed-point rounds: what the acids take on the way to the end point grows with them, what
    water and cations take does not."""
    level = np.nan_to_num(ph, nan=7.0)
    fixed = np.where(np.isnan(ph), cations, acidity.bound_charge(np.zeros_like(moles), level))
    for _ in range(_SCALING_ROUNDS):
        held = np.where(np.isnan(ph), 0.0, acidity.bound_charge(moles, level) - fixed)
        taken = acidity.bound_charge(moles, acidity.END_POINT_PH) - held
        factor = np.clip((ta + fixed) / np.maximum(taken, _NOTHING), 0.0, _MOST_SCALED)
        moles = moles * factor[:, None]
        settled = np.abs(factor - 1) < _SETTLED
        if settled.all():
            break
    return np.where(settled[:, None], moles, np.nan)


def _energies(figures: Floats, out: Floats) -> tuple[Floats, Floats]:
    declared = figures[:, _AT["energy_kcal_per_100g"]] / 100
    also = np.nan_to_num(figures[:, _ALSO_AT]) / 100
    kcal = out[:, _ENERGETIC] @ _KCAL + also @ _ALSO_KCAL
    kj = out[:, _ENERGETIC] @ _KJ + also @ _ALSO_KJ
    known = ~np.isnan(declared)
    return np.where(known, declared, kcal), np.where(known, declared * _KJ_PER_KCAL, kj)


def model_volume_ml(totals: Floats) -> Floats:
    """Volume in mL at 20 °C by apparent volumes: ethanol and water after OIML R 22, and on top of
    it what each dissolved thing adds. `totals` has the columns of this module, last axis."""
    volume: Floats = (
        alcohol.liquid_volume_ml(totals[..., ETHANOL], totals[..., WATER])
        + sugar.dissolved_volume_ml(totals[..., SUGARS], totals[..., WATER])
        + ACID_ML_PER_G * totals[..., ACIDS].sum(axis=-1)
        + OTHER_ML_PER_G * (totals[..., OTHER] - totals[..., SALT])
        + _salt_volume_ml(totals[..., SALT], totals[..., WATER])
    )
    return volume


def _salt_volume_ml(salt_g: Floats, water_g: Floats) -> Floats:
    """Volume in mL that sodium chloride adds to its water, more per gram in a strong brine."""
    brine = np.asarray(salt_g + water_g)
    share = np.divide(salt_g, brine, out=np.zeros_like(brine), where=brine > 0)
    strength = np.minimum(share, _SATURATED_BRINE)
    volume: Floats = salt_g * (_SALT_ML_PER_G + _SALT_MORE_ML_PER_G * strength)
    return volume
