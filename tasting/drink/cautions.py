"""What to take care of with a drink, in plain words.

These are reminders, not advice: each defers to local codes and licensed practice. Nothing here
ever says that a drink is free of something; only what was declared of the ingredients is listed.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from tasting.drink import carbonation
from tasting.drink.composition import Composition, compose, part_grams
from tasting.drink.formula import Version

DEFER: Final = "Local codes and licensed practice decide."

# Acid foods end at pH 4.6 (21 CFR 114.3); 4.2 leaves room for how well pH is known (a judgement).
_ACID_FOOD_PH: Final = 4.6
_CAUTION_PH: Final = 4.2
_WARMEST_C: Final = 40.0
# Above this the alcohol itself keeps most things from growing (common practice, no source).
_KEEPING_PERCENT_VOL: Final = 20.0
# What must be warned of as alcohol: 27 CFR part 16 from 0.5 % vol.
_ALCOHOLIC_PERCENT_VOL: Final = 0.5
_FERMENTABLE_G_PER_L: Final = 1.0


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: a short kind, such as "pressure", and the text to show."""

    kind: str
    text: str


def cautions(version: Version, *, sealed: bool = False) -> tuple[Caution, ...]:
    """The cautions that apply to a version, in a sealed bottle or served fresh."""
    composition = compose(version)
    notes = [Caution(kind, f"{text} {DEFER}") for kind, text in _notices(version)]
    for rule in _RULES:
        for kind, text in rule(version, composition, sealed):
            notes.append(Caution(kind, f"{text} {DEFER}"))
    return tuple(notes)


def _notices(version: Version) -> Iterator[tuple[str, str]]:
    for text in dict.fromkeys(part.ingredient.notice for part in version.parts):
        if text:
            yield "ingredient", text


Found = Iterator[tuple[str, str]]


def _allergens(_version: Version, drink: Composition, _sealed: bool) -> Found:
    if drink.allergens:
        yield (
            "allergens",
            f"Declared allergens: {', '.join(drink.allergens)}. Tell every assessor before the "
            "tasting; blinding never hides them. Other ingredients may hold traces.",
        )
    if "gluten cereals" in drink.allergens:
        yield "gluten", "An ingredient is made from cereals with gluten."


def _alcohol(_version: Version, drink: Composition, _sealed: bool) -> Found:
    if drink.alcohol_percent_vol > _ALCOHOLIC_PERCENT_VOL:
        yield (
            "alcohol",
            f"One serving holds {drink.serving().alcohol_g:.1f} g of alcohol: adults only, not in "
            "pregnancy, before driving or with medicines that forbid it.",
        )


def _ph(_version: Version, drink: Composition, _sealed: bool) -> Found:
    """By the upper end of the likely interval, since the computed pH is good to 0.2 at best."""
    highest = drink.intervals["ph"].high
    if drink.alcohol_percent_vol >= _KEEPING_PERCENT_VOL or drink.brix < 0.1:
        return
    if highest > _ACID_FOOD_PH:
        yield (
            "pH",
            f"The pH may be above {_ACID_FOOD_PH} (computed {drink.ph:.1f}): it is no acid food, "
            "and dangerous germs can grow. Keep it cold, use it the same day, measure the pH.",
        )
    elif highest > _CAUTION_PH:
        yield (
            "pH",
            f"The pH may be above {_CAUTION_PH} (computed {drink.ph:.1f}), near the limit of "
            f"{_ACID_FOOD_PH} for acid foods. Measure it.",
        )


def _fermentation(_version: Version, drink: Composition, sealed: bool) -> Found:
    fermentable = drink.sugar_g_per_l - drink.sugars.lactose
    weak = drink.alcohol_percent_vol < _KEEPING_PERCENT_VOL
    if sealed and weak and fermentable > _FERMENTABLE_G_PER_L:
        more = carbonation.volumes(carbonation.from_sugar_g_per_l(fermentable))
        yield (
            "fermentation",
            f"{fermentable:.0f} g/L of fermentable sugar in a sealed bottle could make up to "
            f"{more:.0f} more volumes of CO₂ if yeast gets in, enough to burst it. Keep it cold "
            "and use it soon, or have it preserved by somebody who is qualified.",
        )


def _pressure(_version: Version, drink: Composition, sealed: bool) -> Found:
    if sealed and drink.co2_g_per_l > carbonation.STILL_G_PER_L:
        warm = carbonation.pressure(drink.co2_g_per_l, _WARMEST_C, drink.sugar_g_per_l)
        yield (
            "pressure",
            f"At {_WARMEST_C:g} °C about {warm.gauge_bar:.1f} bar (to {warm.high_bar:.1f}). "
            f"{carbonation.NOTICE} Never heat, freeze or reuse scratched glass.",
        )


def _benzene(version: Version, drink: Composition, _sealed: bool) -> Found:
    benzoate = sum(part_grams(p) * p.ingredient.benzoate_g_per_100g for p in version.parts)
    if benzoate > 0 and drink.acids.ascorbic > 0:
        yield (
            "benzene",
            "Benzoate and ascorbic acid (vitamin C, also a juice's own) together can form benzene "
            "in heat or light. Leave one of them out.",
        )


_RULES: Final[tuple[Callable[[Version, Composition, bool], Found], ...]] = (
    _allergens,
    _alcohol,
    _ph,
    _fermentation,
    _pressure,
    _benzene,
)
