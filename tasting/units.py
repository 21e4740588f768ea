"""Named units of volume and mass, conversion to the two that are used inside (mL and g), and the
reading of amounts as people write them.

A US fluid ounce is 29.5735295625 mL, a tablespoon half of it and a teaspoon a third of a
tablespoon; an avoirdupois ounce is 28.349523125 g (NIST Handbook 44, appendix C). An imperial
fluid ounce is the 160th part of a gallon of 4.54609 L (United Kingdom, Units of Measurement
Regulations 1995). What bartenders count in dashes, barspoons, drops and pinches has no definition:
see CUSTOMARY.
"""

import re
from dataclasses import dataclass
from typing import Final, Literal

from tasting.errors import InputError
from tasting.reading import numeral

Form = Literal["liquid", "solid"]
ML_PER_US_FL_OZ = 29.5735295625
_ML_PER_IMP_FL_OZ = 4546.09 / 160


@dataclass(frozen=True, slots=True)
class Customary:
    """A measure without a definition: its usual size, the sizes that are met, and who says so."""

    ml: float
    low_ml: float
    high_ml: float
    source: str


_NO_SOURCE: Final = "common practice, no source"
CUSTOMARY: Final[dict[str, Customary]] = {
    # A bar's spoon holds from half a teaspoon to a whole one.
    "barspoon": Customary(4.0, 2.5, 5.0, _NO_SOURCE),
    "dash": Customary(ML_PER_US_FL_OZ / 32, 0.4, 1.3, _NO_SOURCE),
    "drop": Customary(
        0.05, 0.03, 0.07, f"20 drops of water a mL, as from a pharmacist's dropper; {_NO_SOURCE}"
    ),
    # A sixteenth of a teaspoon, or what finger and thumb take.
    "pinch": Customary(ML_PER_US_FL_OZ / 96, 0.15, 0.6, _NO_SOURCE),
}
"""Their ranges are read as 95 % intervals, as those of ingredients are."""

ML_PER: dict[str, float] = {
    "mL": 1.0,
    "cl": 10.0,
    "dl": 100.0,
    "L": 1000.0,
    "US fl oz": ML_PER_US_FL_OZ,
    "imp fl oz": _ML_PER_IMP_FL_OZ,
    "tbsp": ML_PER_US_FL_OZ / 2,
    "tsp": ML_PER_US_FL_OZ / 6,
    **{unit: known.ml for unit, known in CUSTOMARY.items()},
}
OUNCE_OF_MASS: Final = "oz (weight)"
_G_PER: dict[str, float] = {"g": 1.0, "mg": 0.001, "kg": 1000.0, OUNCE_OF_MASS: 28.349523125}
UNITS: tuple[str, ...] = (*ML_PER, *_G_PER)
METRIC: Final = frozenset({"mL", "cl", "dl", "L", "mg", "g", "kg"})

OUNCE: Final = "oz"
"""A bare ounce: it becomes a unit when the ingredient is known (see `unit_for`)."""
PART: Final = "part"
"""A share of a whole: it becomes a volume when the size of one part is known."""

_ALIASES: Final[dict[str, str]] = {
    "mL": "ml mls millilitre millilitres milliliter milliliters",
    "cl": "cl centilitre centilitres centiliter centiliters",
    "dl": "dl decilitre decilitres deciliter deciliters",
    "L": "l litre litres liter liters ltr",
    "US fl oz": "fl_oz floz us_fl_oz us_oz fluid_ounce fluid_ounces us_fluid_ounce us_fluid_ounces",
    "imp fl oz": "imp_fl_oz imp_oz uk_fl_oz imperial_fl_oz imperial_oz imperial_fluid_ounce "
    "imperial_fluid_ounces imperial_ounce imperial_ounces",
    "tbsp": "tbsp tbsps tbs tablespoon tablespoons",
    "tsp": "tsp tsps teaspoon teaspoons",
    "barspoon": "barspoon barspoons bar_spoon bar_spoons bsp",
    "dash": "dash dashes",
    "drop": "drop drops",
    "pinch": "pinch pinches",
    "mg": "mg milligram milligrams",
    "g": "g gram grams gramme grammes",
    "kg": "kg kilo kilos kilogram kilograms",
    OUNCE_OF_MASS: "oz_(weight) oz_weight oz_wt oz_by_weight oz_av oz_avdp",
    OUNCE: "oz ozs ounce ounces",
    PART: "part parts",
}
_BY_ALIAS: Final = {
    alias.replace("_", " "): unit for unit, names in _ALIASES.items() for alias in names.split()
}


