"""Sugar in water: density, apparent volume, °Brix.

The sucrose polynomial is ICUMSA's (Specification and Standard SPS-4; Bubník, Kadlec, Urban and
Bruhns, Sugar Technologists Manual, 1995, p. 164), here at 20 °C, up to a mass fraction of about
0.85, best below 0.70.
"""

from typing import Final

import numpy as np
from numpy.polynomial import polynomial
from numpy.typing import ArrayLike

from tasting.drink.arrays import Floats
from tasting.errors import InputError
from tasting.wording import short

SUGARS = ("sucrose", "glucose", "fructose", "lactose", "maltose")

# Water at 20 °C, and what sucrose adds to it by powers of its mass fraction, kg/m3.
_DENSITY = (998.2031227, 385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.289)
STRONGEST = 0.85


def density_kg_per_m3(mass_fraction: ArrayLike) -> Floats:
    """Density at 20 °C of sucrose in water in kg/m3, from the mass fraction of sucrose.

    Raises InputError outside a mass fraction of 0..0.85.
    Source: ICUMSA SPS-4; Bubník et al. (1995), p. 164.

    >>> round(float(density_kg_per_m3(0.5)), 2)
    1229.65
    """
    w = np.asarray(mass_fraction, dtype=float)
    if not np.all((w >= 0) & (w <= STRONGEST)):
        raise InputError(f"the mass fraction of sucrose must lie between 0 and {STRONGEST}")
    return np.asarray(polynomial.polyval(w, _DENSITY), dtype=float)


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
    volume: Floats = (1000 / density_kg_per_m3(w) - (1 - w) * 1000 / _DENSITY[0]) / w
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
