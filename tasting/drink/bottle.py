"""What measurements of a bottle say together: extract and sugar, alcohol, acidity, each with the
interval that the measurements and the relation between them leave (95 %).

Everything is measured on the degassed drink at 20 °C. *Extract* is all that is dissolved and is
neither water nor alcohol, counted as sucrose.

Density and alcohol: Tabarié's relation, the density of the drink less that of ethanol and water of
its strength plus that of water is that of its extract in as much water (OIV-MA-AS2-03B; seen in a
copy). It lay within the 95 % band of measurements below 5 % sucrose and 18 % ethanol by mass
(Hackbarth, J. Am. Soc. Brew. Chem. 69:39, 2011, abstract); what is stated here is the judgement
that `uncertainty` makes of it: 0.3 g/L of density to 12 % vol and 150 g/L, 1 to 20 % vol and
300 g/L, then 3. Two readings with a refractometer, or one and the density: our own models of
density and refraction (`content`, `sugar`), solved for what is not known; the reading of alcohol
is good to a tenth of itself (a judgement).
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import hypot, sqrt
from typing import Final

import numpy as np
from scipy.optimize import brentq

from tasting.drink import acidity, alcohol, content, sugar
from tasting.drink.label import repeatability
from tasting.drink.uncertainty import REFRACTOMETER_MODEL, density_model_kg_per_l
from tasting.errors import InputError
from tasting.wording import short

# Salts and pectin of a drink with juice, which count as sugar here, g/L either way (a judgement).
_OTHER_SOLIDS_G_PER_L: Final = 2.0
_STRONGEST_PERCENT_VOL: Final = 60.0
_WATER_KG_PER_L: Final = float(sugar.density_kg_per_m3(0.0)) / 1000
# What a burette, a pipette and a bought solution are good to: mL, and shares (a judgement).
_BURETTE_ML, _PIPETTE, _SOLUTION = 0.1, 0.01, 0.01

BOILING: Final = (
    "Alcohol vapour catches fire: boil on a plate without flame, under a hood or in the open air. "
    "Then make it up to the original volume with water, at 20 °C."
)
DEGAS: Final = "Stir the gas out first; measure at 20 °C."


@dataclass(frozen=True, slots=True)
class Instrument:
    """A measurement, and how far the truth may lie from it, either way (95 %)."""

    value: float
    half: float


@dataclass(frozen=True, slots=True)
class Derived:
    """What measurements say of a figure ("extract_g_per_l" or one of `mixture.FIGURES`), and how
    far the truth may lie from it, either way (95 %)."""

    figure: str
    value: float
    half: float

    @property
    def low(self) -> float:
        """The lower end; nothing is below 0."""
        return max(self.value - self.half, 0.0)

    @property
    def high(self) -> float:
        """The upper end."""
        return self.value + self.half


def reading(figure: str, value: float, half: float | None = None) -> Instrument:
    """A measurement with what a small kitchen repeats, where nobody says better.

    Raises InputError for a half width that is none.
    """
    known = repeatability(figure, value) if half is None else half
    if not known >= 0:
        raise InputError(f"±{short(known)} is not an uncertainty; give 0 or more")
    return Instrument(value, known)


def from_density_and_alcohol(
    density_kg_per_l: Instrument,
    alcohol_percent_vol: Instrument,
    ta_g_per_l: Instrument | None = None,
) -> tuple[Derived, ...]:
    """Extract and sugar in g/L by Tabarié's relation. Sugar is the extract less the acid, which
    needs the acidity; other solids, within 2 g/L, count as sugar.

    Raises InputError for a density and a strength that do not go together.
    """
    readings = {"density": density_kg_per_l, "alcohol": alcohol_percent_vol}
    extract = _tabarie(density_kg_per_l.value, alcohol_percent_vol.value)
    model = density_model_kg_per_l(alcohol_percent_vol.value, extract)
    rise = _tabarie(density_kg_per_l.value + model, alcohol_percent_vol.value) - extract
    (half,) = _halves(lambda at: (_tabarie(at["density"], at["alcohol"]),), readings)
    told = Derived("extract_g_per_l", extract, hypot(half, rise))
    return (told, *_sugar(told, ta_g_per_l))


def _tabarie(density_kg_per_l: float, percent_vol: float) -> float:
    share = alcohol.mass_fraction(percent_vol)
    spirit = float(alcohol.density_kg_per_m3(share)) / 1000
    residue = density_kg_per_l - spirit + _WATER_KG_PER_L
    return extract_g_per_l(residue)


def extract_g_per_l(density_kg_per_l: float) -> float:
    """Sucrose in g/L of a solution in water of this density at 20 °C (ICUMSA); below water, as far
    below none as it would be above.

    Raises InputError beyond the densest syrup.

    >>> round(extract_g_per_l(1.03812), 1)
    103.8
    """
    if density_kg_per_l < _WATER_KG_PER_L:
        return -extract_g_per_l(2 * _WATER_KG_PER_L - density_kg_per_l)
    densest = float(sugar.density_kg_per_m3(sugar.STRONGEST)) / 1000
    if density_kg_per_l > densest:
        raise InputError(
            f"a density of {short(density_kg_per_l)} kg/L is more than any syrup's; give kg/L, "
            "as in 1.0295"
        )
    share = brentq(
        lambda w: float(sugar.density_kg_per_m3(w)) / 1000 - density_kg_per_l, 0, sugar.STRONGEST
    )
    return 1000 * density_kg_per_l * float(share)


def from_density_and_refraction(
    density_kg_per_l: Instrument, brix: Instrument, ta_g_per_l: Instrument | None = None
) -> tuple[Derived, ...]:
    """Alcohol in % vol, extract and sugar in g/L, from density and a refractometer in °Brix: the
    drink of sucrose, ethanol and water that has both.

    Raises InputError where none has.
    """
    readings = {"density": density_kg_per_l, "brix": brix, "reads": Instrument(1.0, _READS)}
    strength, extract = _both(density_kg_per_l.value, brix.value, 1.0)
    halves = _halves(lambda at: _both(at["density"], at["brix"], at["reads"]), readings)
    model = density_model_kg_per_l(strength, extract)
    moved = _both(density_kg_per_l.value + model, brix.value, 1.0)
    told = Derived("extract_g_per_l", extract, hypot(halves[1], moved[1] - extract))
    return (
        Derived("alcohol_percent_vol", strength, hypot(halves[0], moved[0] - strength)),
        told,
        *_sugar(told, ta_g_per_l),
    )


# Readings that fit a drink without alcohol to within this are of one, °Brix.
_NO_ALCOHOL_BRIX: Final = 0.6
# The reading of alcohol is good to a tenth of itself.
_READS: Final = REFRACTOMETER_MODEL


def _both(density_kg_per_l: float, brix: float, reads: float) -> tuple[float, float]:
    """Strength and extract of the drink that has this density and reading."""

    def miss(percent_vol: float) -> float:
        extract = _extract_beside(percent_vol, density_kg_per_l)
        return _shown(percent_vol, extract, density_kg_per_l, reads) - brix

    none = miss(0.0)
    strength = 0.0 if 0 <= none <= _NO_ALCOHOL_BRIX else _root(miss, 0.0, _STRONGEST_PERCENT_VOL)
    if strength is None:
        raise InputError(
            f"no drink has a density of {short(density_kg_per_l)} kg/L and reads {short(brix)} "
            "°Brix; check both, and stir the gas out first"
        )
    return strength, _extract_beside(strength, density_kg_per_l)


def _shown(percent_vol: float, extract: float, density_kg_per_l: float, reads: float) -> float:
    return extract / (10 * density_kg_per_l) + reads * float(sugar.alcohol_reads(percent_vol))


def _extract_beside(percent_vol: float, density_kg_per_l: float) -> float:
    """Sucrose in g/L that gives a drink of this strength this density, by the mixture rule; below
    none where the drink is lighter than that."""
    ethanol, mass = 10 * percent_vol * alcohol.ETHANOL_G_PER_ML, 1000 * density_kg_per_l

    def room(sucrose: float) -> float:
        totals = np.zeros(content.WIDTH)
        totals[content.ETHANOL] = ethanol
        totals[content.SUGARS.start] = max(sucrose, 0.0)
        totals[content.WATER] = mass - ethanol - max(sucrose, 0.0)
        beyond = min(sucrose, 0.0) * _LIGHTER_ML_PER_G
        return float(content.model_volume_ml(totals)) - beyond - 1000

    found = _root(room, -mass, 0.8 * (mass - ethanol))
    if found is None:
        raise InputError(
            f"a density of {short(density_kg_per_l)} kg/L does not match {short(percent_vol)} "
            "% vol; check both"
        )
    return found


# What a gram of sucrose in place of water takes less room, mL: goes on below none.
_LIGHTER_ML_PER_G: Final = 1 / _WATER_KG_PER_L - 0.6154


def from_two_refractions(
    brix: Instrument, boiled_brix: Instrument, ta_g_per_l: Instrument | None = None
) -> tuple[Derived, ...]:
    """Alcohol in % vol, extract and sugar in g/L, from a refractometer in °Brix before the alcohol
    was boiled off and after the rest was made up to the volume before.

    Raises InputError where it reads no less after than before, or more than alcohol can.
    """
    readings = {"before": brix, "after": boiled_brix, "reads": Instrument(1.0, _READS)}
    strength, extract = _before_and_after(brix.value, boiled_brix.value, 1.0)
    halves = _halves(lambda at: _before_and_after(at["before"], at["after"], at["reads"]), readings)
    told = Derived("extract_g_per_l", extract, halves[1])
    return (
        Derived("alcohol_percent_vol", strength, halves[0]),
        told,
        *_sugar(told, ta_g_per_l),
    )


def _before_and_after(before: float, after: float, reads: float) -> tuple[float, float]:
    if not 0 <= after <= 100 * sugar.STRONGEST:
        raise InputError(f"a reading of {short(after)} °Brix after boiling is impossible; check it")
    extract = 10 * after * float(sugar.density_kg_per_m3(after / 100)) / 1000

    def miss(percent_vol: float) -> float:
        share = alcohol.mass_fraction(percent_vol)
        spirit = float(alcohol.density_kg_per_m3(share)) / 1000
        density = float(sugar.density_kg_per_m3(after / 100)) / 1000 + spirit - _WATER_KG_PER_L
        return _shown(percent_vol, extract, density, reads) - before

    none = miss(0.0)
    strength = 0.0 if 0 <= none <= _NO_ALCOHOL_BRIX else _root(miss, 0.0, _STRONGEST_PERCENT_VOL)
    if strength is None:
        raise InputError(
            f"{short(before)} °Brix before and {short(after)} after boiling cannot both be right; "
            "make up what is left to the original volume, and read both at 20 °C"
        )
    return strength, extract


def from_titration(
    base_ml: float, sample_ml: float, normality: float = 0.1, acid: str = "citric"
) -> Derived:
    """Titratable acidity in g/L as anhydrous citric acid (or another) to pH 8.1, and how well a
    burette (0.1 mL), a pipette (1 %) and a bought solution (1 %) tell it.

    Raises InputError for a negative volume, an empty sample or an unknown acid.
    """
    value = acidity.titrated_g_per_l(base_ml, sample_ml, normality, acid)
    drop = acidity.titrated_g_per_l(_BURETTE_ML, sample_ml, normality, acid)
    return Derived("ta_g_per_l", value, sqrt(drop**2 + (_PIPETTE**2 + _SOLUTION**2) * value**2))


def of_reference(told: Sequence[Derived]) -> dict[str, tuple[float, float]]:
    """What a reference keeps of it: by its field and in its unit the value, and how far the truth
    may lie from it, either way (95 %). An extract is none of its values.

    >>> of_reference([Derived("sugar_g_per_l", 60.0, 4.0), Derived("extract_g_per_l", 66.0, 3.0)])
    {'sugar_g_per_100ml': (6.0, 0.4)}
    """
    known = {}
    for one in told:
        if one.figure in _FIELDS:
            field, per = _FIELDS[one.figure]
            known[field] = (one.value / per, one.half / per)
    return known


_FIELDS: Final = {
    "sugar_g_per_l": ("sugar_g_per_100ml", 10.0),
    "alcohol_percent_vol": ("alcohol_percent_vol", 1.0),
    "ta_g_per_l": ("ta_g_per_l", 1.0),
}


def _sugar(extract: Derived, ta_g_per_l: Instrument | None) -> tuple[Derived, ...]:
    if ta_g_per_l is None:
        return ()
    half = sqrt(extract.half**2 + ta_g_per_l.half**2 + _OTHER_SOLIDS_G_PER_L**2)
    return (Derived("sugar_g_per_l", max(extract.value - ta_g_per_l.value, 0.0), half),)


def _halves(
    of: Callable[[Mapping[str, float]], Sequence[float]], readings: Mapping[str, Instrument]
) -> list[float]:
    """How far each result moves with the readings, one after another to the end that moves it
    more, in quadrature (JCGM 100:2008, GUM, 5.1.2 and 5.1.3; from memory)."""
    usual = {name: one.value for name, one in readings.items()}
    moved = []
    for name, one in readings.items():
        low, high = (np.array(of({**usual, name: one.value + sign * one.half})) for sign in (-1, 1))
        moved.append((high - low) / 2)
    halves: list[float] = np.sqrt(np.square(moved).sum(axis=0)).tolist()
    return halves


def _root(miss: Callable[[float], float], low: float, high: float) -> float | None:
    """Where a miss changes its sign; None where it does not."""
    if miss(low) * miss(high) > 0:
        return None
    return float(brentq(miss, low, high))