def _pattern() -> str:
    """Any alias, the longest first, with or without points and spaces between its words."""
    ordered = sorted(_BY_ALIAS, key=len, reverse=True)
    return "|".join(r"\.?\ *".join(map(re.escape, alias.split())) for alias in ordered)


_UNIT: Final = re.compile(rf"(?:{_pattern()})\.?(?![\w/])", re.IGNORECASE)
_LAST: Final = re.compile(
    rf"(?:^|\s)(?P<amount>[^\s]+(?:\ [^\s]+)?\ *(?:{_pattern()})\.?)\s*$", re.I
)


def counted(quantity: float, unit: str) -> str:
    """The unit behind a quantity: what is counted out has a plural.

    >>> counted(2, "dash"), counted(1, "dash"), counted(2, "mL")
    ('dashes', 'dash', 'mL')
    """
    if quantity == 1 or unit not in (*CUSTOMARY, PART):
        return unit
    return f"{unit}es" if unit.endswith("h") else f"{unit}s"


@dataclass(frozen=True, slots=True)
class AmountLine:
    """A line as on paper: a quantity (None: not said), a unit (empty: not said), and the rest.

    `unit` is one of UNITS, or OUNCE or PART, which still have to be settled.
    """

    quantity: float | None
    unit: str
    rest: str


def read_line(text: str) -> AmountLine:
    """Quantity, unit and the rest of a line, with the amount in front or at the end.

    Raises InputError for a quantity that is no number, or has two meanings.

    >>> read_line("1 1/2 oz lemon juice")
    AmountLine(quantity=1.5, unit='oz', rest='lemon juice')
    >>> read_line("top with soda to 225 ml")
    AmountLine(quantity=225.0, unit='mL', rest='top with soda to')
    """
    found = numeral(text)
    if found is not None:
        unit, rest = _split_unit(found.rest)
        return AmountLine(found.value, unit, rest)
    last = _LAST.search(text)
    if last:
        for amount in _endings(last["amount"]):
            ending = numeral(amount)
            if ending is not None:
                rest = text[: text.rindex(amount)].strip(" ,;:")
                return AmountLine(ending.value, _split_unit(ending.rest)[0], rest)
    return AmountLine(None, "", text.strip())


def _endings(amount: str) -> tuple[str, ...]:
    """The last words of a line, and without the first: its quantity may be of two words."""
    return amount, amount.partition(" ")[2]


def _split_unit(text: str) -> tuple[str, str]:
    """The unit in front of a text (empty: none), and what stands behind it without "of"."""
    found = _UNIT.match(text)
    if not found:
        return "", text
    words = found[0].casefold().replace(".", " ").split()
    return _spelled(words), re.sub(r"^of\s+", "", text[found.end() :].strip())


def _spelled(words: list[str]) -> str:
    by_letters = {alias.replace(" ", ""): unit for alias, unit in _BY_ALIAS.items()}
    return by_letters["".join(words)]


def unit_named(text: str) -> str:
    """The unit of that name, abbreviation or plural, in any case.

    Raises InputError for a name that is not known.

    >>> unit_named("ML"), unit_named("fl. oz."), unit_named("dashes")
    ('mL', 'US fl oz', 'dash')
    """
    name = text.strip()
    if name in UNITS:
        return name
    unit, rest = _split_unit(name)
    if not unit or rest:
        raise InputError(f"unknown unit {name!r}; use one of: {', '.join((*UNITS, OUNCE))}")
    return unit


def unit_for(unit: str, form: Form) -> str:
    """The unit that is meant of a liquid or a solid: a bare ounce, or none, is settled here.

    An ounce of a liquid is a US fluid ounce, of a solid an avoirdupois ounce of mass. Without a
    unit, liquids are in mL and solids in g.
    """
    if unit == OUNCE:
        return "US fl oz" if form == "liquid" else OUNCE_OF_MASS
    if not unit:
        return "mL" if form == "liquid" else "g"
    return unit


def is_mass(unit: str) -> bool:
    """Whether a unit is one of mass."""
    return unit in _G_PER


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
    if unit == OUNCE:
        raise InputError(f"an ounce may be of volume or of mass; write fl oz or {OUNCE_OF_MASS}")
    raise InputError(f"unknown unit {unit!r}; use one of: {', '.join(UNITS)}")
