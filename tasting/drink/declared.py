"""What a printed value can mean: rounding and tolerance, in the EU, the UK and the US.

Two different things: the *rounding* interval holds the values that print as this one; the
*tolerance* is how far an analysis may lie from the label before an inspector objects. Laws change;
check the current text with whoever is responsible for your labels.

Sources: 21 CFR 101.9(c) and FDA's labelling guide, appendix H (seen in copies); TTB Procedure
2020-1 for alcoholic drinks in the US (III and V, seen in a copy); EU guidance on tolerances and
rounding for nutrition labels, December 2012 (zero and 2 g limits seen second-hand, the rest from
memory), which the UK took over with the Regulation (from memory); Regulation (EU) No 1169/2011,
Annex XII, for alcohol (seen), and for grape wine Delegated Regulation (EU) 2019/33, article 44
(from memory); 27 CFR 4.36, 5.65 and 7.65 for alcohol in the US (seen in mirrors).
"""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Final, Literal

from tasting.errors import InputError

Rules = Literal["EU", "UK", "US"]
Kind = Literal["other", "beer", "cider", "wine", "macerated"]
"""Kinds of drink whose alcohol has tolerances of its own: spirits, spirit-based drinks and whatever
has no rule of its own; beer; cider, perry, mead and fruit wine; grape wine; drinks with macerated
fruit or parts of plants."""


@dataclass(frozen=True, slots=True)
class LabelInterval:
    """From low to high, both included."""

    low: float
    high: float


def nearest(value: float, step: float) -> float:
    """The multiple of a step nearest to a value, halves upward, free of binary dust.

    >>> nearest(2.5, 1), nearest(0.145, 0.01)
    (3.0, 0.15)
    """
    exact, unit = Decimal(repr(value)), Decimal(repr(step))
    return float((exact / unit).quantize(Decimal(1), ROUND_HALF_UP) * unit)


def us_calories(kcal: float) -> float:
    """Calories of a serving as the US prints them: below 5 as 0, to 50 in fives, then in tens."""
    if kcal < 5:
        return 0.0
    return nearest(kcal, 5) if kcal <= 50 else nearest(kcal, 10)


# More decimals than anybody prints: the value was computed, and the rule alone says how it prints.
_MOST_DECIMALS: Final = 3


@dataclass(frozen=True, slots=True)
class Print:
    """A value as a label prints it.

    `value` per 100 mL in the EU and the UK, per serving in the US; alcohol in % vol. `decimals` is
    how many are printed ("4.50" has two), None where nobody wrote that down; `alcoholic` whether
    the rules of TTB hold for a US label, not those of FDA.
    """

    value: float
    rules: Rules = "EU"
    decimals: int | None = None
    kind: Kind = "other"
    alcoholic: bool = False

    @property
    def needed_decimals(self) -> int:
        """The decimals that the value itself shows; 0 where it was computed, not printed."""
        exponent = Decimal(repr(self.value)).normalize().as_tuple().exponent
        shown = max(-exponent, 0) if isinstance(exponent, int) else 0
        return shown if shown <= _MOST_DECIMALS else 0

    def step(self, usual: float) -> float:
        """The step to which it is printed: by its decimals, else by the rule, never coarser than
        the value shows."""
        if self.decimals is not None:
            return float(Decimal(10) ** -self.decimals)
        return min(usual, float(Decimal(10) ** -self.needed_decimals)) if self.finer else usual

    @property
    def finer(self) -> bool:
        """Whether the value itself has decimals."""
        return self.needed_decimals > 0


def _around(printed: Print, usual: float) -> LabelInterval:
    half = printed.step(usual) / 2
    return LabelInterval(max(printed.value - half, 0.0), printed.value + half)


def _eu_sugar(printed: Print) -> LabelInterval:
    """To 0.5 g is 0 or "less than 0.5 g", below 10 g in tenths, then whole: 10 is where they meet,
    printed from 9.95 on."""
    value, coarse = printed.value, not printed.decimals and not printed.finer
    if value <= 0.5:
        return LabelInterval(0.0, max(0.5, _around(printed, 0.1).high))
    if value == 10 and coarse:
        return LabelInterval(9.95, 10.5)
    return _around(printed, 0.1 if value < 10 else 1.0)


def _eu_alcohol(printed: Print) -> LabelInterval:
    """To a tenth; grape wine in whole and half units."""
    halves = printed.kind == "wine" and printed.value % 0.5 == 0
    if halves:
        return LabelInterval(printed.value - 0.25, printed.value + 0.25)
    return _around(printed, 0.1)


