"""Ice that melts into a drink: from the dilution that a bar states, or as it is usual for a way of
serving."""

from dataclasses import dataclass, replace
from math import hypot
from typing import Final

from tasting.drink.composition import Composition, compose
from tasting.drink.formula import Amount, Part, Version
from tasting.drink.pantry import ingredient
from tasting.drink.uncertainty import Spread
from tasting.errors import InputError
from tasting.wording import interval, short

WATER_KG_PER_L: Final = 0.998201
"""What ice of a kilogram becomes at 20 °C (OIML R 22, no ethanol)."""
_MOST_PERCENT: Final = 300.0


@dataclass(frozen=True, slots=True)
class ServedStyle:
    """How much water a way of serving adds, in % of the drink before it: as usual, and from low to
    high, read as a 95 % interval as the ranges of ingredients are."""

    name: str
    usual: float
    low: float
    high: float
    source: str = "common practice, no source"

    @property
    def adds(self) -> str:
        """The way of serving and how much water it adds, as in "Stirred: 20–40 %"."""
        return f"{self.name.capitalize()}: {interval(self.low, self.high, short)} %"

    def __str__(self) -> str:
        return f"{self.adds} water from the ice ({self.source}), {short(self.usual)} % taken."


STYLES: Final = {
    style.name: style
    for style in (
        ServedStyle("stirred", 28.0, 20.0, 40.0),
        ServedStyle("shaken", 45.0, 35.0, 60.0),
        # Between the first sip and the last; how much depends on ice, glass and patience.
        ServedStyle("on ice", 15.0, 5.0, 35.0),
    )
}


def served_style(name: str) -> ServedStyle:
    """The way of serving of this name. Raises InputError for one that is not known.

    >>> served_style("Stirred").usual
    28.0
    """
    known = STYLES.get(name.strip().casefold().replace("-", " "))
    if known is None:
        raise InputError(f"{name!r} is not a way of serving; use one of: {', '.join(STYLES)}")
    return known


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
    return before.volume_ml * dilution_percent / 100 * WATER_KG_PER_L


def melted(version: Version, dilution_percent: float) -> Version:
    """A version with the water in it that a dilution adds, % of its volume before.

    Raises InputError outside 0 to 300 %.
    """
    water = Amount(quantity=melt_g(compose(version), dilution_percent), unit="g")
    part = Part(ingredient=ingredient("ice"), amount=water)
    return version.model_copy(update={"parts": (*version.parts, part)})


def as_served(version: Version, style: ServedStyle | None) -> tuple[Version, Composition]:
    """A version and what is tasted of it: with the water of its ice where it is served so."""
    return tasted(version, style) if style else (version, compose(version))


_MELT: Final = "the ice that melts"


def tasted(version: Version, style: ServedStyle) -> tuple[Version, Composition]:
    """A version with as much water in it as is usual for a way of serving, and what is then
    tasted: how much ice melts widens each interval, independently of everything else."""
    served = melted(version, style.usual)
    usual, least, most = (
        compose(served),
        compose(melted(version, style.low)),
        compose(melted(version, style.high)),
    )
    intervals = {
        figure: spread
        if figure in usual.unknown
        else _widened(spread, *(drink.known(figure) for drink in (usual, least, most)))
        for figure, spread in usual.intervals.items()
    }
    return served, replace(usual, intervals=intervals)


def _widened(spread: Spread, usual: float, least: float, most: float) -> Spread:
    """The interval with what the ice does to it, in quadrature, and the larger to blame."""
    off = (least - usual, most - usual, 0.0)
    down, up = usual - spread.low, spread.high - usual
    before, melt = down**2 + up**2, min(off) ** 2 + max(off) ** 2
    if not melt:
        return spread
    low, high = usual - hypot(down, min(off)), usual + hypot(up, max(off))
    if melt >= spread.share * before:
        return Spread(low, high, _MELT, melt / (before + melt))
    share = spread.share * before / (before + melt)
    return Spread(low, high, spread.main, share, spread.measure)
