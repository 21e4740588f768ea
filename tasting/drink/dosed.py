"""Cautions about what is dosed: preservatives, caffeine, quinine, oils, and concentrated acids.

Limits are those of the EU and the US as far as they are known here, from memory unless a source is
named: Regulation (EC) No 1333/2008, annex II, for preservatives in flavoured drinks; Regulation
(EU) No 1169/2011, annexes II and III, for sulphites and caffeine; 21 CFR 184.1733 and 172.575 for
benzoate and quinine in the US; EFSA Journal 13(5):4102 (2015) for caffeine.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from tasting.drink.composition import Composition, part_grams
from tasting.drink.formula import Part, Version
from tasting.drink.pantry import Ingredient, pantry
from tasting.wording import number

Found = Iterator[tuple[str, str]]

# mg/L in flavoured drinks without milk: Regulation (EC) No 1333/2008, annex II, 14.1.4; and mg/L
# from which sulphites are an allergen to declare: Regulation (EU) No 1169/2011, annex II.
_BENZOIC_MG_PER_L: Final = 150.0
_SORBIC_MG_PER_L: Final = 300.0
_SULPHITE_MG_PER_L: Final = 10.0
# mg/L from which the EU asks for a warning; mg that a healthy adult may take at once (EFSA).
_CAFFEINE_MG_PER_L: Final = 150.0
_CAFFEINE_MG_AT_ONCE: Final = 200.0
_QUININE_MG_PER_L: Final = 83.0
# From here on a stock or a powder is handled as such (a judgement), g in 100 g.
_CONCENTRATED_G_PER_100G: Final = 20.0
_MOST_LISTED: Final = 3
_MILLIGRAMS = {"benzoate_g_per_100g": 1000.0, "sorbate_g_per_100g": 1000.0}


@dataclass(frozen=True, slots=True)
class Dose:
    """How much of something a drink holds: mg per litre as far as it is known, mg in a serving,
    and the ingredients of which nobody knows how much they bring."""

    mg_per_l: float
    mg_per_serving: float
    unknown: tuple[str, ...]

    def __bool__(self) -> bool:
        return self.mg_per_l > 0 or bool(self.unknown)

    def __str__(self) -> str:
        """As in "about 120 mg/L, and what kombucha brings, which is not known"."""
        known = f"about {number(self.mg_per_l)} mg/L" if self.mg_per_l > 0 else ""
        if not self.unknown:
            return known
        names = listed(self.unknown)
        return f"{known}{', plus ' if known else ''}an unknown amount from {names}"


def listed(names: tuple[str, ...]) -> str:
    """A few names, and that there are more."""
    more = len(names) - _MOST_LISTED
    return ", ".join(names[:_MOST_LISTED]) + (f" and {more} more" if more > 0 else "")


def figure_of(item: Ingredient, figure: str) -> float | None:
    """A figure of an ingredient, or the pantry's of the same key where that is higher or the only
    one: a version that was kept before the pantry knew it is cautioned all the same."""
    shelf = pantry().get(item.key)
    known = [getattr(one, figure) for one in (item, shelf) if one is not None]
    return max((value for value in known if value is not None), default=None)


def dose(version: Version, made: Composition, figure: str) -> Dose:
    """What all parts bring of a figure that is given in mg (or g) per 100 g."""
    milligrams, unknown = 0.0, []
    for part in version.parts:
        value = figure_of(part.ingredient, figure)
        if value is None:
            unknown.append(part.ingredient.name)
        else:
            milligrams += part_grams(part) / 100 * value * _MILLIGRAMS.get(figure, 1.0)
    per_litre = 1000 * milligrams / made.volume_ml
    return Dose(per_litre, milligrams / version.servings, tuple(dict.fromkeys(unknown)))


_DOSED: Final = {
    "caffeine_mg_per_100g": "caffeine",
    "quinine_mg_per_100g": "quinine",
    "benzoate_g_per_100g": "benzoate",
    "sorbate_g_per_100g": "sorbate",
    "sulphite_mg_per_100g": "sulphites",
}


def not_known(version: Version, made: Composition, _sealed: bool) -> Found:
    """What nobody knows of an ingredient counts as if it could be in it."""
    unknown = {name: dose(version, made, figure).unknown for figure, name in _DOSED.items()}
    what = [name for name, sources in unknown.items() if sources]
    if what:
        sources = tuple(dict.fromkeys(source for several in unknown.values() for source in several))
        yield (
            "not known",
            f"Not known of {listed(sources)}: {', '.join(what)}. Read the label before you serve "
            "it, and tell assessors.",
        )


def benzene(version: Version, made: Composition, _sealed: bool) -> Found:
    """Benzoate beside vitamin C, which every juice has."""
    found = dose(version, made, "benzoate_g_per_100g")
    vitamin = any(figure_of(part.ingredient, "ascorbic_g_per_100g") != 0 for part in version.parts)
    if found and vitamin:
        unsure = " It is not known whether both are in it." if found.mg_per_l == 0 else ""
        yield (
            "benzene",
            "Benzoate and ascorbic acid (vitamin C, including a juice's own) together can form "
            f"benzene in heat or light. Leave one of them out.{unsure}",
        )


def preservatives(version: Version, made: Composition, _sealed: bool) -> Found:
    """Benzoate, sorbate and sulphites: how much, and what is usually allowed."""
    benzoic = dose(version, made, "benzoate_g_per_100g")
    if benzoic.mg_per_l > _BENZOIC_MG_PER_L:
        yield (
            "preservatives",
            f"Benzoic acid: {benzoic}. The EU allows {_BENZOIC_MG_PER_L:g} mg/L in flavoured "
            "drinks, the US 1000 mg/L. Weigh less of it.",
        )
    sorbic = dose(version, made, "sorbate_g_per_100g")
    if sorbic.mg_per_l > 0:
        over = "more than" if sorbic.mg_per_l > _SORBIC_MG_PER_L else "within"
        yield (
            "preservatives",
            f"Sorbic acid: {sorbic}, {over} the {_SORBIC_MG_PER_L:g} mg/L that the EU allows in "
            "flavoured drinks. It slows yeasts and moulds below pH 5, not bacteria: keep it cold.",
        )
    yield from _sulphites(version, made)


def _sulphites(version: Version, made: Composition) -> Found:
    found = dose(version, made, "sulphite_mg_per_100g")
    if found.mg_per_l >= _SULPHITE_MG_PER_L:
        yield (
            "sulphites",
            f"Sulphites: {found} as SO₂. From {_SULPHITE_MG_PER_L:g} mg/L they are an allergen to "
            "declare, and can bring on asthma.",
        )


def caffeine(version: Version, made: Composition, _sealed: bool) -> Found:
    """How much a serving holds, and for whom it is too much."""
    found = dose(version, made, "caffeine_mg_per_100g")
    if found.mg_per_l > 0:
        yield "caffeine", " ".join(_about_caffeine(found, made))
    for name in _concentrated(version, "caffeine_mg_per_100g", 1000.0):
        yield (
            "caffeine",
            f"{name} can kill: 1 g causes illness, and a teaspoon contains about 3 g. Never "
            "measure it by spoon; weigh it to the milligram, or have a weak solution made by "
            "somebody qualified.",
        )


def _about_caffeine(dose: Dose, made: Composition) -> Iterator[str]:
    yield f"One serving contains about {number(dose.mg_per_serving)} mg of caffeine ({dose})."
    if dose.mg_per_serving > _CAFFEINE_MG_AT_ONCE:
        yield f"That is more than the {_CAFFEINE_MG_AT_ONCE:g} mg that an adult may take at once."
    if dose.mg_per_l > _CAFFEINE_MG_PER_L:
        yield "Tell assessors; not for children, in pregnancy or when breast-feeding."
    if made.intervals["alcohol_percent_vol"].high > 0.5:
        yield "Caffeine masks drunkenness."


def quinine(version: Version, made: Composition, _sealed: bool) -> Found:
    """How much there is, and who must avoid it."""
    found = dose(version, made, "quinine_mg_per_100g")
    if found.mg_per_l > 0:
        over = "more than" if found.mg_per_l > _QUININE_MG_PER_L else "within"
        yield (
            "quinine",
            f"Quinine: {found}, {over} the {_QUININE_MG_PER_L:g} mg/L that the US allows. Declare "
            "it; not in pregnancy, with heart rhythm trouble or medicines that forbid it.",
        )
    for name in _concentrated(version, "quinine_mg_per_100g", 1000.0):
        yield (
            "quinine",
            f"{name} is poisonous by the gram. Weigh it to the milligram, in a stock solution; "
            "home-made cinchona infusions contain an unknown amount.",
        )


def _concentrated(version: Version, figure: str, per_gram: float) -> Iterator[str]:
    """The names of ingredients that are mostly this, to begin a sentence with."""
    for part in version.parts:
        value = figure_of(part.ingredient, figure) or 0.0
        if value / per_gram >= _CONCENTRATED_G_PER_100G:
            name = part.ingredient.name
            yield name[:1].upper() + name[1:]


def acids(version: Version, _made: Composition, _sealed: bool) -> Found:
    """Powders of any acid, and its strong solutions."""
    strong = [part for part in version.parts if _mostly_acid(part)]
    powders = tuple(part.ingredient.name for part in strong if part.ingredient.form == "solid")
    liquids = tuple(part.ingredient.name for part in strong if part.ingredient.form == "liquid")
    if powders:
        yield (
            "acid powder",
            f"Acid powder ({listed(powders)}) irritates eyes and lungs: do not raise dust, and "
            "dissolve it before anybody tastes.",
        )
    if liquids:
        yield (
            "strong acid",
            f"Concentrated acid ({listed(liquids)}): protect eyes and skin, and add acid to water, "
            "never water to acid.",
        )


def _mostly_acid(part: Part) -> bool:
    """Free acid: that of a salt, such as citrate, comes with its cations."""
    item = part.ingredient
    salt = item.other_cations_meq_per_100g > 100 or (item.alkalinity_meq_per_100g or 0) > 100
    return item.acids_g_per_100g >= _CONCENTRATED_G_PER_100G and not salt


_OILS: Final = ("essential oil", "flavour oil", "flavor oil", "oil of", "aroma concentrate")
_FATTY_G_PER_100G: Final = 50.0
_OXALATE: Final = ("rhubarb", "sorrel", "spinach")


def plants(version: Version, _made: Composition, _sealed: bool) -> Found:
    """What is known by its name: essential oils, and plants with oxalate, in whatever form."""
    oils = _named(version, _OILS)
    if oils:
        yield (
            "essential oil",
            f"Essential oil ({listed(oils)}) is a concentrate: food grade only, by the drop in a "
            "whole batch, dissolved first, never neat. Some are poisonous or bring on allergy.",
        )
    sour = _named(version, _OXALATE)
    if sour:
        yield (
            "oxalate",
            f"Oxalate ({listed(sour)}): in the stalks too. People with kidney stones or kidney "
            "disease should avoid it; tell assessors.",
        )


def _named(version: Version, words: tuple[str, ...]) -> tuple[str, ...]:
    names = dict.fromkeys(part.ingredient.name for part in version.parts)
    return tuple(name for name in names if any(word in name.casefold() for word in words))


def is_oil(item: Ingredient) -> bool:
    """Whether an ingredient is mostly fat, by its figure or by its name."""
    fat = figure_of(item, "fat_g_per_100g") or 0.0
    return fat >= _FATTY_G_PER_100G or "oil" in item.name.casefold().split()
