"""A syrup, cordial or infusion: a formula with a yield, usable as an ingredient of another.

Water boils off, solids are strained out and keep some of the liquid with them; everything else
stays. The ingredient that comes out carries its own figures, so that a preparation which contains
itself cannot be written down without being noticed.
"""

from collections.abc import Callable
from typing import Annotated, Final, Self

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, model_validator
from scipy.optimize import brentq

from tasting.drink import content
from tasting.drink.alcohol import ETHANOL_G_PER_ML
from tasting.drink.arrays import Floats
from tasting.drink.composition import Composition, compose, part_grams
from tasting.drink.formula import Version
from tasting.drink.mixture import volume_ml
from tasting.drink.pantry import ACID_FIGURES, SUGAR_FIGURES, Ingredient, Name, Slug
from tasting.errors import InputError

Positive = Annotated[float, Field(gt=0, allow_inf_nan=False)]

# A yield may come out this much larger than what went in before it counts as a slip.
_MEASURING_ERROR: Final = 0.02


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
            f"{name} would have boiled off {boiled:.0f} g, but it holds {water:.0f} g of water; "
            "check the yield"
        )
    if boiled > _MEASURING_ERROR * before and liquor[content.ETHANOL] > 0:
        raise InputError(
            f"{name} lost {boiled:.0f} g although it holds alcohol, which leaves with the steam; "
            "measure its strength and enter it as an ingredient"
        )
    return max(boiled, 0.0)


def _ingredient(preparation: Preparation, final: Floats, went_in: Composition) -> Ingredient:
    """Figures per 100 g of what is left; the CO2 has gone with the steam or the sieve."""
    mass, items = _mass(final), [part.ingredient for part in preparation.version.parts]
    share = 100 * final / mass
    density = mass / float(volume_ml(final))
    figures = dict(zip(SUGAR_FIGURES, share[content.SUGARS].tolist(), strict=True))
    figures |= dict(zip(ACID_FIGURES, share[content.ACIDS].tolist(), strict=True))
    figures |= {
        "density_kg_per_l": density,
        "alcohol_percent_vol": density * float(share[content.ETHANOL]) / ETHANOL_G_PER_ML,
        "water_g_per_100g": float(share[content.WATER]),
        "other_cations_meq_per_100g": float(1000 * share[content.CATIONS]),
        "energy_kcal_per_100g": float(share[content.KCAL]),
    }
    return Ingredient(
        key=preparation.key,
        name=preparation.name,
        allergens=went_in.allergens,
        made_from=_all_inside(items),
        notice=" ".join(dict.fromkeys(item.notice for item in items if item.notice))[:500],
        sources=dict.fromkeys(
            (figure for figure, value in figures.items() if value),
            f"computed from version {preparation.version.label}",
        ),
        ranges=_ranges(figures, went_in),
        **figures,
    )


def _all_inside(items: list[Ingredient]) -> tuple[str, ...]:
    inside = {item.key for item in items} | {key for item in items for key in item.made_from}
    return tuple(sorted(inside))


def _ranges(figures: dict[str, float], went_in: Composition) -> dict[str, tuple[float, float]]:
    """The relative widths of what went in, on the largest sugar and acid and on the energy."""
    ranges = {}
    for group, figure in (
        (SUGAR_FIGURES, "sugar_g_per_l"),
        (ACID_FIGURES, "ta_g_per_l"),
        (("energy_kcal_per_100g",), "energy_kcal_per_l"),
    ):
        whole, spread = getattr(went_in, figure), went_in.intervals[figure]
        total, largest = sum(figures[name] for name in group), max(group, key=figures.__getitem__)
        if total > 0 and whole > 0 and spread.main is not None:
            low, high = total * spread.low / whole - total, total * spread.high / whole - total
            value = figures[largest]
            ranges[largest] = (max(value + low, 0.0), value + high)
    return ranges
