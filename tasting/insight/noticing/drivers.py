"""What may drive a noticed difference, and what is known of it in a drink.

Every level carries its uncertainty in components, one a source (the acid of the lemon juice, the
titration of the reference): what is wrong alike in two versions cancels in their difference, and
what many sessions have in common does not average away.
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

import numpy as np

from tasting.drink.composition import propagated
from tasting.drink.formula import Version
from tasting.drink.label import Reference, known
from tasting.drink.mixture import FIGURES
from tasting.errors import InputError
from tasting.stats.checks import Floats

Scale = Literal["linear", "log"]
Drink = Version | Reference

# The ranges of the ingredients are read as 95 % intervals.
_LIKELY: Final = 1.96


@dataclass(frozen=True, slots=True)
class Driver:
    """A figure of the drink whose difference may be noticed.

    short: its name where there is little room
    figure: its name in a composition; practice: pantry keys of what moves it at the bar
    """

    key: str
    name: str
    short: str
    unit: str
    figure: str
    practice: tuple[str, ...] = ()

    def declared(self, reference: Reference) -> tuple[float, float] | None:
        """Value and standard uncertainty in a reference, in `unit`; None where it is not known."""
        return known(reference, self.figure)


TA = Driver("ta", "TA", "acid", "g/L", "ta_g_per_l", ("citric-acid", "lemon-juice"))
SUGAR = Driver("sugar", "sugar", "sugar", "g/L", "sugar_g_per_l", ("sugar", "simple-syrup-1-1"))
_ALL: Final = (
    TA,
    SUGAR,
    Driver("alcohol", "alcohol", "alcohol", "% vol", "alcohol_percent_vol", ("neutral-spirit",)),
    Driver("co2", "dissolved carbon dioxide", "CO₂", "g/L", "co2_g_per_l"),
    Driver("ph", "pH", "pH", "", "ph"),
    Driver("sweetness", "sweetness", "sweetness", "g/L", "sweetness_g_per_l", ("sugar",)),
)
DRIVERS: Final[Mapping[str, Driver]] = MappingProxyType({driver.key: driver for driver in _ALL})
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
            raise InputError(f"unknown driver {key!r}; choose from: {', '.join(DRIVERS)}")
        if list(keys).count(key) > 1:
            raise InputError(f"the driver {key!r} is given twice; give it once")
    if not keys:
        raise InputError(f"there is no driver; choose from: {', '.join(DRIVERS)}")
    return tuple(DRIVERS[key] for key in keys)


@dataclass(frozen=True, slots=True)
class Reading:
    """Levels of a drink, one for each driver (NaN: unknown), and the components of their
    uncertainty: by source, what one standard deviation of it does to each level."""

    levels: Floats
    components: Mapping[str, Floats]

    @property
    def key(self) -> Hashable:
        """Equal for equal readings."""
        parts = sorted((source, each.tobytes()) for source, each in self.components.items())
        return self.levels.tobytes(), tuple(parts)

    def scaled(self, scale: Scale) -> "Reading":
        """On the scale of the model: as it is, or natural logarithms (Weber's law).

        Raises InputError for a level of 0 on the log scale.
        """
        if scale == "linear":
            return self
        if np.any(self.levels <= 0):
            raise InputError("a level of 0 has no logarithm; use the linear scale for this drink")
        components = {source: each / self.levels for source, each in self.components.items()}
        return Reading(np.log(self.levels), components)


def reading(drink: Drink, drivers: Sequence[Driver]) -> Reading:
    """What is known of a drink: by computation, or by its label and what was measured on it."""
    if isinstance(drink, Reference):
        return _of_reference(drink, drivers)
    return _of_version(drink, drivers)


def _of_reference(reference: Reference, drivers: Sequence[Driver]) -> Reading:
    table = np.array([driver.declared(reference) or (np.nan, 0.0) for driver in drivers])
    components = {
        f"reference {reference.id}: {driver.key}": component
        for driver, component in zip(drivers, np.diag(table[:, 1]), strict=True)
        if component.any()
    }
    return Reading(table[:, 0], components)


def _of_version(version: Version, drivers: Sequence[Driver]) -> Reading:
    """A figure of an ingredient that is in twice, poured and weighed, is one source."""
    mixture = propagated(version)
    rows = [FIGURES.index(driver.figure) for driver in drivers]
    components: dict[str, Floats] = {}
    halves = (mixture.high - mixture.low)[rows].T / 2 / _LIKELY
    for (lot, figure), component in zip(mixture.sources, halves, strict=True):
        if component.any():
            source = f"{mixture.lots[lot].ingredient.key}: {figure}"
            components[source] = components.get(source, 0.0) + component
    unknown = [driver.figure in mixture.unknown for driver in drivers]
    return Reading(np.where(unknown, np.nan, mixture.usual[rows]), components)
