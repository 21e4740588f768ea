"""Care for the people who taste: what is in both samples together, and the usual caution.

Alcohol and allergens are told for both samples together, so that they give nothing away.
"""

from collections.abc import Sequence

from tasting.drink.alcohol import ETHANOL_G_PER_ML
from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.drink.label import Reference

ALCOHOL = (
    "Contains alcohol: for adults of legal age only; not in pregnancy, not before driving or "
    "working with machines, not with medicines that forbid it. You may spit, and you may stop at "
    "any time. "
    "Local law and licensed practice come first."
)
STOP = "You may stop at any time."


def allergens(drinks: Sequence[Version | Reference]) -> tuple[str, ...]:
    """The allergens of all these drinks together."""
    found = set[str]()
    for drink in drinks:
        known = drink if isinstance(drink, Reference) else compose(drink)
        found |= set(known.allergens)
    return tuple(sorted(found))


def alcohol_percent_vol(drinks: Sequence[Version | Reference]) -> float:
    """The highest alcoholic strength of these drinks, rounded up to 0.5 % vol."""
    strengths = [
        (drink if isinstance(drink, Reference) else compose(drink)).alcohol_percent_vol or 0.0
        for drink in drinks
    ]
    return -(-max(strengths) // 0.5) * 0.5


def notices(allergens: Sequence[str], alcohol_percent_vol: float) -> tuple[str, ...]:
    """What an assessor has to read before tasting."""
    listed = ", ".join(allergens) or "none declared; ask the host if you have an allergy"
    lines = [f"Allergens in these samples: {listed}."]
    if alcohol_percent_vol > 0:
        lines.append(f"Alcohol: up to {alcohol_percent_vol:g} % vol. {ALCOHOL}")
    else:
        lines.append(STOP)
    return tuple(lines)


def ethanol_g(volume_ml: float, alcohol_percent_vol: float) -> float:
    """Ethanol in g in a volume of this strength.

    >>> round(ethanol_g(355, 5), 1)
    14.0
    """
    return volume_ml * alcohol_percent_vol / 100 * ETHANOL_G_PER_ML
