"""From the bench to a batch: scaled amounts, rounded to what the scale and the cylinder can show.

What is too little to weigh is measured out of a stock solution, made with a weighable amount.
"""

import math
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Annotated, Final

from pydantic import BaseModel, ConfigDict, Field, model_validator

from tasting.drink.composition import Composition, compose, part_grams
from tasting.drink.declared import nearest
from tasting.drink.formula import Amount, Part, Version
from tasting.drink.pantry import Ingredient, ingredient
from tasting.drink.preparation import Preparation, prepared
from tasting.errors import InputError
from tasting.wording import short

Step = Annotated[float, Field(gt=0, allow_inf_nan=False)]

# Strengths of stock solutions in % by mass, the strongest that gives a measurable volume first.
_STRENGTHS: Final = (10.0, 1.0, 0.1)
# The version behind a stock is nobody's draft and needs no true time.
_ANY_TIME: Final = datetime(2000, 1, 1, tzinfo=UTC)
_STOCK_G: Final = 100.0
# So many steps of a measure are needed to be right to 5 %.
_FINE_STEPS: Final = 10


class Kit(BaseModel):
    """The measures at hand: the steps of the scale, of the cylinder and of a syringe, which takes
    what it can hold; what the scale needs to weigh reliably, by default ten of its steps."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    scale_step_g: Step = 0.1
    least_weighed_g: Step | None = None
    cylinder_step_ml: Step = 1.0
    syringe_step_ml: Step = 0.1
    syringe_ml: Step = 20.0

    @property
    def least_g(self) -> float:
        """The least that is weighed."""
        given = self.least_weighed_g
        return _FINE_STEPS * self.scale_step_g if given is None else given

    @model_validator(mode="after")
    def _coarse_and_fine(self) -> "Kit":
        if self.syringe_step_ml > self.cylinder_step_ml:
            raise InputError("the syringe's step must not be coarser than the cylinder's")
        return self


_LARGEST: Final = 1e6
"""Servings or litres that a batch may have."""


@dataclass(frozen=True, slots=True)
class Stock:
    """A stock solution: so many % by mass of the ingredient, made from these grams of it and of
    water, and the mL of it that the batch needs."""

    ingredient: Ingredient
    percent: float
    solute_g: float
    water_g: float
    volume_ml: float


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the batch sheet: the exact amount, what is measured out, and how far that is off,
    in %. With a stock, the measured amount is its volume."""

    name: str
    exact: Amount
    measured: Part
    error_percent: float
    stock: Stock | None


@dataclass(frozen=True, slots=True)
class Batch:
    """The batch sheet, what it makes as measured out, and the exact composition to compare with.

    The water of the stocks is taken out of the recipe's own; `too_much_water_g` is what there was
    no water to take it out of.
    """

    lines: tuple[Line, ...]
    too_much_water_g: float
    servings: float
    composition: Composition
    exact: Composition

    @property
    def parts(self) -> tuple[Part, ...]:
        """What is measured out, stocks included."""
        return tuple(line.measured for line in self.lines)


def batch(
    version: Version,
    *,
    servings: float | None = None,
    litres: float | None = None,
    kit: Kit | None = None,
) -> Batch:
    """A version scaled to so many servings, or to so many litres, and rounded to the kit.

    Raises InputError when not exactly one size above zero is given, or when an amount is too small
    for every measure.
    """
    exact = compose(version)
    factor = _factor(version, exact, servings, litres)
    tools = kit or Kit()
    lines, left = _lines(version, factor, tools)
    made = version.model_copy(
        update={"parts": tuple(x.measured for x in lines), "servings": version.servings * factor}
    )
    return Batch(lines, left, version.servings * factor, compose(made), exact)


def _factor(
    version: Version, exact: Composition, servings: float | None, litres: float | None
) -> float:
    sizes = [size for size in (servings, litres) if size is not None]
    if len(sizes) != 1 or not (math.isfinite(sizes[0]) and sizes[0] > 0):
        raise InputError("give the size of the batch once, in servings or in litres, above zero")
    if sizes[0] > _LARGEST:
        raise InputError(f"a batch of {sizes[0]:.3g} is too large; check the number")
    if servings is not None:
        return servings / version.servings
    return 1000 * sizes[0] / exact.volume_ml


def _lines(version: Version, factor: float, kit: Kit) -> tuple[tuple[Line, ...], float]:
    """All lines, and the water of stocks in g that no water of the recipe makes room for."""
    waters = [part for part in version.parts if part.ingredient.is_water]
    there = factor * sum((part_grams(part) for part in waters), 0.0)
    lines = {
        index: _line(part, factor * part_grams(part), kit)
        for index, part in enumerate(version.parts)
        if part not in waters
    }
    brought = sum((_stock_water_g(line) for line in lines.values()), 0.0)
    if brought < there:
        kept = factor * (1 - brought / there)
        lines |= {
            index: _line(part, kept * part_grams(part), kit)
            for index, part in enumerate(version.parts)
            if part in waters
        }
    return tuple(line for _, line in sorted(lines.items())), max(brought - there, 0.0)


def _stock_water_g(line: Line) -> float:
    stock = line.stock
    if stock is None:
        return 0.0
    return stock.volume_ml * stock.ingredient.density_kg_per_l * (1 - stock.percent / 100)


