"""What an amount is in mL or g, in words: so that a host sees how it was understood."""

from tasting.drink.composition import part_grams
from tasting.drink.formula import Part
from tasting.units import CUSTOMARY, METRIC, ML_PER, is_mass
from tasting.wording import interval, short

_DENSITY = "density_kg_per_l"


def in_words(part: Part) -> str:
    """The amount, and what it is in mL or g where its unit does not say so.

    Of a measure that is only customary the range and the source are said, of a solid by volume the
    bulk density that turns it into grams.
    """
    amount, item = part.amount, part.ingredient
    if amount.unit in CUSTOMARY:
        said = f"{amount}, {_customary(part)}"
    elif amount.unit in METRIC:
        said = str(amount)
    elif is_mass(amount.unit):
        said = f"{amount}, {short(part_grams(part), 4)} g"
    else:
        said = f"{amount}, {short(amount.quantity * ML_PER[amount.unit], 4)} mL"
    if item.form == "solid" and not is_mass(amount.unit):
        density = short(item.density_kg_per_l, 3)
        said += f"; {short(part_grams(part), 3)} g at a bulk density of {density} g/mL"
    return said


def briefly(part: Part) -> str:
    """What an amount is in mL or g, without where its size comes from."""
    amount, solid = part.amount, part.ingredient.form == "solid"
    if amount.unit in METRIC and is_mass(amount.unit) == solid:
        return str(amount)
    unsure = amount.unit in CUSTOMARY or solid != is_mass(amount.unit)
    about, digits = ("about ", 2) if unsure else ("", 4)
    if solid or is_mass(amount.unit):
        return f"{about}{short(part_grams(part), digits)} g"
    return f"{about}{short(amount.quantity * ML_PER[amount.unit], digits)} mL"


def _customary(part: Part) -> str:
    size, quantity = CUSTOMARY[part.amount.unit], part.amount.quantity
    low, high = quantity * size.low_ml, quantity * size.high_ml
    usual = short(quantity * size.ml, 2)
    return f"about {usual} mL ({interval(low, high, lambda ml: short(ml, 2))} mL; {size.source})"


def missing_bulk_density(part: Part) -> str:
    """What to do about a solid by volume whose bulk density nobody gave; empty where one is."""
    item = part.ingredient
    if item.form != "solid" or is_mass(part.amount.unit) or item.sources.get(_DENSITY):
        return ""
    return (
        f"{item.name} is a solid in {part.amount.unit}, and its bulk density is not known; weigh "
        "it in g, or give the bulk density (g of one level mL) with the ingredient"
    )
