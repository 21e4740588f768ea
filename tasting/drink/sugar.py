"""Sugar in water: density, apparent volume, °Brix.

The sucrose polynomial is ICUMSA's (Specification and Standard SPS-4; Bubník, Kadlec, Urban and
Bruhns, Sugar Technologists Manual, 1995, p. 164), from 0 to 100 °C and up to a mass fraction of
about 0.85, best below 0.70.
"""

from __future__ import annotations

import numpy as np
from numpy.polynomial import polynomial
from numpy.typing import ArrayLike

from tasting.drink.arrays import Floats
from tasting.errors import InputError

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
        raise InputError(f"sucrose density is known from 0 to 100 °C, not at {temperature_c:g} °C")
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
