"""A syrup, cordial or infusion: a formula with a yield, usable as an ingredient of another.

Water boils off, solids are strained out and keep some of the liquid with them; everything else
stays. The ingredient that comes out carries its own figures, so that a preparation which contains
itself cannot be written down without being noticed.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Final, Self

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, model_validator
from scipy.optimize import brentq

from tasting.drink import computable, content
from tasting.drink.alcohol import ETHANOL_G_PER_ML
from tasting.drink.arrays import Floats
from tasting.drink.composition import Composition, compose, part_grams
from tasting.drink.formula import Part, Version
from tasting.drink.mixture import volume_ml
from tasting.drink.pantry import (
    ACID_FIGURES,
    CARRIED_FIGURES,
    SUGAR_FIGURES,
    Ingredient,
    Name,
    Slug,
)
from tasting.errors import InputError

Positive = Annotated[float, Field(gt=0, allow_inf_nan=False)]

# A yield may come out this much larger than what went in before it counts as a slip.
_MEASURING_ERROR: Final = 0.02
# With less protein that holds the pH than this, the acids and minerals tell the pH (`computable`).
_MOST_BUFFER_G_PER_100G: Final = computable.MOST_BUFFER_G_PER_L / 10


class Yield(BaseModel):
    """What came out: its volume, its mass or its °Brix (sugars and acids, g per 100 g), at most one
    of them, and the wet mass of solids strained out. Nothing given: all that went in."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    volume_ml: Positive | None = None
    mass_g: Positive | None = None
    brix: Annotated[float, Field(gt=0, le=85)] | None = None
    strained_g: Annotated[float, Field(ge=0, allow_inf_nan=False)] = 0.0

    @model_validator(mode="after")
    def _one(self) -> Self:
        if sum(value is not None for value in (self.volume_ml, self.mass_g, self.brix)) > 1:
            raise InputError("give the yield once: its volume, its mass or its °Brix")
        return self


