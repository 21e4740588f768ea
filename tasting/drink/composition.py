"""What is in a version: its figures, how sure they are, and which part brings what."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from tasting.drink import acidity, content, sugar, uncertainty
from tasting.drink.arrays import Floats
from tasting.drink.formula import Part, Version
from tasting.drink.mixture import FIGURES, volume_ml
from tasting.drink.uncertainty import Lot, Propagated, Spread
from tasting.units import ML_PER, grams

# Less than a burette can see; pure water reads 0.0001.
_LEAST_ACID_G_PER_L: Final = 0.005
# Where the additive rule for volumes is known to hold to about 1 kg/m3 (a judgement around
# Hackbarth, J. Am. Soc. Brew. Chem. 69:39, 2011), and how cold a fridge is.
_KNOWN_PERCENT_VOL: Final = 20.0
_KNOWN_SUGAR_G_PER_L: Final = 300.0
_FRIDGE_C: Final = 4.0


@dataclass(frozen=True, slots=True)
class Serving:
    """One serving: its volume, and grams and kilocalories in it."""

    volume_ml: float
    ta_g: float
    sugar_g: float
    alcohol_g: float
    energy_kcal: float


@dataclass(frozen=True, slots=True)
class Sugars:
    """The sugars apart, g/L."""

    sucrose: float
    glucose: float
    fructose: float
    lactose: float
    maltose: float


@dataclass(frozen=True, slots=True)
class Acids:
    """The acids apart, g/L, each as the free acid whether or not potassium holds some of it."""

    citric: float
    malic: float
    tartaric: float
    lactic: float
    acetic: float
    phosphoric: float
    ascorbic: float


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one part brings, per litre of the whole drink. Acid can be below zero: a part that
    brings more base than acid takes some away."""

    key: str
    name: str
    mass_g: float
    ta_g_per_l: float
    sugar_g_per_l: float
    alcohol_g_per_l: float
    energy_kcal_per_l: float
    co2_g_per_l: float


@dataclass(frozen=True, slots=True)
class Composition:
    """What a version is made of; the figures as in `mixture.Mixture`.

    `sugar_acid_ratio` is sugar over titratable acidity, None without acid. `intervals` holds a
    Spread for each figure; `contributions` one entry a part.
    """

    volume_ml: float
    mass_g: float
    servings: float
    density_kg_per_l: float
    ta_g_per_l: float
    sugar_g_per_l: float
    sweetness_g_per_l: float
    sugar_acid_ratio: float | None
    brix: float
    refractometer_brix: float
    ph: float
    co2_g_per_l: float
    alcohol_percent_vol: float
    alcohol_g_per_l: float
    energy_kcal_per_l: float
    energy_kj_per_l: float
    allergens: tuple[str, ...]
    sugars: Sugars
    acids: Acids
    contributions: tuple[Contribution, ...]
    intervals: Mapping[str, Spread]
    warnings: tuple[str, ...]

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


def part_grams(part: Part) -> float:
    """Mass of a part in g."""
    amount = part.amount
    return grams(amount.quantity, amount.unit, part.ingredient.density_kg_per_l)


def compose(version: Version) -> Composition:
    """The composition of a version, with its intervals and contributions."""
    ingredients = [part.ingredient for part in version.parts]
    masses = np.array([part_grams(part) for part in version.parts])
    brought = np.array([content.content(item) for item in ingredients]) * masses[:, None]
    totals = brought.sum(axis=0)
    litres = float(volume_ml(totals)) / 1000
    sugars = totals[content.SUGARS] / litres
    mixture = propagated(version)
    figures = dict(zip(FIGURES, mixture.usual.tolist(), strict=True))
    return Composition(
        servings=version.servings,
        sugar_acid_ratio=_ratio(figures),
        allergens=tuple(sorted({name for item in ingredients for name in item.allergens})),
        sugars=Sugars(*sugars.tolist()),
        acids=Acids(*(totals[content.ACIDS] / litres).tolist()),
        contributions=_contributions(version, masses, brought / litres),
        intervals=uncertainty.spreads(mixture, sugars),
        warnings=_warnings(figures, totals),
        **figures,
    )


def propagated(version: Version) -> Propagated:
    """The figures of a version, and what the ranges of its ingredients do to them. Parts of the
    same ingredient, measured alike, are one lot: what is unsure of it moves together."""
    lots: list[Lot] = []
    for part in version.parts:
        lot = Lot(part.ingredient, part_grams(part), part.amount.unit in ML_PER)
        index = next((at for at, other in enumerate(lots) if _alike(other, lot)), None)
        if index is None:
            lots.append(lot)
        else:
            lots[index] = replace(lot, mass_g=lots[index].mass_g + lot.mass_g)
    return uncertainty.propagate(lots)


def _alike(one: Lot, other: Lot) -> bool:
    mine, theirs = one.ingredient, other.ingredient
    return one.poured == other.poured and mine.key == theirs.key and mine == theirs


def _ratio(figures: Mapping[str, float]) -> float | None:
    acid = figures["ta_g_per_l"]
    return figures["sugar_g_per_l"] / acid if acid > _LEAST_ACID_G_PER_L else None


def _contributions(version: Version, masses: Floats, per_litre: Floats) -> tuple[Contribution, ...]:
    """Acid is split by the charge that each part's own acids carry at the end point, in the ionic
    strength of the whole, less its own cations; so the parts add up to the whole."""
    moles = per_litre[:, content.ACIDS] / acidity.MOLAR_MASS
    taken = acidity.charge_per_mole(moles.sum(axis=0), acidity.END_POINT_PH)
    acid = (moles @ taken - per_litre[:, content.CATIONS]) * acidity.CITRIC_G_PER_EQ
    return tuple(
        Contribution(
            key=part.ingredient.key,
            name=part.ingredient.name,
            mass_g=float(mass),
            ta_g_per_l=float(ta),
            sugar_g_per_l=float(row[content.SUGARS].sum()),
            alcohol_g_per_l=float(row[content.ETHANOL]),
            energy_kcal_per_l=float(row[content.KCAL]),
            co2_g_per_l=float(row[content.CO2]),
        )
        for part, mass, ta, row in zip(version.parts, masses, acid, per_litre, strict=True)
    )


def _warnings(figures: Mapping[str, float], totals: Floats) -> tuple[str, ...]:
    """Where the figures leave the range in which the models are known to hold."""
    warnings = []
    strong = figures["alcohol_percent_vol"] > _KNOWN_PERCENT_VOL
    if (strong and figures["sugar_g_per_l"] > 1) or figures["sugar_g_per_l"] > _KNOWN_SUGAR_G_PER_L:
        warnings.append(
            f"Beyond {_KNOWN_PERCENT_VOL:g} % vol with sugar, or {_KNOWN_SUGAR_G_PER_L:g} g/L of "
            "sugar, density and volume are less certain (about 3 g/L); measure them."
        )
    sucrose, water = float(totals[content.SUGARS][0]), float(totals[content.WATER])
    if sucrose > sugar.solubility_percent(_FRIDGE_C) / 100 * (sucrose + water):
        warnings.append(
            f"More sucrose than its water can hold at {_FRIDGE_C:g} °C; expect crystals in a "
            "refrigerator."
        )
    return tuple(warnings)
