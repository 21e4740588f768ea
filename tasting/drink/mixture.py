"""The mass balance of many mixtures at once, and every figure that follows from it."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from tasting.drink import acidity, alcohol, content, sugar
from tasting.drink.arrays import Floats
from tasting.wording import decimals, signed


@dataclass(frozen=True, slots=True)
class Mixture:
    """Figures of mixtures, degassed and at 20 °C; one value a mixture.

    `ta_g_per_l` is titratable acidity as anhydrous citric acid to pH 8.1 (ISO 750); `brix` the
    dissolved sugars and acids in g per 100 g of the degassed drink; `refractometer_brix` what the
    instrument would show, other solids and alcohol included; `sweetness_g_per_l` sugars,
    polyols and intense sweeteners as sucrose of equal sweetness; `ph` at 25 °C.
    """

    volume_ml: Floats
    mass_g: Floats
    density_kg_per_l: Floats
    ta_g_per_l: Floats
    sugar_g_per_l: Floats
    sweetness_g_per_l: Floats
    brix: Floats
    refractometer_brix: Floats
    ph: Floats
    co2_g_per_l: Floats
    alcohol_percent_vol: Floats
    alcohol_g_per_l: Floats
    energy_kcal_per_l: Floats
    energy_kj_per_l: Floats


FIGURES = tuple(Mixture.__slots__)
NOT_COMPUTABLE: Final = "not computable"


@dataclass(frozen=True, slots=True)
class Figure:
    """How a figure is written for people: its name, its unit and how many decimals are sensible."""

    name: str
    unit: str
    decimals: int

    def bare(self, value: float | None) -> str:
        """The value without its unit."""
        return decimals(value, self.decimals)

    def write(self, value: float | None) -> str:
        """The value with its unit."""
        if value is None:
            return NOT_COMPUTABLE
        return f"{self.bare(value)} {self.unit}".strip()

    def change(self, difference: float) -> str:
        """A difference with its sign, without its unit."""
        return signed(difference, self.decimals)


NAMES: Final[dict[str, Figure]] = {
    "volume_ml": Figure("volume", "mL", 1),
    "mass_g": Figure("mass", "g", 1),
    "density_kg_per_l": Figure("density", "kg/L", 4),
    "ta_g_per_l": Figure("TA", "g/L", 2),
    "sugar_g_per_l": Figure("sugar", "g/L", 1),
    "sweetness_g_per_l": Figure("sweetness as sucrose", "g/L", 1),
    "brix": Figure("sugars and acids", "g/100 g", 2),
    "refractometer_brix": Figure("refractometer reading", "°Brix", 1),
    "ph": Figure("pH", "", 2),
    "co2_g_per_l": Figure("carbon dioxide", "g/L", 1),
    "alcohol_percent_vol": Figure("alcohol", "% vol", 2),
    "alcohol_g_per_l": Figure("alcohol by mass", "g/L", 1),
    "energy_kcal_per_l": Figure("energy", "kcal/L", 0),
    "energy_kj_per_l": Figure("energy", "kJ/L", 0),
}


def mix(totals: Floats) -> Mixture:
    """The figures of mixtures from their totals, one row each, in the columns of `content`."""
    mass = totals[:, content.MASSES].sum(axis=1)
    volume = volume_ml(totals)
    per_litre = totals / (volume / 1000)[:, None]
    sugars, alcohol_g_per_l = per_litre[:, content.SUGARS], per_litre[:, content.ETHANOL]
    alcohol_percent_vol = alcohol_g_per_l / (10 * alcohol.ETHANOL_G_PER_ML)
    ta_eq_per_l, ph = _sourness(per_litre)
    brix, refractometer_brix = _readings(totals, mass, alcohol_percent_vol)
    return Mixture(
        volume_ml=volume,
        mass_g=mass,
        density_kg_per_l=mass / volume,
        ta_g_per_l=ta_eq_per_l * acidity.CITRIC_G_PER_EQ,
        sugar_g_per_l=sugars.sum(axis=1),
        sweetness_g_per_l=sugars @ sugar.SWEETNESS + per_litre[:, content.SWEET],
        brix=brix,
        refractometer_brix=refractometer_brix,
        ph=ph,
        co2_g_per_l=per_litre[:, content.CO2],
        alcohol_percent_vol=alcohol_percent_vol,
        alcohol_g_per_l=alcohol_g_per_l,
        energy_kcal_per_l=per_litre[:, content.KCAL],
        energy_kj_per_l=per_litre[:, content.KJ],
    )


def _readings(totals: Floats, mass_g: Floats, alcohol_percent_vol: Floats) -> tuple[Floats, Floats]:
    """True sugars and acids in g per 100 g, and what a refractometer in °Brix would show."""
    percent = 100 * totals / mass_g[:, None]
    sugars, acids = percent[:, content.SUGARS].sum(axis=1), percent[:, content.ACIDS].sum(axis=1)
    shown = sugar.refractometer_brix(sugars + percent[:, content.OTHER], acids, alcohol_percent_vol)
    return sugars + acids, shown


def volume_ml(totals: Floats) -> Floats:
    """Volume in mL at 20 °C: the mixture rule on the totals, and the residues of the liquids."""
    volume: Floats = content.model_volume_ml(totals) + totals[..., content.RESIDUE]
    return volume


def _sourness(per_litre: Floats) -> tuple[Floats, Floats]:
    """Titratable acidity of the degassed drink in eq/L, and its pH with the CO2 in it."""
    moles = per_litre[:, content.ACIDS] / acidity.MOLAR_MASS
    cations = per_litre[:, content.CATIONS]
    carbonic = per_litre[:, content.CO2] / acidity.CO2_G_PER_MOL + per_litre[:, content.CARBON]
    dissolved = np.column_stack([moles, carbonic]) if carbonic.any() else moles
    return acidity.titratable_eq_per_l(moles, cations), acidity.solve_ph(dissolved, cations)
