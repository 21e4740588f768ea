"""What is in a version: the one mass balance, and what follows from it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from tasting.drink import acidity, alcohol, content
from tasting.drink.arrays import Floats
from tasting.drink.formula import Version
from tasting.units import grams

# Less than a burette can see; pure water reads 0.0001.
LEAST_ACID_G_PER_L: Final = 0.005


@dataclass(frozen=True, slots=True)
class Serving:
    """One serving: its volume, and grams and kilocalories in it."""

    volume_ml: float
    ta_g: float
    sugar_g: float
    alcohol_g: float
    energy_kcal: float


@dataclass(frozen=True, slots=True)
class Composition:
    """What a version is made of, degassed and at 20 °C.

    `ta_g_per_l` is titratable acidity as anhydrous citric acid to pH 8.1 (ISO 750); `brix` the
    dissolved sugars and acids in g per 100 g of the degassed drink; `sugar_acid_ratio` sugar over
    titratable acidity, None without acid; `ph` at 25 °C.
    """

    volume_ml: float
    mass_g: float
    servings: float
    ta_g_per_l: float
    sugar_g_per_l: float
    sugar_acid_ratio: float | None
    brix: float
    ph: float
    co2_g_per_l: float
    alcohol_percent_vol: float
    alcohol_g_per_l: float
    energy_kcal_per_l: float
    energy_kj_per_l: float
    allergens: tuple[str, ...]

    def serving(self) -> Serving:
        """What one serving holds."""
        litres = self.volume_ml / 1000 / self.servings
        return Serving(
            volume_ml=1000 * litres,
            ta_g=self.ta_g_per_l * litres,
            sugar_g=self.sugar_g_per_l * litres,
            alcohol_g=self.alcohol_g_per_l * litres,
            energy_kcal=self.energy_kcal_per_l * litres,
        )


@dataclass(frozen=True, slots=True)
class Mixture:
    """Concentrations of many mixtures at once, one value a mixture."""

    volume_ml: Floats
    mass_g: Floats
    ta_g_per_l: Floats
    sugar_g_per_l: Floats
    brix: Floats
    ph: Floats
    co2_g_per_l: Floats
    alcohol_percent_vol: Floats
    alcohol_g_per_l: Floats
    energy_kcal_per_l: Floats
    energy_kj_per_l: Floats


def mix(totals: Floats) -> Mixture:
    """The figures of mixtures from their totals, one row each, in the columns of `content`."""
    mass = totals[:, content.MASSES].sum(axis=1)
    volume = content.model_volume_ml(totals) + totals[:, content.RESIDUE]
    litres = volume / 1000
    sugar = totals[:, content.SUGARS].sum(axis=1)
    acids = totals[:, content.ACIDS]
    moles = acids / acidity.MOLAR_MASS / litres[:, None]
    cations, co2 = totals[:, content.CATIONS] / litres, totals[:, content.CO2] / litres
    alcohol_g_per_l = totals[:, content.ETHANOL] / litres
    return Mixture(
        volume_ml=volume,
        mass_g=mass,
        ta_g_per_l=acidity.titratable_eq_per_l(moles, cations) * acidity.CITRIC_G_PER_EQ,
        sugar_g_per_l=sugar / litres,
        brix=100 * (sugar + acids.sum(axis=1)) / mass,
        ph=acidity.solve_ph(np.column_stack([moles, co2 / acidity.CO2_G_PER_MOL]), cations),
        co2_g_per_l=co2,
        alcohol_percent_vol=alcohol_g_per_l / (10 * alcohol.ETHANOL_G_PER_ML),
        alcohol_g_per_l=alcohol_g_per_l,
        energy_kcal_per_l=totals[:, content.KCAL] / litres,
        energy_kj_per_l=totals[:, content.KJ] / litres,
    )


def masses_g(version: Version) -> Floats:
    """Mass of each part in g, in the order of the parts."""
    return np.array(
        [
            grams(part.amount.quantity, part.amount.unit, part.ingredient.density_kg_per_l)
            for part in version.parts
        ]
    )


def compose(version: Version) -> Composition:
    """The composition of a version."""
    ingredients = [part.ingredient for part in version.parts]
    brought = np.array([content.content(item) for item in ingredients])
    mixture = mix((masses_g(version) @ brought)[None, :])
    figures = {name: float(getattr(mixture, name)[0]) for name in Mixture.__slots__}
    ta, sugar = figures["ta_g_per_l"], figures["sugar_g_per_l"]
    return Composition(
        servings=version.servings,
        sugar_acid_ratio=sugar / ta if ta > LEAST_ACID_G_PER_L else None,
        allergens=tuple(sorted({name for item in ingredients for name in item.allergens})),
        **figures,
    )
