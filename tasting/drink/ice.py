"""Ice that melts into a drink, from the dilution that a bar states."""

from typing import Final

from tasting.drink.composition import Composition
from tasting.errors import InputError
from tasting.wording import short

# What ice of a kilogram becomes at 20 °C (OIML R 22, no ethanol).
_WATER_KG_PER_L: Final = 0.998201
_MOST_PERCENT: Final = 300.0


def melt_g(before: Composition, dilution_percent: float) -> float:
    """Grams of ice that melt where a drink takes up so much water, % of its volume without ice.

    Stirred drinks take up 20 to 40 %, shaken ones 35 to 60 % (common practice, no source).
    Raises InputError outside 0 to 300 %.
    """
    if not 0 < dilution_percent <= _MOST_PERCENT:
        raise InputError(
            f"a dilution of {short(dilution_percent)} % is not between 0 and {_MOST_PERCENT:g} %; "
            "give the water that melts in % of the drink without ice"
        )
    return before.volume_ml * dilution_percent / 100 * _WATER_KG_PER_L
