"""Ingredients: what is known of each, per figure, with the source of every figure.

The pantry that comes with the package stands in two tables beside this file: pantry.csv (one row
an ingredient) and pantry_figures.csv (one row a figure: value, range, source, status). A status
is `seen` (read in the source), `memory` (recalled, not verified) or `computed`.
"""

import csv
from collections import defaultdict
from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from tasting.drink.acidity import ACIDS
from tasting.drink.alcohol import ETHANOL_G_PER_ML
from tasting.drink.sugar import SUGARS
from tasting.errors import InputError
from tasting.records import OneLine, Tidy

Name = Annotated[str, Field(min_length=1, max_length=120), OneLine]
Slug = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{0,63}$")]
Share = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]
Level = Annotated[float, Field(ge=0, allow_inf_nan=False)]
Source = Annotated[str, Field(max_length=500), Tidy]

SUGAR_FIGURES = tuple(f"{sugar}_g_per_100g" for sugar in SUGARS)
ACID_FIGURES = tuple(f"{acid}_g_per_100g" for acid in ACIDS)
FIGURES = (
    "density_kg_per_l",
    "alcohol_percent_vol",
    *SUGAR_FIGURES,
    *ACID_FIGURES,
    "water_g_per_100g",
    "insoluble_g_per_100g",
    "ta_citric_g_per_100g",
    "ph",
    "potassium_mg_per_100g",
    "other_cations_meq_per_100g",
    "energy_kcal_per_100g",
    "co2_g_per_l",
    "benzoate_g_per_100g",
)
# A titration to 8.1 that starts higher than this says nothing of the acid.
_SOUR_BELOW_PH = 7.5


class Ingredient(BaseModel):
    """What goes into a drink. Shares are g per 100 g; densities at 20 °C, degassed.

    A solid's density is that of the spooned powder: it turns spoons into grams and says nothing of
    the volume in the drink. Figures that are None are not known. Where only the titratable acidity
    is known, it stands for citric acid. Where pH is known and potassium is not, the strong cations
    are inferred from the pH; where potassium is known, pH is only there to compare with. Energy
    that is not known is computed from sugars, acids and alcohol. Benzoate counts as benzoic acid
    and only for the cautions, not in the acidity. `made_from` lists the preparations inside.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    key: Slug
    name: Name
    form: Literal["liquid", "solid"] = "liquid"
    density_kg_per_l: Annotated[float, Field(gt=0.05, lt=3, allow_inf_nan=False)]
    alcohol_percent_vol: Share = 0.0
    sucrose_g_per_100g: Share = 0.0
    glucose_g_per_100g: Share = 0.0
    fructose_g_per_100g: Share = 0.0
    lactose_g_per_100g: Share = 0.0
    maltose_g_per_100g: Share = 0.0
    citric_g_per_100g: Share = 0.0
    malic_g_per_100g: Share = 0.0
    tartaric_g_per_100g: Share = 0.0
    lactic_g_per_100g: Share = 0.0
    acetic_g_per_100g: Share = 0.0
    phosphoric_g_per_100g: Share = 0.0
    ascorbic_g_per_100g: Share = 0.0
    water_g_per_100g: Share | None = None
    insoluble_g_per_100g: Share = 0.0
    ta_citric_g_per_100g: Share | None = None
    ph: Annotated[float, Field(ge=0, le=14)] | None = None
    potassium_mg_per_100g: Level | None = None
    other_cations_meq_per_100g: Annotated[float, Field(allow_inf_nan=False)] = 0.0
    energy_kcal_per_100g: Level | None = None
    co2_g_per_l: Annotated[float, Field(ge=0, le=20, allow_inf_nan=False)] = 0.0
    benzoate_g_per_100g: Share = 0.0
    notice: Annotated[str, Field(max_length=500)] = ""
    allergens: tuple[Name, ...] = ()
    made_from: tuple[Slug, ...] = ()
    sources: dict[str, Source] = {}
    ranges: dict[str, tuple[float, float]] = {}

    @property
    def sugars_g_per_100g(self) -> float:
        """All sugars together, g per 100 g."""
        return float(sum(getattr(self, figure) for figure in SUGAR_FIGURES))

    @property
    def acids_g_per_100g(self) -> float:
        """All named acids together, g per 100 g."""
        return float(sum(getattr(self, figure) for figure in ACID_FIGURES))

    @property
    def ethanol_g_per_100g(self) -> float:
        """Ethanol, g per 100 g: % vol by the density of ethanol over the ingredient's own."""
        return self.alcohol_percent_vol * ETHANOL_G_PER_ML / self.density_kg_per_l

    @model_validator(mode="after")
    def _adds_up(self) -> Self:
        # A little room for figures that were rounded one by one, and 3 g for a lot that is richer
        # than the usual one whose water was measured.
        dissolved = self.sugars_g_per_100g + self.acids_g_per_100g + self.ethanol_g_per_100g
        if dissolved > 100.5 or dissolved + (self.water_g_per_100g or 0.0) > 103:
            raise InputError(
                f"the sugars, acids, alcohol and water of {self.name} add up to more than 100 g "
                "in 100 g; lower one of them"
            )
        return self

    @model_validator(mode="after")
    def _acid_where_there_is_acidity(self) -> Self:
        if self.ta_citric_g_per_100g and self.ph is not None and self.ph > _SOUR_BELOW_PH:
            raise InputError(
                f"{self.name} has titratable acidity, but its pH of {self.ph:g} is hardly below "
                "8.1, where a titration ends; leave one of them out"
            )
        return self

    @model_validator(mode="after")
    def _figures_known(self) -> Self:
        for figure in (*self.sources, *self.ranges):
            if figure not in FIGURES:
                raise InputError(
                    f"{figure!r} is not a figure of an ingredient; use one of: {', '.join(FIGURES)}"
                )
        for figure, (low, high) in self.ranges.items():
            value = getattr(self, figure)
            if value is None or not low <= value <= high:
                raise InputError(
                    f"the range {low:g} to {high:g} of {figure} of {self.name} does not hold its "
                    f"value {value}; widen it"
                )
        return self


