"""Sugar in water: density, apparent volume, °Brix.

The sucrose polynomial is ICUMSA's (Specification and Standard SPS-4; Bubník, Kadlec, Urban and
Bruhns, Sugar Technologists Manual, 1995, p. 164), from 0 to 100 °C and up to a mass fraction of
about 0.85, best below 0.70.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.polynomial import polynomial
from numpy.typing import ArrayLike

from tasting.drink.arrays import Floats
from tasting.errors import InputError
from tasting.wording import short

SUGARS = ("sucrose", "glucose", "fructose", "lactose", "maltose")

_C = (
    (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.289),
    (-46.272, -7.172, 1.1597, 5.1126, 17.5254),
    (59.7712, 7.2491, 12.363, -35.4791),
    (-47.2207, -21.6977, 27.6301),
    (18.3184, 12.3081),
)
_WATER = (
    999.83952,
    16.952577,
    -7.9905127e-3,
    -46.241757e-6,
    105.84601e-9,
    -281.03006e-12,
)
_WATER_BELOW = 16.887236e-3
STRONGEST = 0.85


def density_kg_per_m3(mass_fraction: ArrayLike, temperature_c: float = 20.0) -> Floats:
    """Density of sucrose in water in kg/m3, from the mass fraction of sucrose.

    rho = rho_water(t) + sum_i tau^i sum_k c_ik w^k with tau = (t - 20)/100.
    Raises InputError outside a mass fraction of 0..0.85 or 0..100 °C.
    Source: ICUMSA SPS-4; Bubník et al. (1995), p. 164.

    >>> round(float(density_kg_per_m3(0.5)), 2)
    1229.65
    """
    w = np.asarray(mass_fraction, dtype=float)
    if not np.all((w >= 0) & (w <= STRONGEST)):
        raise InputError(f"the mass fraction of sucrose must lie between 0 and {STRONGEST}")
    if not 0 <= temperature_c <= 100:
        raise InputError(
            f"sucrose density is known from 0 to 100 °C, not at {short(temperature_c)} °C"
        )
    return _density(w, temperature_c)


def _density(w: Floats, temperature_c: float) -> Floats:
    tau = (temperature_c - 20.0) / 100
    coefficients = np.zeros(7)
    coefficients[0] = polynomial.polyval(temperature_c, _WATER) / (1 + _WATER_BELOW * temperature_c)
    for i, row in enumerate(_C):
        coefficients[1 : len(row) + 1] += np.array(row) * tau**i
    return np.asarray(polynomial.polyval(w, coefficients), dtype=float)


_WATER_20C = float(_density(np.array(0.0), 20.0))
# Apparent specific volumes in dilute solution at 20 °C, mL/g, less that of sucrose (0.6154).
# Glucose 0.622 and fructose 0.613 from memory; lactose and maltose, disaccharides like sucrose,
# are given its volume.
_VOLUME_BEYOND_SUCROSE = np.array([0.0, 0.0066, -0.0024, 0.0, 0.0])


def apparent_volume_ml_per_g(mass_fraction: ArrayLike) -> Floats:
    """Volume that 1 g of dissolved sucrose adds to its water at 20 °C, in mL/g.

    v = [1/rho(w) - (1 - w)/rho(0)] / w, from the density above; below w = 0.001 its limit,
    above w = 0.85 the value there.

    >>> round(float(apparent_volume_ml_per_g(0.1)), 4)
    0.6166
    """
    w = np.clip(np.asarray(mass_fraction, dtype=float), 1e-3, STRONGEST)
    volume: Floats = (1000 / _density(w, 20.0) - (1 - w) * 1000 / _WATER_20C) / w
    return volume


def dissolved_volume_ml(sugars_g: ArrayLike, water_g: ArrayLike) -> Floats:
    """Volume in mL that the five SUGARS (last axis, g) add to their water (g)."""
    grams = np.asarray(sugars_g, dtype=float)
    total = grams.sum(axis=-1)
    syrup = total + np.asarray(water_g, dtype=float)
    w = np.divide(total, syrup, out=np.zeros_like(total), where=syrup > 0)
    volume: Floats = total * apparent_volume_ml_per_g(w) + grams @ _VOLUME_BEYOND_SUCROSE
    return volume


# Sweetness by weight, sucrose = 1: taken, and from lowest to highest published (Gaman and
# Sherrington, 1990; table 2 of PMC10346066, 2022; lower fructose in cold drinks from memory).
# There is no consensus; the values taken are a judgement.
SWEETNESS = np.array([1.0, 0.7, 1.2, 0.2, 0.35])
SWEETNESS_LOW = np.array([1.0, 0.6, 1.1, 0.15, 0.3])
SWEETNESS_HIGH = np.array([1.0, 0.8, 1.73, 0.4, 0.5])


def solubility_percent(temperature_c: float) -> float:
    """Sucrose that water can hold, g in 100 g of saturated solution, 0 to 100 °C.

    Raises InputError outside. Source: Bubník and Kadlec in Mathlouthi and Reiser (eds), Sucrose,
    1995, transcribed.

    >>> round(solubility_percent(20), 2)
    66.72
    """
    if not 0 <= temperature_c <= 100:
        raise InputError(f"solubility is known from 0 to 100 °C, not at {short(temperature_c)} °C")
    powers = (64.447, 0.08222, 0.0016169, -1.558e-6, -4.63e-8)
    return float(polynomial.polyval(temperature_c, powers))


# °Brix to add to a refractometer reading for each % of citric acid (ISO 2173 and AOAC 932.12
# practice; table seen in two copies).
_ACID_PERCENT = (0.0, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 7.4, 10.0, 15.0, 20.0)
_ACID_CORRECTION = (0.0, 0.10, 0.20, 0.39, 0.58, 0.78, 0.97, 1.42, 1.91, 2.81, 3.70)

# What a refractometer shows besides sugar, in °Brix: for 1 % of acid by mass (10 % citric acid has
# the index 1.3459, which reads 8.75), and for ethanol in water by % vol: the indices of 0, 10, 20 …
# 100 % by mass at 20 °C are 1.3330, 1.3395, 1.3469, 1.3535, 1.3583, 1.3616, 1.3638, 1.3652, 1.3658,
# 1.3650 and 1.3614 (CRC Handbook, from memory), highest near 80 %, read on the scale of sucrose.
ACID_READS: Final = 0.875
_ALCOHOL_PERCENT_VOL = (0.0, 5.0, 12.4, 24.5, 36.3, 47.4, 57.9, 67.7, 77.0, 85.5, 93.3, 100.0)
_ALCOHOL_SHOWN = (0.0, 1.8, 4.5, 9.3, 13.6, 16.6, 18.6, 20.0, 20.8, 21.2, 20.7, 18.5)
ALCOHOL_CAVEAT: Final = (
    "A refractometer cannot show the sugar of a drink with alcohol, which reads like sugar; the "
    "computed reading is an estimate. Weigh it as well, or drive the alcohol off first."
)


def acid_corrected_brix(reading: float, citric_percent: float) -> float:
    """A refractometer's °Brix corrected for acid (% by mass as anhydrous citric, 0 to 20).

    It moves the reading to the scale of density, not quite to true solids; with alcohol in the
    drink neither is sugar. Raises InputError outside the table.

    >>> acid_corrected_brix(8.0, 5.0)
    8.97
    """
    if not 0 <= citric_percent <= _ACID_PERCENT[-1]:
        raise InputError(
            f"the acid correction ends at 0 and 20 % acid, not {short(citric_percent)} %"
        )
    return reading + float(np.interp(citric_percent, _ACID_PERCENT, _ACID_CORRECTION))


def refractometer_brix(
    sugar_percent: ArrayLike, acid_percent: ArrayLike, alcohol_percent_vol: ArrayLike
) -> Floats:
    """What a refractometer in °Brix would show: sugars and acids in % by mass, alcohol in % vol.

    Other dissolved solids (salts, pectin) read much like sugar: count them with it. An estimate:
    with alcohol the reading says little about sugar (5 % vol adds about 1.8).
    """
    return (
        np.asarray(sugar_percent, dtype=float)
        + ACID_READS * np.asarray(acid_percent, dtype=float)
        + alcohol_reads(alcohol_percent_vol)
    )


def alcohol_reads(percent_vol: ArrayLike) -> Floats:
    """What a refractometer in °Brix shows of ethanol in water: never above about 21.

    >>> [round(float(reading), 1) for reading in alcohol_reads([5, 40, 85, 96])]
    [1.8, 14.6, 21.2, 19.8]
    """
    strength = np.asarray(percent_vol, dtype=float)
    shown: Floats = np.interp(strength, _ALCOHOL_PERCENT_VOL, _ALCOHOL_SHOWN)
    return shown
