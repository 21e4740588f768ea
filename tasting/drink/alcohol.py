"""Ethanol and water: density, and the two ways of saying how strong a drink is.

The general formula of the International Alcoholometric Tables (OIML R 22, 1975; the same
numbers stand in Council Directive 76/766/EEC, annex):

    rho(p, t) = sum_k A_k p^(k-1) + sum_k B_k x^k + sum_i sum_k C_ik p^k x^i,  x = t - 20

with p the mass fraction of ethanol, t in degrees Celsius from -20 to 40, rho in kg/m3 in vacuo.
"""

import numpy as np
from numpy.polynomial import polynomial
from numpy.typing import ArrayLike

from tasting.drink.arrays import Floats
from tasting.errors import InputError
from tasting.wording import short

_A = (
    998.20123,
    -192.9769495,
    389.1238958,
    -1668.103923,
    13522.15441,
    -88292.78388,
    306287.4042,
    -613838.1234,
    747017.2998,
    -547846.1354,
    223446.0334,
    -39032.85426,
)
_B = (
    -0.20618513,
    -0.0052682542,
    3.6130013e-05,
    -3.8957702e-07,
    7.169354e-09,
    -9.9739231e-11,
)
_C = (
    (
        0.1693443461530087,
        -10.46914743455169,
        71.96353469546523,
        -704.7478054272792,
        3924.090430035045,
        -12101.64659068747,
        22486.46550400788,
        -26055.62982188164,
        18523.73922069467,
        -7420.201433430137,
        1285.617841998974,
    ),
    (
        -0.0119301300505701,
        0.2517399633803461,
        -2.170575700536993,
        13.53034988843029,
        -50.29988758547014,
        109.635566657757,
        -142.2753946421155,
        108.043594285623,
        -44.14153236817392,
        7.442971530188783,
    ),
    (
        -0.0006802995733503803,
        0.01876837790289664,
        -0.2002561813734156,
        1.02299296671922,
        -2.895696483903638,
        4.810060584300675,
        -4.672147440794683,
        2.458043105903461,
        -0.5411227621436812,
    ),
    (
        4.075376675622027e-06,
        -8.76305857347111e-06,
        6.515031360099368e-06,
        -1.51578483698721e-06,
    ),
    (
        -2.788074354782409e-08,
        1.345612883493354e-08,
    ),
)

COLDEST_C, WARMEST_C = -20.0, 40.0
# Newton's method, from a start that is right to 0.1, mostly needs five steps to rounding.
_MOST_STEPS, _SETTLED = 50, 1e-14


def density_kg_per_m3(mass_fraction: ArrayLike, temperature_c: float = 20.0) -> Floats:
    """Density of ethanol and water in kg/m3, from the mass fraction of ethanol (0 to 1).

    Raises InputError outside 0..1 or outside -20..40 degrees Celsius, where the formula ends.
    Source: OIML R 22 (1975), general formula.

    >>> round(float(density_kg_per_m3(0.333)), 2)
    948.04
    """
    p = np.asarray(mass_fraction, dtype=float)
    if not np.all((p >= 0) & (p <= 1)):
        raise InputError("the mass fraction of ethanol must lie between 0 and 1")
    if not COLDEST_C <= temperature_c <= WARMEST_C:
        raise InputError(
            f"the alcohol tables end at {COLDEST_C:g} and {WARMEST_C:g} °C; "
            f"{short(temperature_c)} °C is outside"
        )
    return _density(p, temperature_c - 20.0)


def _density(p: Floats, x: float) -> Floats:
    """The formula itself, for input known to be good; every power of p in one polynomial."""
    coefficients = np.array(_A)
    coefficients[0] += sum(b * x**k for k, b in enumerate(_B, start=1))
    for i, row in enumerate(_C, start=1):
        coefficients[1 : len(row) + 1] += np.array(row) * x**i
    return np.asarray(polynomial.polyval(p, coefficients), dtype=float)


ETHANOL_G_PER_ML = float(_density(np.array(1.0), 0.0)) / 1000
_WATER_G_PER_ML = float(_density(np.array(0.0), 0.0)) / 1000


def mass_fraction(percent_vol_20c: ArrayLike) -> Floats:
    """Mass fraction of ethanol in ethanol and water alone, from % vol at 20 °C.

    The inverse of the strength by volume, p rho(p) / rho(1) (OIML R 22, 1975, definition), by
    Newton's method. Raises InputError outside 0..100 %.

    >>> round(float(mass_fraction(40)), 5)
    0.333
    """
    q = np.asarray(percent_vol_20c, dtype=float) / 100
    if not np.all((q >= 0) & (q <= 1)):
        raise InputError("a strength in % vol must lie between 0 and 100")
    p = q * ETHANOL_G_PER_ML / (_WATER_G_PER_ML - q * (_WATER_G_PER_ML - ETHANOL_G_PER_ML))
    for _ in range(_MOST_STEPS):
        step = (p * _density(p, 0.0) / (1000 * ETHANOL_G_PER_ML) - q) / _slope(p)
        p = np.clip(p - step, 0.0, 1.0)
        if np.all(np.abs(step) < _SETTLED):
            break
    return p


def _slope(p: Floats) -> Floats:
    weighted = np.concatenate([[0.0], _A])
    derivative = polynomial.polyval(p, polynomial.polyder(weighted))
    return np.asarray(derivative, dtype=float) / (1000 * ETHANOL_G_PER_ML)


def liquid_volume_ml(ethanol_g: ArrayLike, water_g: ArrayLike) -> Floats:
    """Volume at 20 °C in mL of ethanol and water mixed, contraction included.

    >>> round(float(liquid_volume_ml(50 * 0.7892391, 50 * 0.9982012)), 2)
    96.46
    """
    ethanol, water = np.asarray(ethanol_g, dtype=float), np.asarray(water_g, dtype=float)
    mass = ethanol + water
    p = np.divide(ethanol, mass, out=np.zeros_like(mass), where=mass > 0)
    volume: Floats = mass / _density(p, 0.0) * 1000
    return volume