def by_hand(ingredient: Ingredient, grams: float) -> tuple[str, float]:
    """The unit in which an ingredient is measured out, g of a solid and mL of a liquid, and how
    many of it these grams are."""
    if ingredient.form == "solid":
        return "g", grams
    return "mL", grams / ingredient.density_kg_per_l


def _rows(table: str) -> Iterator[dict[str, str]]:
    text = files("tasting.drink").joinpath(table).read_text(encoding="utf-8")
    yield from csv.DictReader(text.splitlines())


@cache
def pantry() -> Mapping[str, Ingredient]:
    """All ingredients that come with the package, by key, in alphabetical order of the keys."""
    figures: dict[str, dict[str, Any]] = defaultdict(dict)
    for row in _rows("pantry_figures.csv"):
        known = figures[row["key"]]
        known[row["figure"]] = float(row["value"])
        known.setdefault("sources", {})[row["figure"]] = f"{row['source']} ({row['status']})"
        if row["low"]:
            span = (float(row["low"]), float(row["high"]))
            known.setdefault("ranges", {})[row["figure"]] = span
    return MappingProxyType({row["key"]: _stocked(row, figures[row["key"]]) for row in _listed()})


def _listed() -> list[dict[str, str]]:
    return sorted(_rows("pantry.csv"), key=lambda row: row["key"])


def _stocked(row: dict[str, str], known: dict[str, Any]) -> Ingredient:
    """Several allergens stand in one cell with "; " between them."""
    allergens = tuple(filter(None, row["allergens"].split("; ")))
    return Ingredient.model_validate({**row, "allergens": allergens} | known)


def ingredient(key_or_name: str) -> Ingredient:
    """The pantry's ingredient of that key, or of that name in any case.

    Raises InputError for one that is not there, naming the closest.

    >>> ingredient("lemon juice").key
    'lemon-juice'
    """
    wanted = key_or_name.strip().lower()
    shelf = pantry()
    if wanted in shelf:
        return shelf[wanted]
    by_name = {item.name.lower(): item for item in shelf.values()}
    if wanted in by_name:
        return by_name[wanted]
    close = get_close_matches(wanted, [*shelf, *by_name], n=3, cutoff=0.5)
    hint = f"did you mean {' or '.join(close)}?" if close else "see the pantry for what there is"
    raise InputError(f"no ingredient called {key_or_name!r} in the pantry; {hint}")
