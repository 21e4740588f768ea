"""Dissolved carbon dioxide: volumes, grams per litre, and the pressure it would make.

Solubility in pure water after R. F. Weiss (Marine Chemistry 2:203, 1974), whose fit is for 0 to
40 °C near 1 atm, on the basis of fugacity; second virial coefficient and partial molar volume from
the same paper, vapour pressure of water after Weiss and Price (1980), both from memory.

Every pressure here is an estimate, never a rating of a bottle.
"""

import math
from dataclasses import dataclass
from typing import Final

from scipy.optimize import brentq

from tasting.drink.acidity import CO2_G_PER_MOL
from tasting.errors import InputError
from tasting.wording import short

# One volume: the CO2 that fills the volume of the drink at 0 °C and 1 atm, real gas 22.264 L/mol.
_VOLUME_G_PER_L: Final = 1.977
BAR_PER_ATM: Final = 1.01325
COLDEST_C, WARMEST_C = 0.0, 50.0
# Charts of the trade and pure water differ by about as much (a judgement).
_BAND_VOLUMES: Final = 0.15
# 100 g/L of sucrose lowers the solubility by 6 to 7 % (Usher, 1910, from memory).
_LOSS_PER_G_SUGAR: Final = 0.0007
_HEXOSE_G_PER_MOL, _SUCROSE_G_PER_MOL = 180.156, 342.297
_ATM_ML_PER_MOL_K: Final = 82.05746
_MOST_ATM: Final = 40.0

NOTICE: Final = (
    "Computed pressure is an estimate, never a rating: use only bottles and closures that their "
    "maker rates for the pressure at the warmest temperature they may meet."
)


# Less CO2 than this is no matter of pressure.
STILL_G_PER_L: Final = 0.5


@dataclass(frozen=True, slots=True)
class Pressure:
    """Estimated gauge pressure in bar at a temperature, with its likely interval and the notice
    that must stand beside it."""

    temperature_c: float
    gauge_bar: float
    low_bar: float
    high_bar: float
    notice: str = NOTICE


def volumes(co2_g_per_l: float) -> float:
    """Volumes of CO2, 1.977 g/L each.

    >>> round(volumes(5.93), 2)
    3.0
    """
    return co2_g_per_l / _VOLUME_G_PER_L


def solubility_mol_per_l_atm(temperature_c: float) -> float:
    """Henry's constant K0 in mol/(L atm) of fugacity in pure water, 0 to 50 °C.

    ln K0 = -58.0931 + 90.5069 (100/T) + 22.2940 ln(T/100). Raises InputError outside; beyond 40 °C
    it extrapolates. Source: Weiss (1974), equation 12 at zero salinity.

    >>> round(solubility_mol_per_l_atm(0), 5)
    0.07758
    """
    if not COLDEST_C <= temperature_c <= WARMEST_C:
        raise InputError(
            f"the solubility of CO₂ is known from {COLDEST_C:g} to {WARMEST_C:g} °C, not at "
            f"{short(temperature_c)} °C"
        )
    t = (temperature_c + 273.15) / 100
    return math.exp(-58.0931 + 90.5069 / t + 22.2940 * math.log(t))


def dissolved_g_per_l(gauge_bar: float, temperature_c: float) -> float:
    """CO2 in g/L that pure water holds under CO2 at a gauge pressure, no air in the headspace.

    Raises InputError for a pressure below a vacuum or a temperature outside 0 to 50 °C.
    """
    pressure = gauge_bar / BAR_PER_ATM + 1
    if not 0 <= pressure <= _MOST_ATM:
        raise InputError(
            f"a gauge pressure of {short(gauge_bar)} bar is outside the computed range"
        )
    return _dissolved(pressure, temperature_c)


def _dissolved(pressure_atm: float, temperature_c: float) -> float:
    kelvin = temperature_c + 273.15
    gas = max(pressure_atm - _vapour_atm(kelvin), 0.0)
    virial = -1636.75 + 12.0408 * kelvin - 0.0327957 * kelvin**2 + 3.16528e-5 * kelvin**3
    fugacity = gas * math.exp(virial * pressure_atm / (_ATM_ML_PER_MOL_K * kelvin))
    # The dissolved gas takes room, so pressure holds it back a little (32.3 mL/mol).
    held_back = math.exp(32.3 * (1 - pressure_atm) / (_ATM_ML_PER_MOL_K * kelvin))
    return solubility_mol_per_l_atm(temperature_c) * fugacity * held_back * CO2_G_PER_MOL


def _vapour_atm(kelvin: float) -> float:
    return math.exp(24.4543 - 67.4509 * 100 / kelvin - 4.8489 * math.log(kelvin / 100))


def pressure(co2_g_per_l: float, temperature_c: float, sugar_g_per_l: float = 0.0) -> Pressure:
    """Estimated pressure over a drink with so much CO2, no air and no headspace to fill.

    Sugar only raises the upper end. Raises InputError for a level or temperature outside of what
    is known.
    """
    band = _BAND_VOLUMES * _VOLUME_G_PER_L
    sweetened = (co2_g_per_l + band) / (1 - min(_LOSS_PER_G_SUGAR * max(sugar_g_per_l, 0.0), 0.5))
    return Pressure(
        temperature_c=temperature_c,
        gauge_bar=_gauge(co2_g_per_l, temperature_c),
        low_bar=_gauge(max(co2_g_per_l - band, 0.0), temperature_c),
        high_bar=_gauge(sweetened, temperature_c),
    )


def _gauge(co2_g_per_l: float, temperature_c: float) -> float:
    most = _dissolved(_MOST_ATM, temperature_c)
    if not 0 <= co2_g_per_l <= most:
        raise InputError(
            f"{short(co2_g_per_l)} g/L of CO₂ is outside the computed range at "
            f"{short(temperature_c)} °C (0–{most:.0f} g/L)"
        )
    least = _vapour_atm(temperature_c + 273.15)
    total = brentq(lambda p: _dissolved(p, temperature_c) - co2_g_per_l, least, _MOST_ATM)
    return float((total - 1) * BAR_PER_ATM)


def from_sugar_g_per_l(hexoses_g_per_l: float, disaccharides_g_per_l: float = 0.0) -> float:
    """CO2 in g/L if yeast ferments so much glucose and fructose, sucrose and maltose wholly: 0.4886
    g per g of the first two, 0.5143 of the others, which take up water as they are split.

    From C6H12O6 -> 2 C2H6O + 2 CO2 and C12H22O11 + H2O -> 4 C2H6O + 4 CO2 (Gay-Lussac).

    >>> round(volumes(from_sugar_g_per_l(20)), 1), round(from_sugar_g_per_l(0, 1), 4)
    (4.9, 0.5143)
    """
    moles = 2 * hexoses_g_per_l / _HEXOSE_G_PER_MOL + 4 * disaccharides_g_per_l / _SUCROSE_G_PER_MOL
    return moles * CO2_G_PER_MOL
