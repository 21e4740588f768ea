"""What to take care of with a drink, in plain words.

These are reminders, not advice; whoever shows them says DEFER once. Nothing here ever says that a
drink is free of something; only what was declared of the ingredients is listed. What is not known
is cautioned as if it were there.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from tasting.drink import carbonation, dosed
from tasting.drink.composition import Composition, compose
from tasting.drink.content import SALT, UNKNOWN, WATER, content
from tasting.drink.dosed import Found
from tasting.drink.formula import Version
from tasting.drink.pantry import Ingredient
from tasting.wording import decimals

DEFER: Final = "Local codes and licensed practice decide."

# Acid foods end at pH 4.6 (21 CFR 114.3); 4.2 leaves room for how well pH is known (a judgement).
_ACID_FOOD_PH: Final = 4.6
_CAUTION_PH: Final = 4.2
_WARMEST_C: Final = 40.0
# Above this the alcohol itself keeps most things from growing (common practice, no source).
_KEEPING_PERCENT_VOL: Final = 20.0
# What must be warned of as alcohol: 27 CFR part 16 from 0.5 % vol.
_ALCOHOLIC_PERCENT_VOL: Final = 0.5
# From here on a spirit catches fire in a warm room: its flash point is near 26 °C at 40 % vol, and
# 17 °C at 96 % (from memory).
_FLAMMABLE_PERCENT_VOL: Final = 40.0
_FERMENTABLE_G_PER_L: Final = 1.0
_ONLY_WATER: Final = 0.999
_NEVER_GROWS: Final = frozenset({"water", "sparkling-water", "ice", "salt"})


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: a short kind, such as "pressure", and the text to show."""

    kind: str
    text: str


def cautions(version: Version, *, sealed: bool = False) -> tuple[Caution, ...]:
    """The cautions that apply to a version, in a sealed bottle or served fresh."""
    composition = compose(version)
    found = [*_notices(version)]
    for rule in _RULES:
        found += rule(version, composition, sealed)
    return tuple(Caution(kind, text) for kind, text in dict.fromkeys(found))


def _notices(version: Version) -> Iterator[tuple[str, str]]:
    for text in dict.fromkeys(part.ingredient.notice for part in version.parts):
        if text:
            yield "ingredient", text


def _keeps(drink: Composition) -> bool:
    """Whether its alcohol is known to keep it."""
    return (drink.alcohol_percent_vol or 0.0) >= _KEEPING_PERCENT_VOL


def _unknown(version: Version, *figures: str) -> tuple[str, ...]:
    """The ingredients of which nobody knows one of these."""
    names = dict.fromkeys(
        part.ingredient.name
        for part in version.parts
        if any(dosed.figure_of(part.ingredient, figure) is None for figure in figures)
    )
    return tuple(names)


def _allergens(_version: Version, drink: Composition, _sealed: bool) -> Found:
    if drink.allergens:
        yield (
            "allergens",
            f"Declared allergens: {', '.join(drink.allergens)}. Tell every assessor before the "
            "tasting; blinding never hides them. Other ingredients may contain traces.",
        )
    if "gluten cereals" in drink.allergens:
        yield "gluten", "An ingredient is made from cereals with gluten."


def _alcohol(version: Version, drink: Composition, _sealed: bool) -> Found:
    unknown = _unknown(version, "alcohol_percent_vol")
    known = drink.serving().alcohol_g
    if unknown:
        held = f"an unknown amount of alcohol (see {dosed.listed(unknown)})"
    elif drink.intervals["alcohol_percent_vol"].high > _ALCOHOLIC_PERCENT_VOL:
        held = f"{decimals(known, 1)} g of alcohol"
    else:
        return
    yield (
        "alcohol",
        f"One serving contains {held}: adults only, not in pregnancy, before driving or with "
        "medicines that forbid it.",
    )


def _fire(version: Version, _drink: Composition, _sealed: bool) -> Found:
    strong = tuple(
        part.ingredient.name
        for part in version.parts
        if (part.ingredient.alcohol_percent_vol or 0.0) >= _FLAMMABLE_PERCENT_VOL
    )
    if strong:
        yield (
            "fire",
            f"Spirit of {_FLAMMABLE_PERCENT_VOL:g} % vol and more ({dosed.listed(strong)}) catches "
            "fire when warm: no flame nearby, never heat it over one, never pour at a flame.",
        )


def grows(item: Ingredient) -> bool:
    """Whether anything could live on an ingredient: on all but water and salt."""
    if item.key in _NEVER_GROWS:
        return False
    row = content(item)
    water = row[WATER] + row[SALT] >= _ONLY_WATER and not row[UNKNOWN].any()
    return item.form == "solid" or not water