def _line(part: Part, grams: float, kit: Kit) -> Line:
    item = part.ingredient
    weighed = item.form == "solid" or part.amount.unit in ("g", "kg")
    if weighed and grams < kit.least_g:
        if item.form == "solid" and most_dissolved_percent(item) > 0:
            return _from_stock(item, grams, kit)
        weighed = item.form == "solid"
    exact = grams if weighed else grams / item.density_kg_per_l
    unit, step = ("g", kit.scale_step_g) if weighed else ("mL", _step_ml(exact, kit))
    rounded = nearest(exact, step)
    if rounded <= 0:
        raise InputError(
            f"{short(exact, 3)} {unit} of {item.name} is too little to measure; make a larger "
            "batch or dilute it first"
        )
    return Line(
        name=item.name,
        exact=Amount(quantity=exact, unit=unit),
        measured=Part(ingredient=item, amount=Amount(quantity=rounded, unit=unit)),
        error_percent=100 * (rounded / exact - 1),
        stock=None,
    )


def _step_ml(exact_ml: float, kit: Kit) -> float:
    return kit.syringe_step_ml if exact_ml <= kit.syringe_ml else kit.cylinder_step_ml


def _from_stock(item: Ingredient, grams: float, kit: Kit) -> Line:
    most = most_dissolved_percent(item)
    for percent in (strength for strength in _STRENGTHS if strength <= most):
        solution = stock_solution(item, percent)
        exact_ml = grams / (percent / 100) / solution.density_kg_per_l
        if exact_ml >= _FINE_STEPS * kit.syringe_step_ml:
            break
    rounded = nearest(exact_ml, _step_ml(exact_ml, kit))
    if rounded <= 0:
        raise InputError(
            f"{short(grams, 2)} g of {item.name} is too little even for a {percent:g} % solution; "
            "make a larger batch"
        )
    solute = max(_STOCK_G * percent / 100, kit.least_g)
    return Line(
        name=item.name,
        exact=Amount(quantity=grams, unit="g"),
        measured=Part(ingredient=solution, amount=Amount(quantity=rounded, unit="mL")),
        error_percent=100 * (rounded / exact_ml - 1),
        stock=Stock(solution, percent, solute, solute * (100 / percent - 1), rounded),
    )


# What must be known of a solid to be sure that it dissolves: sugars, acids, salts, polyols and the
# water of its crystals, so many g in 100 g.
_KNOWN_TO_DISSOLVE: Final = 75.0
_SOLUTES: Final = ("polyols_g_per_100g", "benzoate_g_per_100g", "sorbate_g_per_100g")
_SOLUTES_MG: Final = ("sodium_mg_per_100g", "chloride_mg_per_100g", "sulphite_mg_per_100g")
_BICARBONATE_G_PER_MEQ: Final = 0.0610
# % by mass in cold water, well below saturation: caffeine 2 g/100 mL, succinic acid 6 g/100 mL,
# lactose 18 g/100 mL at 20 to 25 °C, quinine 0.05 g/100 mL, which needs alcohol or acid (Merck
# Index, from memory).
_SPARINGLY: Final = {
    "quinine_mg_per_100g": 0.0,
    "caffeine_mg_per_100g": 1.0,
    "succinic_g_per_100g": 5.0,
    "lactose_g_per_100g": 10.0,
}
# So much of it in 100 g decides how well the whole dissolves, g.
_MOST_OF_IT: Final = 50.0


def most_dissolved_percent(item: Ingredient) -> float:
    """Up to which strength, % by mass, a solid certainly dissolves in water: 0 for leaves, fruit,
    fat, protein and whatever is not known well enough."""
    swims = (
        (item.fat_g_per_100g or 0) + (item.protein_g_per_100g or 0) + (item.fibre_g_per_100g or 0)
    )
    if item.insoluble_g_per_100g > 0 or swims > 1:
        return 0.0
    limits = [most for figure, most in _SPARINGLY.items() if _grams(item, figure) > _MOST_OF_IT]
    if limits:
        return min(limits)
    return 100.0 if _known_to_dissolve(item) >= _KNOWN_TO_DISSOLVE else 0.0


def _grams(item: Ingredient, figure: str) -> float:
    return float(getattr(item, figure) or 0.0) / (1000 if "_mg_" in figure else 1)


def _known_to_dissolve(item: Ingredient) -> float:
    salts = sum(_grams(item, figure) for figure in (*_SOLUTES, *_SOLUTES_MG))
    bicarbonate = _BICARBONATE_G_PER_MEQ * (item.alkalinity_meq_per_100g or 0.0)
    named = item.sugars_g_per_100g + item.acids_g_per_100g + salts + bicarbonate
    return named + (item.water_g_per_100g or 0.0)


def stock_solution(item: Ingredient, percent: float) -> Ingredient:
    """An ingredient dissolved in water to so many % by mass, as an ingredient of its own.

    Raises InputError for a strength outside 0 to 100 %, or for what does not dissolve so far.
    """
    if item.form == "solid" and percent > most_dissolved_percent(item) and 0 < percent < 100:
        raise InputError(f"{item.name} is not known to dissolve to {percent:g} %; weigh it instead")
    if not 0 < percent < 100:
        raise InputError(f"a solution of {percent:g} % cannot be made; take 0–100 %")
    parts = (
        Part(ingredient=item, amount=Amount(quantity=percent, unit="g")),
        Part(ingredient=ingredient("water"), amount=Amount(quantity=100 - percent, unit="g")),
    )
    return prepared(
        Preparation(
            key=f"{item.key[:50]}-{percent:g}-percent".replace(".", "-"),
            name=f"{item.name[:100]}, {percent:g} % w/w",
            version=Version(id="stock", label="stock", parts=parts, created_at=_ANY_TIME),
        )
    )
