"""What may drive a noticed difference, and what is known of it in a drink.

Every level carries its doubts one source at a time (the acid of the lemon juice, the titration of
the reference), so that a doubt which two versions share cancels in their difference, and one which
many sessions share does not average away.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from types import MappingProxyType
from typing import Final, Literal

import numpy as np

from tasting.drink import content, declared
from tasting.drink.composition import part_grams
from tasting.drink.formula import Part, Version
from tasting.drink.label import Reference
from tasting.drink.mixture import mix
from tasting.drink.uncertainty import variants
from tasting.errors import InputError
from tasting.stats.checks import Floats
from tasting.units import ML_PER

Scale = Literal["linear", "log"]
Drink = Version | Reference

# The ranges of the ingredients and the repeatability of a measurement are read as 95 % intervals,
# a rounding as anything between its ends being equally likely.
_LIKELY: Final = 1.96
_EVEN: Final = sqrt(3)


@dataclass(frozen=True, slots=True)
class Driver:
    """A figure of the drink whose difference may be noticed.

    short: its name where there is little room
    figure: its name in a composition; `declared`: value and standard uncertainty in a reference
    practice: pantry keys of what moves it at the bar
    """

    key: str
    name: str
    short: str
    unit: str
    figure: str
    declared: Callable[[Reference], tuple[float, float] | None]
    practice: tuple[str, ...] = ()


def _measured(figure: str, least: float, share: float) -> Callable[[Reference], _Known]:
    def read(reference: Reference) -> _Known:
        value = getattr(reference, figure)
        return None if value is None else (value, max(least, share * value) / _LIKELY)

    return read


def _printed(figure: str, kind: str, per: float) -> Callable[[Reference], _Known]:
    def read(reference: Reference) -> _Known:
        value = getattr(reference, figure)
        if value is None:
            return None
        serving = reference.serving_ml / 100 if reference.rules == "US" and per != 1 else 1.0
        ends = declared.rounding(kind, round(value * serving, 6), reference.rules)
        return value * per, (ends.high - ends.low) / serving * per / 2 / _EVEN

    return read


def _unknown(_reference: Reference) -> _Known:
    return None


_Known = tuple[float, float] | None

TA = Driver(
    "ta",
    "titratable acidity",
    "acid",
    "g/L",
    "ta_g_per_l",
    _measured("ta_g_per_l", 0.05, 0.02),
    ("citric-acid", "lemon-juice"),
)
SUGAR = Driver(
    "sugar",
    "sugar",
    "sugar",
    "g/L",
    "sugar_g_per_l",
    _printed("sugar_g_per_100ml", "sugar", 10.0),
    ("sugar", "simple-syrup-1-1"),
)
DRIVERS: Final[Mapping[str, Driver]] = MappingProxyType(
    {
        driver.key: driver
        for driver in (
            TA,
            SUGAR,
            Driver(
                "alcohol",
                "alcohol",
                "alcohol",
                "% vol",
                "alcohol_percent_vol",
                _printed("alcohol_percent_vol", "alcohol", 1.0),
                ("neutral-spirit",),
            ),
            Driver("co2", "dissolved carbon dioxide", "CO₂", "g/L", "co2_g_per_l", _unknown),
            Driver("ph", "pH", "pH", "", "ph", _measured("ph", 0.05, 0.0)),
            Driver(
                "sweetness",
                "sweetness",
                "sweetness",
                "g/L",
                "sweetness_g_per_l",
                _unknown,
                ("sugar",),
            ),
        )
    }
)
DEFAULT_DRIVERS: Final = (TA.key, SUGAR.key)


def acid_and_sugar(keys: Sequence[str]) -> tuple[int, int] | None:
    """The places of acid and sugar among these keys of drivers; None unless both are there.

    Only these two are modelled as adding up or hiding each other, and drawn on a map.
    """
    return (keys.index(TA.key), keys.index(SUGAR.key)) if {TA.key, SUGAR.key} <= set(keys) else None


def drivers_named(keys: Sequence[str]) -> tuple[Driver, ...]:
    """The drivers of these keys, each once. Raises InputError for an unknown or repeated one."""
    for key in keys:
        if key not in DRIVERS:
            raise InputError(f"unknown driver {key!r}; use some of: {', '.join(DRIVERS)}")
        if list(keys).count(key) > 1:
            raise InputError(f"the driver {key!r} is given twice; give it once")
    if not keys:
        raise InputError(f"there is no driver; give some of: {', '.join(DRIVERS)}")
    return tuple(DRIVERS[key] for key in keys)


@dataclass(frozen=True, slots=True)
class Reading:
    """Levels of a drink, one for each driver (NaN: unknown), and by source the shift that one
    standard deviation of that source's doubt would cause in them."""

    levels: Floats
    components: Mapping[str, Floats]

    def scaled(self, scale: Scale) -> Reading:
        """On the scale of the model: as it is, or natural logarithms (Weber's law).

        Raises InputError for a level of 0 on the log scale.
        """
        if scale == "linear":
            return self
        if np.any(self.levels <= 0):
            raise InputError("a level of 0 has no logarithm; use the linear scale for this drink")
        doubts = {source: shift / self.levels for source, shift in self.components.items()}
        return Reading(np.log(self.levels), doubts)


def reading(drink: Drink, drivers: Sequence[Driver]) -> Reading:
    """What is known of a drink: by computation, or by its label and what was measured on it."""
    if isinstance(drink, Reference):
        return _of_reference(drink, drivers)
    return _of_version(drink, drivers)


def _of_reference(reference: Reference, drivers: Sequence[Driver]) -> Reading:
    known = [driver.declared(reference) or (np.nan, 0.0) for driver in drivers]
    doubts = {
        f"reference {reference.id}: {driver.key}": spread * np.eye(len(drivers))[place]
        for place, (driver, (_, spread)) in enumerate(zip(drivers, known, strict=True))
        if spread
    }
    return Reading(np.array([value for value, _ in known], dtype=float), doubts)


def _of_version(version: Version, drivers: Sequence[Driver]) -> Reading:
    usual = [part_grams(part) * content.content(part.ingredient) for part in version.parts]
    totals = np.sum(usual, axis=0)
    moved = [totals + _moved(part) - own for part, own in zip(version.parts, usual, strict=True)]
    lower, upper = np.concatenate(moved, axis=1)
    mixture = mix(np.vstack([totals, lower, upper]))
    table = np.column_stack([getattr(mixture, driver.figure) for driver in drivers])
    low, high = np.split(table[1:], 2)
    return Reading(table[0], _components(version, (high - low) / 2 / _LIKELY))


def _moved(part: Part) -> Floats:
    """What the part brings with one figure after another at the lower and at the upper end."""
    ends = variants(part.ingredient)
    ratio = ends.density_ratio[..., None] if part.amount.unit in ML_PER else 1.0
    return np.asarray(part_grams(part) * ratio * ends.contents)


def _components(version: Version, table: Floats) -> dict[str, Floats]:
    """The shifts by source; a figure of an ingredient that is in twice is one source."""
    shifts: dict[str, Floats] = {}
    sources = [
        f"{part.ingredient.key}: {figure}"
        for part in version.parts
        for figure in sorted(part.ingredient.ranges)
    ]
    for source, shift in zip(sources, table, strict=True):
        if np.any(shift):
            shifts[source] = shifts.get(source, np.zeros_like(shift)) + shift
    return shifts
