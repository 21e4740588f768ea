"""What of a drink can be computed or read from a label alike."""

from dataclasses import dataclass

from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.drink.label import Reference


@dataclass(frozen=True, slots=True)
class Levels:
    """Acidity, sugar, alcohol and energy of a drink; None is unknown."""

    ta_g_per_l: float | None
    sugar_g_per_l: float | None
    alcohol_percent_vol: float | None
    energy_kcal_per_l: float | None


def levels(drink: Version | Reference) -> Levels:
    """The levels of a version by computation, of a reference by its label and measured acidity."""
    if isinstance(drink, Reference):
        return Levels(
            ta_g_per_l=drink.ta_g_per_l,
            sugar_g_per_l=drink.sugar_g_per_l,
            alcohol_percent_vol=drink.alcohol_percent_vol,
            energy_kcal_per_l=drink.energy_kcal_per_l,
        )
    made = compose(drink)
    return Levels(
        ta_g_per_l=made.ta_g_per_l,
        sugar_g_per_l=made.sugar_g_per_l,
        alcohol_percent_vol=made.alcohol_percent_vol,
        energy_kcal_per_l=made.energy_kcal_per_l,
    )