def _us_energy(printed: Print) -> LabelInterval:
    """FDA's rule read backwards: 5 begins at 5, and 50 ends at 55, where tens begin."""
    kcal = printed.value
    if kcal < 5:
        return LabelInterval(0.0, 5.0)
    if printed.alcoholic or us_calories(kcal) != kcal:
        return _around(printed, 1.0)
    step = 5 if kcal <= 50 else 10
    return LabelInterval(max(kcal - step / 2, 5.0), 55.0 if kcal == 50 else kcal + step / 2)


def _us_sugar(printed: Print) -> LabelInterval:
    """FDA: below 0.5 g is 0, below 1 g "less than 1 g", then whole grams; TTB: tenths from 0.5."""
    grams = printed.value
    if grams < 0.5:
        return LabelInterval(0.0, 0.5)
    if printed.alcoholic:
        return _around(printed, 0.1)
    if grams < 1:
        return LabelInterval(0.5, 1.0)
    meant = _around(printed, 1.0)
    return LabelInterval(max(meant.low, 1.0), meant.high)


def _eu_energy(printed: Print) -> LabelInterval:
    return _around(printed, 1.0)


_EUROPEAN: Final[dict[str, Callable[[Print], LabelInterval]]] = {
    "energy": _eu_energy,
    "sugar": _eu_sugar,
    "alcohol": _eu_alcohol,
}
_ROUNDING: Final[dict[Rules, dict[str, Callable[[Print], LabelInterval]]]] = {
    "EU": _EUROPEAN,
    "UK": _EUROPEAN,
    "US": {
        "energy": _us_energy,
        "sugar": _us_sugar,
        "alcohol": lambda printed: _around(printed, 0.1),
    },
}


def rounding(figure: str, printed: Print) -> LabelInterval:
    """The values of "energy", "sugar" or "alcohol" that print as this one.

    Raises InputError for another figure.

    >>> rounding("energy", Print(130, "US"))
    LabelInterval(low=125.0, high=135.0)
    """
    rules = _ROUNDING[printed.rules]
    if figure not in rules:
        raise InputError(f"no rounding rule for {figure!r}; use energy, sugar or alcohol")
    return rules[figure](printed)


def tolerance(figure: str, printed: Print) -> LabelInterval | None:
    """How far an analysis may lie from the label, or None where no rule was found.

    Sugar per 100 mL in the EU and the UK: 2 g below 10 g, 20 % to 40 g, then 8 g. Sugar and energy
    in the US: not above 120 % of the label (21 CFR 101.9(g), from memory; TTB Procedure 2020-1
    for calories). Alcohol: by the kind of drink, from the strength on at which it must be stated.
    """
    value = printed.value
    if figure == "alcohol":
        return _alcohol_tolerance(printed)
    if printed.rules == "US":
        return LabelInterval(0.0, 1.2 * value)
    if figure == "sugar":
        room = 2.0 if value < 10 else 0.2 * value if value <= 40 else 8.0
        return LabelInterval(max(value - room, 0.0), value + room)
    return None


# Below it the EU asks for no statement of alcohol, and in the US no drink is alcoholic.
_DECLARED_FROM: Final[dict[Rules, float]] = {"EU": 1.2, "UK": 1.2, "US": 0.5}
_STRONG_BEER, _US_STRONG_WINE = 5.5, 14.0


def _alcohol_tolerance(printed: Print) -> LabelInterval | None:
    """% vol around the label; in the US beer stays above 0.5 and wine in its tax class."""
    strength, least = printed.value, _DECLARED_FROM[printed.rules]
    if strength <= least:
        return None
    room = (_us_room if printed.rules == "US" else _eu_room)(printed.kind, strength)
    low, high = strength - room, strength + room
    if printed.rules == "US" and printed.kind in ("wine", "cider"):
        weak = strength <= _US_STRONG_WINE
        low = low if weak else max(low, _US_STRONG_WINE)
        high = min(high, _US_STRONG_WINE) if weak else high
    floor = least if printed.rules == "US" else 0.0
    return LabelInterval(max(low, floor), high)


def _eu_room(kind: Kind, strength: float) -> float:
    """Regulation (EU) No 1169/2011, Annex XII; grape wine after Regulation (EU) 2019/33."""
    if kind == "beer":
        return 0.5 if strength <= _STRONG_BEER else 1.0
    return {"cider": 1.0, "macerated": 1.5, "wine": 0.5}.get(kind, 0.3)


def _us_room(kind: Kind, strength: float) -> float:
    """27 CFR 4.36 for wine and cider, 5.65 for spirits, 7.65 for beer."""
    if kind in ("wine", "cider"):
        return 1.5 if strength <= _US_STRONG_WINE else 1.0
    return 0.3
