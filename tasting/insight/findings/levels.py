"""In which of acidity, sugar and alcohol do two drinks differ by more than is usually noticed?"""

from math import inf

from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.drink.label import Reference

_STEPS = {"acidity": 0.22, "sugar": 0.17, "alcohol": 0.2}
"""How large a share of a level is usually noticed: citric acid and sucrose in water by Schutz and
Pilgrim 1957 (J. Exp. Psychol. 54:41; from memory), alcohol by common practice, no source."""


def differing(a: Version | Reference, b: Version | Reference) -> tuple[str, ...]:
    """The names of the levels that differ by more than a noticeable step, in a fixed order.

    A level that is not known of both is left out. Shares of g/L and of % vol cannot be ordered, so
    none of them is said to differ most.
    """
    one, other = _levels(a), _levels(b)
    return tuple(name for name, step in _STEPS.items() if _apart(one[name], other[name]) > step)


def _apart(one: float | None, other: float | None) -> float:
    """The difference as a share of the lower level."""
    if one is None or other is None or max(one, other) <= 0:
        return 0.0
    least = min(one, other)
    return abs(one - other) / least if least > 0 else inf


def _levels(drink: Version | Reference) -> dict[str, float | None]:
    """g/L of titratable acid and of sugar, % vol of alcohol; of a reference by its label."""
    if isinstance(drink, Reference):
        sugar = drink.sugar_g_per_100ml
        return {
            "acidity": drink.ta_g_per_l,
            "sugar": None if sugar is None else 10 * sugar,
            "alcohol": drink.alcohol_percent_vol,
        }
    made = compose(drink)
    return {
        "acidity": made.ta_g_per_l,
        "sugar": made.sugar_g_per_l,
        "alcohol": made.alcohol_percent_vol,
    }
