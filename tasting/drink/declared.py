"""What a printed value can mean: rounding and tolerance, in the EU and in the US.

Two different things: the *rounding* interval holds the values that print as this one; the
*tolerance* is how far an analysis may lie from the label before an inspector objects. Laws change;
check the current text with whoever is responsible for your labels.

Sources: 21 CFR 101.9(c) and FDA's labelling guide, appendix H (seen in copies); EU guidance on
tolerances and rounding for nutrition labels, December 2012 (zero and 2 g limits seen second-hand,
the rest from memory); Regulation (EU) No 1169/2011, Annex XII, for alcohol (seen); 27 CFR 5.65 for
alcohol in the US (seen in a mirror).
"""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Final, Literal

from tasting.errors import InputError

Rules = Literal["EU", "US"]


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


def us_sugars(grams: float) -> str:
    """Sugars of a serving as the US prints them: below 0.5 g as 0, below 1 g "less than 1 g"."""
    if grams < 0.5:
        return "0 g"
    return "less than 1 g" if grams < 1 else f"{nearest(grams, 1):.0f} g"


def us_sodium(milligrams: float) -> float:
    """Sodium of a serving as the US prints it: below 5 mg as 0, to 140 in fives, then in tens."""
    if milligrams < 5:
        return 0.0
    return nearest(milligrams, 5) if milligrams <= 140 else nearest(milligrams, 10)


def eu_energy(value: float) -> float:
    """Energy per 100 mL as the EU prints it: to 1 kJ or 1 kcal."""
    return nearest(value, 1)


def eu_sugars(grams: float) -> float:
    """Sugars per 100 mL as the EU prints them: to 0.5 g as 0, below 10 in tenths, then whole."""
    if grams <= 0.5:
        return 0.0
    return nearest(grams, 0.1) if grams < 10 else nearest(grams, 1)


def eu_salt(grams: float) -> float:
    """Salt per 100 mL as the EU prints it: to 0.0125 g as 0, below 1 in hundredths, then tenths."""
    if grams <= 0.0125:
        return 0.0
    return nearest(grams, 0.01) if grams < 1 else nearest(grams, 0.1)


def _us_energy_rounding(kcal: float) -> LabelInterval:
    if kcal < 5:
        return LabelInterval(0.0, 5.0)
    step = 5 if kcal <= 50 else 10
    return LabelInterval(kcal - step / 2, kcal + step / 2)


def _us_sugar_rounding(grams: float) -> LabelInterval:
    if grams < 0.5:
        return LabelInterval(0.0, 0.5)
    return (
        LabelInterval(0.5, 1.0) if grams < 1 else LabelInterval(max(grams - 0.5, 1.0), grams + 0.5)
    )


def _eu_sugar_rounding(grams: float) -> LabelInterval:
    if grams <= 0.5:  # "0.5" is printed from 0.5 to 0.55, and stands for "less than 0.5 g"
        return LabelInterval(0.0, max(0.5, grams + 0.05))
    half = 0.05 if grams < 10 else 0.5
    return LabelInterval(grams - half, grams + half)


def _half(step: float) -> Callable[[float], LabelInterval]:
    return lambda value: LabelInterval(max(value - step / 2, 0.0), value + step / 2)


# Of a value as it is declared: per 100 mL in the EU, per serving in the US; alcohol in % vol.
_ROUNDING: Final[dict[tuple[Rules, str], Callable[[float], LabelInterval]]] = {
    ("EU", "energy"): _half(1.0),
    ("EU", "sugar"): _eu_sugar_rounding,
    ("EU", "alcohol"): _half(0.1),
    ("US", "energy"): _us_energy_rounding,
    ("US", "sugar"): _us_sugar_rounding,
    ("US", "alcohol"): _half(0.1),
}


def rounding(figure: str, value: float, rules: Rules) -> LabelInterval:
    """The values of "energy", "sugar" or "alcohol" that print as this one.

    `value` per 100 mL in the EU, per serving in the US; alcohol in % vol with one decimal.
    Raises InputError for another figure.

    >>> rounding("energy", 130, "US")
    LabelInterval(low=125.0, high=135.0)
    """
    if (rules, figure) not in _ROUNDING:
        raise InputError(f"no rounding rule for {figure!r}; use energy, sugar or alcohol")
    return _ROUNDING[rules, figure](value)


_ALCOHOL_TOLERANCE: Final = 0.3


def tolerance(figure: str, value: float, rules: Rules) -> LabelInterval | None:
    """How far an analysis may lie from the label, or None where no rule was found.

    Alcohol: 0.3 % vol for drinks on a spirit base in both (other kinds have wider ones). Sugar per
    100 mL in the EU: 2 g below 10 g, 20 % to 40 g, then 8 g. Sugar and energy in the US: not above
    120 % of the label (from memory, 21 CFR 101.9(g)).
    """
    if figure == "alcohol":
        return LabelInterval(max(value - _ALCOHOL_TOLERANCE, 0.0), value + _ALCOHOL_TOLERANCE)
    if rules == "US":
        return LabelInterval(0.0, 1.2 * value)
    if figure == "sugar":
        room = 2.0 if value < 10 else 0.2 * value if value <= 40 else 8.0
        return LabelInterval(max(value - room, 0.0), value + room)
    return None
