"""The density of a liquid that nobody weighed, from its sugar, acid and alcohol."""

from typing import Final

import numpy as np
from scipy.optimize import brentq

from tasting.drink import alcohol, sugar
from tasting.drink.content import ACID_ML_PER_G
from tasting.errors import InputError

_VOLUME_ML: Final = 100.0
_ROUNDS, _SETTLED = 60, 1e-10
_AS_SUCROSE = np.array([1.0, *[0.0] * (len(sugar.SUGARS) - 1)])


def density_per_100_ml(sugar_g: float, acid_g: float, alcohol_percent_vol: float) -> float:
    """Density at 20 °C in kg/L of what holds so much sugar (as sucrose) and acid in 100 mL; the
    rest is water. Raises InputError where they do not fit into 100 mL.

    >>> round(density_per_100_ml(0, 0, 40), 3)
    0.948
    """
    ethanol_g = alcohol_percent_vol * alcohol.ETHANOL_G_PER_ML

    def too_much_ml(water_g: float) -> float:
        liquid = alcohol.liquid_volume_ml(ethanol_g, water_g)
        dissolved = sugar.dissolved_volume_ml(sugar_g * _AS_SUCROSE, water_g)
        return float(liquid + dissolved + ACID_ML_PER_G * acid_g - _VOLUME_ML)

    if too_much_ml(1e-6) > 0:
        raise InputError("the sugar, acid and alcohol do not fit into 100 mL; lower one of them")
    water_g = brentq(too_much_ml, 1e-6, 2 * _VOLUME_ML)
    return float(sugar_g + acid_g + ethanol_g + water_g) / _VOLUME_ML


def density_per_100_g(sugar_g: float, acid_g: float, alcohol_percent_vol: float) -> float:
    """The same of what holds so much sugar and acid in 100 g.

    >>> round(density_per_100_g(50, 0, 0), 3)
    1.23
    """
    density = 1.0
    for _ in range(_ROUNDS):
        before = density
        density = density_per_100_ml(sugar_g * before, acid_g * before, alcohol_percent_vol)
        if abs(density - before) < _SETTLED:
            break
    return density
