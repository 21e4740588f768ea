"""What a drink costs in ingredients, from the price of a pack of each."""

from collections.abc import Mapping
from dataclasses import dataclass

from tasting.drink.composition import compose, part_grams
from tasting.drink.formula import Amount, Part, Version


@dataclass(frozen=True, slots=True)
class PackPrice:
    """What a pack costs; the currency is as it was typed."""

    pack: Amount
    price: float
    currency: str


@dataclass(frozen=True, slots=True)
class Cost:
    """Cost of the ingredients whose price is known, and the names of the others."""

    currency: str
    per_serving: float
    per_litre: float
    without_price: tuple[str, ...]


def costs(version: Version, prices: Mapping[str, PackPrice]) -> tuple[Cost, ...]:
    """One cost for each currency; prices stand by the key of their ingredient."""
    litres = version.servings * compose(version).serving().volume_ml / 1000
    missing = [part for part in version.parts if part.ingredient.key not in prices]
    names = tuple(dict.fromkeys(part.ingredient.name for part in missing))
    sums: dict[str, float] = {}
    for part in version.parts:
        pack = prices.get(part.ingredient.key)
        if pack:
            sums[pack.currency] = sums.get(pack.currency, 0.0) + _cost(part, pack)
    return tuple(
        Cost(currency, total / version.servings, total / litres, names)
        for currency, total in sums.items()
    )


def _cost(part: Part, pack: PackPrice) -> float:
    """By mass, so that a pack in g prices a part in mL, and the other way round."""
    whole = Part(ingredient=part.ingredient, amount=pack.pack)
    return pack.price * part_grams(part) / part_grams(whole)
