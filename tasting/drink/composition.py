"""What is in a version: its figures, how sure they are, and which part brings what."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

import numpy as np

from tasting.drink import acidity, computable, content, sugar, uncertainty
from tasting.drink.arrays import Floats
from tasting.drink.formula import Part, Version
from tasting.drink.mixture import FIGURES, NAMES, volume_ml
from tasting.drink.uncertainty import Lot, Propagated, Spread
from tasting.errors import InputError
from tasting.units import CUSTOMARY, ML_PER, grams

# Less than a burette can see; pure water reads 0.0001.
_LEAST_ACID_G_PER_L: Final = 0.005
# Where the additive rule for volumes is known to hold to about 1 kg/m3 (a judgement around
# Hackbarth, J. Am. Soc. Brew. Chem. 69:39, 2011), and how cold a fridge is.
_KNOWN_PERCENT_VOL: Final = 20.0
_KNOWN_SUGAR_G_PER_L: Final = 300.0
_FRIDGE_C: Final = 4.0


@dataclass(frozen=True, slots=True)
class Serving:
    """One serving: its volume, and grams and kilocalories in it; None: not computable."""

    volume_ml: float
    ta_g: float | None
    sugar_g: float | None
    alcohol_g: float | None
    energy_kcal: float | None


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
    succinic: float


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one part brings, per litre of the whole drink; None: not known. Acid can be below zero:
    a part that brings more base than acid takes some away."""

    key: str
    name: str
    mass_g: float
    ta_g_per_l: float | None
    sugar_g_per_l: float | None
    alcohol_g_per_l: float | None
    energy_kcal_per_l: float | None
    co2_g_per_l: float | None


@dataclass(frozen=True, slots=True)
class Composition:
    """What a version is made of; the figures as in `mixture.Mixture`.

    A figure that cannot be computed is None: `unknown` says why, in a sentence for each, and its
    interval in `intervals` how far it may reach all the same. `sugar_acid_ratio` is sugar over
    titratable acidity, None without acid. `sugars` and `acids` are those that are known.
    `intervals` holds a Spread for each figure; `contributions` one entry a part.
    """

    volume_ml: float
    mass_g: float
    servings: float
    density_kg_per_l: float
    ta_g_per_l: float | None
    sugar_g_per_l: float | None
    sweetness_g_per_l: float | None
    sugar_acid_ratio: float | None
    brix: float | None
    refractometer_brix: float | None
    ph: float | None
    co2_g_per_l: float | None
    alcohol_percent_vol: float | None
    alcohol_g_per_l: float | None
    energy_kcal_per_l: float | None
    energy_kj_per_l: float | None
    allergens: tuple[str, ...]
    sugars: Sugars
    acids: Acids
    contributions: tuple[Contribution, ...]
    intervals: Mapping[str, Spread]
    unknown: Mapping[str, str]
    warnings: tuple[str, ...]

    def at_most(self, figure: str) -> float:
        """The upper end of the likely interval: what a caution has to reckon with, whether the
        figure is known or not."""
        return self.intervals[figure].high

    def known(self, figure: str) -> float:
        """A figure. Raises InputError with the reason where it cannot be computed."""
        if figure in self.unknown:
            raise InputError(self.unknown[figure].rstrip("."))
        return float(getattr(self, figure))

    def serving(self) -> Serving:
        """What one serving holds."""
        litres = self.volume_ml / 1000 / self.servings
        return Serving(
            volume_ml=1000 * litres,
            ta_g=_times(self.ta_g_per_l, litres),
            sugar_g=_times(self.sugar_g_per_l, litres),
            alcohol_g=_times(self.alcohol_g_per_l, litres),
            energy_kcal=_times(self.energy_kcal_per_l, litres),
        )


def _times(per_litre: float | None, litres: float) -> float | None:
    return None if per_litre is None else per_litre * litres


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
    values = dict(zip(FIGURES, mixture.usual.tolist(), strict=True))
    figures = {name: None if name in mixture.unknown else values[name] for name in FIGURES}
    reasons = _reasons(version, brought, mixture)
    return Composition(
        servings=version.servings,
        sugar_acid_ratio=_ratio(figures),
        allergens=tuple(sorted({name for item in ingredients for name in item.allergens})),
        sugars=Sugars(*sugars.tolist()),
        acids=Acids(*(totals[content.ACIDS] / litres).tolist()),
        contributions=_contributions(version, masses, brought / litres),
        intervals=uncertainty.spreads(mixture, sugars),
        unknown=reasons,
        warnings=(*computable.together(reasons), *_warnings(values, totals)),
        **figures,  # type: ignore[arg-type]
    )


def _reasons(version: Version, brought: Floats, mixture: Propagated) -> dict[str, str]:
    """Why figures are not computable."""
    names = [part.ingredient.name for part in version.parts]
    called = {figure: known.name for figure, known in NAMES.items()}
    return computable.reasons(names, brought, mixture.unknown, called)


def propagated(version: Version) -> Propagated:
    """The figures of a version, and what the ranges of its ingredients do to them. Parts of the
    same ingredient, measured alike, are one lot: what is unsure of it moves together."""
    return _propagated(_Parts(version.model_dump_json(include={"parts"}), version.parts))


@dataclass(frozen=True, slots=True)
class _Parts:
    """Parts that are told apart by all that is written of them."""

    written: str
    parts: tuple[Part, ...] = field(compare=False)


# A page asks for the same few versions again and again, and writing one down is 20 times as fast.
@lru_cache(maxsize=256)
def _propagated(given: _Parts) -> Propagated:
    lots: list[Lot] = []
    for part in given.parts:
        unit, mass = part.amount.unit, part_grams(part)
        customary = ((unit, mass),) if unit in CUSTOMARY else ()
        lot = Lot(part.ingredient, mass, unit in ML_PER, customary)
        index = next((at for at, other in enumerate(lots) if _alike(other, lot)), None)
        if index is None:
            lots.append(lot)
        else:
            lots[index] = lots[index].with_more(lot)
    return uncertainty.propagate(lots)


def _alike(one: Lot, other: Lot) -> bool:
    mine, theirs = one.ingredient, other.ingredient
    return one.poured == other.poured and mine.key == theirs.key and mine == theirs


def _ratio(figures: Mapping[str, float | None]) -> float | None:
    acid, sweet = figures["ta_g_per_l"], figures["sugar_g_per_l"]
    if acid is None or sweet is None or acid <= _LEAST_ACID_G_PER_L:
        return None
    return sweet / acid


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
            ta_g_per_l=_unless(row[content.NO_ACID] + row[content.BUFFER], ta),
            sugar_g_per_l=_unless(row[content.NO_SUGAR], row[content.SUGARS].sum()),
            alcohol_g_per_l=_unless(row[content.NO_ALCOHOL], row[content.ETHANOL]),
            energy_kcal_per_l=_unless(row[content.NO_ENERGY], row[content.KCAL]),
            co2_g_per_l=_unless(row[content.NO_CO2], row[content.CO2]),
        )
        for part, mass, ta, row in zip(version.parts, masses, acid, per_litre, strict=True)
    )


def _unless(unknown: float, value: float) -> float | None:
    return None if unknown > 0 else float(value)


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