class Preparation(BaseModel):
    """A version with its yield, and the key and name under which it becomes an ingredient."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    key: Slug
    name: Name
    version: Version
    yields: Yield = Yield()

    @model_validator(mode="after")
    def _not_from_itself(self) -> Self:
        for part in self.version.parts:
            item = part.ingredient
            if self.key == item.key or self.key in item.made_from:
                through = "" if self.key == item.key else f", through {item.name}"
                raise InputError(f"{self.name} would be made from itself{through}; take it out")
        return self


def prepared(preparation: Preparation) -> Ingredient:
    """The ingredient that a preparation yields.

    Raises InputError when the yield cannot come from what went in: more than it, or less than what
    does not boil off, or boiled off a liquid that loses alcohol too.
    """
    version, yields = preparation.version, preparation.yields
    went_in = sum(
        (part_grams(part) * content.content(part.ingredient) for part in version.parts),
        np.zeros(content.WIDTH),
    )
    solids = _insoluble_g(version) if yields.strained_g else 0.0
    liquor = went_in.copy()
    liquor[content.OTHER] -= min(solids, liquor[content.OTHER])
    kept_back = max(yields.strained_g - solids, 0.0)
    liquor[content.WATER] -= _boiled_off_g(preparation, liquor, kept_back)
    return _ingredient(preparation, liquor, compose(version))


def _insoluble_g(version: Version) -> float:
    return sum(part_grams(p) * p.ingredient.insoluble_g_per_100g / 100 for p in version.parts)


def _mass(totals: Floats) -> float:
    return float(totals[content.MASSES].sum())


def _boiled_off_g(preparation: Preparation, liquor: Floats, kept_back: float) -> float:
    """Water that left as steam, so that the rest, less what the solids keep back, is the yield."""
    yields, before = preparation.yields, _mass(liquor)
    if yields.mass_g is not None:
        boiled = before - kept_back - yields.mass_g
    elif yields.brix is not None:
        solids = float(liquor[content.SUGARS].sum() + liquor[content.ACIDS].sum())
        boiled = before - 100 * solids / yields.brix
    elif yields.volume_ml is not None:
        boiled = _boiled_to_volume(preparation.name, liquor, kept_back, yields.volume_ml)
    else:
        boiled = 0.0
    return _plausible(preparation.name, boiled, before, float(liquor[content.WATER]), liquor)


def _boiled_to_volume(name: str, liquor: Floats, kept_back: float, target_ml: float) -> float:
    left = _left_after(liquor, kept_back)
    most = min(float(liquor[content.WATER]), _mass(liquor) - kept_back)
    if left(0.0) <= target_ml <= left(0.0) * (1 + _MEASURING_ERROR):
        return 0.0
    if not left(most) <= target_ml <= left(0.0):
        raise InputError(
            f"{name} cannot yield {target_ml:g} mL: from what went in come between "
            f"{left(most):.0f} and {left(0.0):.0f} mL; check the yield and what was strained out"
        )
    return float(brentq(lambda boiled: left(boiled) - target_ml, 0.0, most))


def _left_after(liquor: Floats, kept_back: float) -> Callable[[float], float]:
    """Volume of the yield after so much water has boiled off."""

    def left(boiled: float) -> float:
        rest = liquor.copy()
        rest[content.WATER] -= boiled
        mass = _mass(rest)
        return float(volume_ml(rest)) * max(1 - kept_back / mass, 0.0) if mass > 0 else 0.0

    return left


def _plausible(name: str, boiled: float, before: float, water: float, liquor: Floats) -> float:
    if boiled < -_MEASURING_ERROR * before:
        raise InputError(
            f"{name} yields more, or weaker, than what went in; check the yield and the amounts"
        )
    if boiled > water:
        raise InputError(
            f"{name} would have boiled off {boiled:.0f} g, but it contains {water:.0f} g of water; "
            "check the yield"
        )
    if boiled > _MEASURING_ERROR * before and liquor[content.ETHANOL] > 0:
        raise InputError(
            f"{name} lost {boiled:.0f} g although it contains alcohol, which leaves with the "
            "steam; measure its strength and enter it as an ingredient"
        )
    return max(boiled, 0.0)


def _ingredient(preparation: Preparation, final: Floats, went_in: Composition) -> Ingredient:
    """Figures per 100 g of what is left; the CO2 has gone with the steam or the sieve."""
    version, mass = preparation.version, _mass(final)
    items = [part.ingredient for part in version.parts]
    carried = _carried(preparation, mass)
    figures = _left(final, mass, carried) | {name: held.value for name, held in carried.items()}
    return Ingredient(
        key=preparation.key,
        name=preparation.name,
        allergens=went_in.allergens,
        made_from=_all_inside(items),
        notice=" ".join(dict.fromkeys(item.notice for item in items if item.notice))[:500],
        buffers=bool(100 * final[content.BUFFER] > _MOST_BUFFER_G_PER_100G * mass),
        sources=_sources(figures, carried, version.label),
        ranges=_ranges(figures, went_in) | _carried_ranges(carried),
        **figures,
    )


Figures = dict[str, float | None]


def _left(final: Floats, mass: float, carried: Mapping[str, "_Held"]) -> Figures:
    """What the totals tell, per 100 g; None where too much of it comes from what is not known."""
    share = 100 * final / mass
    density = mass / float(volume_ml(final))
    figures: Figures = dict(zip(SUGAR_FIGURES, share[content.SUGARS].tolist(), strict=True))
    figures |= dict(zip(ACID_FIGURES, share[content.ACIDS].tolist(), strict=True))
    figures |= {
        "density_kg_per_l": density,
        "alcohol_percent_vol": density * float(share[content.ETHANOL]) / ETHANOL_G_PER_ML,
        "water_g_per_100g": float(share[content.WATER]),
        "other_cations_meq_per_100g": float(1000 * share[content.CATIONS]) - _charge(carried),
        "energy_kcal_per_100g": float(share[content.KCAL]),
    }
    missing = computable.unknown_of(final, float(volume_ml(final)), of_acids=True)
    return figures | dict.fromkeys((_MEANS[name] for name in missing if name in _MEANS), None)


# What stands for a figure of a drink that is not known, in an ingredient.
_MEANS: Final = {
    "ta_g_per_l": ACID_FIGURES[0],
    "sugar_g_per_l": SUGAR_FIGURES[0],
    "alcohol_percent_vol": "alcohol_percent_vol",
    "energy_kcal_per_l": "energy_kcal_per_100g",
}


@dataclass(frozen=True, slots=True)
class _Held:
    """So much of a carried figure per 100 g, with its range, from the parts that say it; None where
    none does. `silent` names the parts that do not."""

    value: float | None
    low: float
    high: float
    silent: tuple[str, ...]


def _carried(preparation: Preparation, mass: float) -> dict[str, _Held]:
    """All that only adds up; fibre that is strained out stays behind."""
    parts = preparation.version.parts
    strained = bool(preparation.yields.strained_g)
    return {figure: _held(figure, parts, mass, strained) for figure in CARRIED_FIGURES}


def _held(figure: str, parts: Sequence[Part], mass: float, strained: bool) -> _Held:
    total, down, up, known = 0.0, 0.0, 0.0, False
    for part in parts:
        item, share = part.ingredient, part_grams(part) / mass
        value = getattr(item, figure)
        if value is None:
            continue
        low, high = item.ranges.get(figure, (value, value))
        if strained and figure == "fibre_g_per_100g":
            value = max(value - item.insoluble_g_per_100g, 0.0)
            low, high = min(low, value), value
        known, total = True, total + share * value
        down, up = down + (share * (value - low)) ** 2, up + (share * (high - value)) ** 2
    silent = dict.fromkeys(
        part.ingredient.name for part in parts if getattr(part.ingredient, figure) is None
    )
    low, high = max(total - down**0.5, 0.0), total + up**0.5
    return _Held(total if known else None, low, high, tuple(silent))


def _charge(carried: Mapping[str, _Held]) -> float:
    """The cations in meq per 100 g that the carried figures will bring by themselves."""
    salts = (carried[figure].value for figure in CARRIED_FIGURES[:3])
    return float(content.charge_meq(*(np.nan if value is None else value for value in salts)))


def _sources(figures: Figures, carried: Mapping[str, _Held], label: str) -> dict[str, str]:
    """Where each figure comes from, and which parts do not say theirs."""
    made = f"computed from version {label}"
    sources = {figure: made for figure, value in figures.items() if value}
    for figure, held in carried.items():
        if held.value and held.silent:
            sources[figure] = f"{made}; not known of {', '.join(held.silent)}"[:500]
    return sources


def _carried_ranges(carried: Mapping[str, _Held]) -> dict[str, tuple[float, float]]:
    return {
        figure: (held.low, held.high)
        for figure, held in carried.items()
        if held.value is not None and held.low < held.high
    }


def _all_inside(items: list[Ingredient]) -> tuple[str, ...]:
    inside = {item.key for item in items} | {key for item in items for key in item.made_from}
    return tuple(sorted(inside))


def _ranges(figures: Figures, went_in: Composition) -> dict[str, tuple[float, float]]:
    """The relative widths of what went in, on the largest sugar and acid, on strength, density and
    energy."""
    ranges = {}
    for group, figure in _GROUPS:
        known = {name: value for name in group if (value := figures[name]) is not None}
        whole, spread = getattr(went_in, figure), went_in.intervals[figure]
        total = sum(known.values())
        if total > 0 and whole and len(known) == len(group) and spread.main is not None:
            largest = max(known, key=known.__getitem__)
            low, high = total * spread.low / whole - total, total * spread.high / whole - total
            value = known[largest]
            ranges[largest] = (max(value + low, 0.0), value + high)
    return ranges


_GROUPS: Final = (
    (SUGAR_FIGURES, "sugar_g_per_l"),
    (ACID_FIGURES, "ta_g_per_l"),
    (("alcohol_percent_vol",), "alcohol_percent_vol"),
    (("density_kg_per_l",), "density_kg_per_l"),
    (("energy_kcal_per_100g",), "energy_kcal_per_l"),
)
