"""In which of acidity, sugar and alcohol do two drinks differ?"""

from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.drink.label import Reference

_LEAST = 0.02
"""A level that differs by less than this share of the larger one is not asked about."""


def differing(a: Version | Reference, b: Version | Reference) -> tuple[str, ...]:
    """The names of the levels that differ, the one that differs by the largest share first.

    A level that is not known of both is left out.
    """
    one, other = _levels(a), _levels(b)
    shares = {name: _apart(one[name], other[name]) for name in one}
    return tuple(
        sorted((name for name in shares if shares[name] >= _LEAST), key=lambda n: -shares[n])
    )


def _apart(one: float | None, other: float | None) -> float:
    if one is None or other is None or max(one, other) <= 0:
        return 0.0
    return abs(one - other) / max(one, other)


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
