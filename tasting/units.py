"""Named units of volume and mass, and conversion to the two that are used inside: mL and g.

A US fluid ounce is 29.5735295625 mL, a tablespoon half of it and a teaspoon a third of a
tablespoon (NIST Handbook 44, appendix C). A dash has no definition; 1/32 US fl oz is common
practice, no source.
"""

from tasting.errors import InputError

ML_PER_US_FL_OZ = 29.5735295625

ML_PER: dict[str, float] = {
    "mL": 1.0,
    "L": 1000.0,
    "US fl oz": ML_PER_US_FL_OZ,
    "tbsp": ML_PER_US_FL_OZ / 2,
    "tsp": ML_PER_US_FL_OZ / 6,
    "dash": ML_PER_US_FL_OZ / 32,
}
_G_PER: dict[str, float] = {"g": 1.0, "kg": 1000.0}
UNITS: tuple[str, ...] = (*ML_PER, *_G_PER)


def grams(quantity: float, unit: str, density_g_per_ml: float) -> float:
    """Mass in g of a quantity in any named unit, given the density in g/mL (= kg/L).

    Raises InputError for a unit that is not in UNITS.

    >>> grams(2, "tsp", 1.25)
    12.323...
    """
    if unit in _G_PER:
        return quantity * _G_PER[unit]
    if unit in ML_PER:
        return quantity * ML_PER[unit] * density_g_per_ml
    raise InputError(f"unknown unit {unit!r}; use one of: {', '.join(UNITS)}")
