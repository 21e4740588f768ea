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
    """The batch sheet, what it makes as measured out, and the exact composition to compare with."""

    lines: tuple[Line, ...]
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
    lines = tuple(_line(part, factor, tools) for part in version.parts)
    made = version.model_copy(
        update={"parts": tuple(x.measured for x in lines), "servings": version.servings * factor}
    )
    return Batch(lines, version.servings * factor, compose(made), exact)


def _factor(
    version: Version, exact: Composition, servings: float | None, litres: float | None
) -> float:
    sizes = [size for size in (servings, litres) if size is not None]
    if len(sizes) != 1 or not (math.isfinite(sizes[0]) and sizes[0] > 0):
        raise InputError("give the size of the batch once, in servings or in litres, above zero")
    if servings is not None:
        return servings / version.servings
    return 1000 * sizes[0] / exact.volume_ml


def _line(part: Part, factor: float, kit: Kit) -> Line:
    item, grams = part.ingredient, factor * part_grams(part)
    weighed = item.form == "solid" or part.amount.unit in ("g", "kg")
    if weighed and grams < kit.least_g:
        if item.form == "solid":
            return _from_stock(item, grams, kit)
        weighed = False
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
    for percent in _STRENGTHS:
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


def stock_solution(item: Ingredient, percent: float) -> Ingredient:
    """An ingredient dissolved in water to so many % by mass, as an ingredient of its own.

    Raises InputError for a strength outside 0 to 100 %.
    """
    if not 0 < percent < 100:
        raise InputError(f"a solution of {percent:g} % cannot be made; take 0 to 100 %")
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