def _ph(version: Version, drink: Composition, _sealed: bool) -> Found:
    """By the upper end of the likely interval, since the computed pH is good to 0.2 at best."""
    if _keeps(drink) or not any(grows(part.ingredient) for part in version.parts):
        return
    highest = drink.intervals["ph"].high
    computed = f" (computed {decimals(drink.ph, 1)})" if drink.ph is not None else ""
    if drink.ph is None or highest > _ACID_FOOD_PH:
        yield (
            "pH",
            f"The pH may be above {_ACID_FOOD_PH}{computed}: it is not an acid food, and "
            "dangerous germs can grow. Without air these include botulism, which you cannot see, "
            "smell or taste. Keep it cold, use it the same day, measure the pH.",
        )
    elif highest > _CAUTION_PH:
        yield (
            "pH",
            f"The pH may be above {_CAUTION_PH}{computed}, near the limit of {_ACID_FOOD_PH} for "
            "acid foods. Measure it.",
        )


def _oil(version: Version, _drink: Composition, _sealed: bool) -> Found:
    """Fresh plants under oil are without acid and without air."""
    items = [part.ingredient for part in version.parts]
    oils = tuple(item.name for item in items if dosed.is_oil(item))
    if oils and len(items) > len(oils):
        yield (
            "oil",
            f"Fresh or moist ingredients under oil ({dosed.listed(oils)}) have neither acid nor "
            "air: botulism can grow in them. Keep it cold and use it within days.",
        )


def _fermentation(version: Version, drink: Composition, sealed: bool) -> Found:
    if not sealed or _keeps(drink):
        return
    unknown = _unknown(version, *_FERMENTABLE_FIGURES)
    hexoses = drink.sugars.glucose + drink.sugars.fructose
    disaccharides = drink.sugars.sucrose + drink.sugars.maltose
    fermentable = hexoses + disaccharides
    if unknown:
        yield (
            "fermentation",
            f"The sugar of {dosed.listed(unknown)} is not known: if yeast gets in, a sealed bottle "
            "can burst. Keep it cold and use it soon.",
        )
    elif fermentable > _FERMENTABLE_G_PER_L:
        more = carbonation.volumes(carbonation.from_sugar_g_per_l(hexoses, disaccharides))
        yield (
            "fermentation",
            f"{decimals(fermentable, 0)} g/L of fermentable sugar in a sealed bottle could make up "
            f"to {decimals(more, 0)} more volumes of CO₂ if yeast gets in, enough to burst it. "
            "Keep it cold and use it soon, or have it preserved by somebody who is qualified.",
        )


_FERMENTABLE_FIGURES: Final = tuple(
    f"{name}_g_per_100g" for name in ("sucrose", "glucose", "fructose", "maltose")
)


def _pressure(version: Version, drink: Composition, sealed: bool) -> Found:
    if not sealed:
        return
    unknown = _unknown(version, "co2_g_per_l")
    gas = drink.co2_g_per_l or 0.0
    if unknown:
        yield (
            "pressure",
            f"The CO₂ of {dosed.listed(unknown)} is not known: the bottle may be under pressure. "
            f"{carbonation.NOTICE} Never heat, freeze or reuse scratched glass.",
        )
    elif gas > carbonation.STILL_G_PER_L:
        warm = carbonation.pressure(gas, _WARMEST_C, drink.sugar_g_per_l or 0.0)
        yield (
            "pressure",
            f"At {_WARMEST_C:g} °C about {decimals(warm.gauge_bar, 1)} bar (to "
            f"{decimals(warm.high_bar, 1)}). {carbonation.NOTICE} Never heat, freeze or reuse "
            "scratched glass.",
        )


def _pasteurising(version: Version, drink: Composition, sealed: bool) -> Found:
    if sealed and not _keeps(drink) and any(grows(part.ingredient) for part in version.parts):
        yield (
            "pasteurising",
            "Heating a closed bottle raises its pressure, and bursts a carbonated one. Pasteurise "
            "only in bottles made for it, by times and temperatures that somebody qualified set.",
        )


_RULES: Final[tuple[Callable[[Version, Composition, bool], Found], ...]] = (
    _allergens,
    _alcohol,
    _fire,
    _ph,
    _oil,
    _fermentation,
    _pressure,
    _pasteurising,
    dosed.not_known,
    dosed.benzene,
    dosed.preservatives,
    dosed.caffeine,
    dosed.quinine,
    dosed.acids,
    dosed.plants,
)
