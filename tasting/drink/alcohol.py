"""Ethanol and water: how strong a drink is by volume, and the volume that the two make together.

The general formula of the International Alcoholometric Tables (OIML R 22, 1975; the same
numbers stand in Council Directive 76/766/EEC, annex), at 20 °C where it is

    rho(p) = sum_k A_k p^(k-1)

with p the mass fraction of ethanol, rho in kg/m3 in vacuo.
"""

from __future__ import annotations

import numpy as np
from numpy.polynomial import polynomial
from numpy.typing import ArrayLike

from tasting.drink.arrays import Floats

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


ETHANOL_G_PER_ML = sum(_A) / 1000


def liquid_volume_ml(ethanol_g: ArrayLike, water_g: ArrayLike) -> Floats:
    """Volume at 20 °C in mL of ethanol and water mixed, contraction included.

    >>> round(float(liquid_volume_ml(50 * 0.7892391, 50 * 0.9982012)), 2)
    96.46
    """
    ethanol, water = np.asarray(ethanol_g, dtype=float), np.asarray(water_g, dtype=float)
    mass = ethanol + water
    p = np.divide(ethanol, mass, out=np.zeros_like(mass), where=mass > 0)
    volume: Floats = mass / polynomial.polyval(p, _A) * 1000
    return volume
