"""Ingredients: what is known of each, per figure, with the source of every figure.

The pantry that comes with the package stands in two tables beside this file: pantry.csv (one row
an ingredient) and pantry_figures.csv (one row a figure: value, range, source, status). A status
is `seen` (read in the source), `memory` (recalled from it, not verified), `computed`, or `practice`
(common practice, no source; what stands as its source explains the figure).
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
from tasting.drink.basis import Basis, likely_range
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
# What only adds up, and a preparation takes along as it is; the first three bear charge.
CARRIED_FIGURES = (
    "sodium_mg_per_100g",
    "chloride_mg_per_100g",
    "alkalinity_meq_per_100g",
    "polyols_g_per_100g",
    "glycerol_g_per_100g",
    "intense_sweetness_g_per_100g",
    "protein_g_per_100g",
    "fat_g_per_100g",
    "fibre_g_per_100g",
    "caffeine_mg_per_100g",
    "quinine_mg_per_100g",
    "benzoate_g_per_100g",
    "sorbate_g_per_100g",
    "sulphite_mg_per_100g",
)
_SOLIDS = (
    "polyols_g_per_100g",
    "glycerol_g_per_100g",
    "protein_g_per_100g",
    "fat_g_per_100g",
    "fibre_g_per_100g",
)
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
    *CARRIED_FIGURES,
)
# A titration to 8.1 that starts higher than this says nothing of the acid.
_SOUR_BELOW_PH = 7.5
# Juices count up to 0.9 g of "protein" (nitrogen x 6.25), most of it free amino acids, which hold
# little between pH 2.5 and 4.5; tomato 0.9, orange 0.7; cow's milk 3.3, soya drink 3, egg white 11
# (USDA, from memory). The line between is a judgement. Oat and almond drinks with added chalk or
# phosphate lie below it and are marked by hand.
_BUFFERING_PROTEIN_G_PER_100G = 1.0
_BUFFERING_ALLERGENS = frozenset({"milk", "eggs", "soybeans"})


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
    alcohol_percent_vol: Share | None = 0.0
    sucrose_g_per_100g: Share | None = 0.0
    glucose_g_per_100g: Share | None = 0.0
    fructose_g_per_100g: Share | None = 0.0
    lactose_g_per_100g: Share | None = 0.0
    maltose_g_per_100g: Share | None = 0.0
    citric_g_per_100g: Share | None = 0.0
    malic_g_per_100g: Share | None = 0.0
    tartaric_g_per_100g: Share | None = 0.0
    lactic_g_per_100g: Share | None = 0.0
    acetic_g_per_100g: Share | None = 0.0
    phosphoric_g_per_100g: Share | None = 0.0
    ascorbic_g_per_100g: Share | None = 0.0
    succinic_g_per_100g: Share | None = 0.0
    water_g_per_100g: Share | None = None
    insoluble_g_per_100g: Share = 0.0
    ta_citric_g_per_100g: Share | None = None
    ph: Annotated[float, Field(ge=0, le=14)] | None = None
    potassium_mg_per_100g: Level | None = None
    other_cations_meq_per_100g: Annotated[float, Field(allow_inf_nan=False)] = 0.0
    energy_kcal_per_100g: Level | None = None
    co2_g_per_l: Annotated[float, Field(ge=0, le=20, allow_inf_nan=False)] | None = 0.0
    sodium_mg_per_100g: Level | None = None
    chloride_mg_per_100g: Level | None = None
    alkalinity_meq_per_100g: Level | None = None
    polyols_g_per_100g: Share | None = None
    glycerol_g_per_100g: Share | None = None
    intense_sweetness_g_per_100g: Level | None = None
    protein_g_per_100g: Share | None = None
    fat_g_per_100g: Share | None = None
    fibre_g_per_100g: Share | None = None
    caffeine_mg_per_100g: Level | None = None
    quinine_mg_per_100g: Level | None = None
    benzoate_g_per_100g: Share | None = 0.0
    sorbate_g_per_100g: Share | None = None
    sulphite_mg_per_100g: Level | None = None
    buffers: bool | None = None
    notice: Annotated[str, Field(max_length=500)] = ""
    allergens: tuple[Name, ...] = ()
    made_from: tuple[Slug, ...] = ()
    sources: dict[str, Source] = {}
    ranges: dict[str, tuple[float, float]] = {}
    bases: dict[str, Basis] = {}

    @property
    def sugars_g_per_100g(self) -> float:
        """All sugars together, g per 100 g; those not known count as none."""
        return float(sum(getattr(self, figure) or 0.0 for figure in SUGAR_FIGURES))

    @property
    def acids_g_per_100g(self) -> float:
        """All named acids together, g per 100 g; those not known count as none."""
        return float(sum(getattr(self, figure) or 0.0 for figure in ACID_FIGURES))

    @property
    def ethanol_g_per_100g(self) -> float:
        """Ethanol, g per 100 g: % vol by the density of ethanol over the ingredient's own; none
        where the strength is not known."""
        return (self.alcohol_percent_vol or 0.0) * ETHANOL_G_PER_ML / self.density_kg_per_l

    @property
    def is_water(self) -> bool:
        """Whether it is plain still water, to which a solution's own water may be added."""
        solutes = self.sugars_g_per_100g + self.acids_g_per_100g + self.ethanol_g_per_100g
        also = (getattr(self, figure) for figure in (*_SOLIDS, "insoluble_g_per_100g"))
        known = None not in (self.sucrose_g_per_100g, self.citric_g_per_100g, self.co2_g_per_l)
        plain = known and not (
            solutes or self.co2_g_per_l or self.ta_citric_g_per_100g or any(also)
        )
        return plain and self.form == "liquid" and abs(self.density_kg_per_l - 0.998) < 0.003

    @property
    def holds_ph(self) -> bool:
        """Whether protein holds its pH where the acids and minerals do not tell it."""
        if self.buffers is not None:
            return self.buffers
        if self.protein_g_per_100g is not None:
            return self.protein_g_per_100g > _BUFFERING_PROTEIN_G_PER_100G
        return not _BUFFERING_ALLERGENS.isdisjoint(self.allergens)

    @model_validator(mode="before")
    @classmethod
    def _ranged(cls, given: Any) -> Any:
        """Each figure with a basis and no range gets the range of that basis."""
        if not isinstance(given, Mapping) or not isinstance(given.get("bases"), Mapping):
            return given
        ranges = dict(given.get("ranges") or {})
        for figure, basis in given["bases"].items():
            value = given.get(figure)
            if figure not in ranges and isinstance(value, int | float):
                span = likely_range(figure, value, basis)
                if span is not None:
                    ranges[figure] = span
        return {**given, "ranges": ranges}

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
        for figure in (*self.sources, *self.ranges, *self.bases):
            if figure not in FIGURES:
                raise InputError(
                    f"{figure!r} is not a figure of an ingredient; use one of: {', '.join(FIGURES)}"
                )
        for figure, (low, high) in self.ranges.items():
            value = getattr(self, figure)
            if value is None or not low <= value <= high:
                raise InputError(
                    f"the range {low:g}–{high:g} of {figure} of {self.name} does not include "
                    f"its value {value}; widen it"
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


_STATUS = {
    "seen": "seen",
    "memory": "from memory",
    "computed": "computed",
    "practice": "common practice, no source",
}


def _source(row: Mapping[str, str]) -> str:
    """What a figure rests on, as in "CRC Handbook (seen)"."""
    status = _STATUS[row["status"]]
    return f"{row['source']} ({status})" if row["source"] else status.capitalize()


@cache
def pantry() -> Mapping[str, Ingredient]:
    """All ingredients that come with the package, by key, in alphabetical order of the keys."""
    figures: dict[str, dict[str, Any]] = defaultdict(dict)
    for row in _rows("pantry_figures.csv"):
        known = figures[row["key"]]
        known[row["figure"]] = float(row["value"])
        known.setdefault("sources", {})[row["figure"]] = _source(row)
        if row["low"]:
            span = (float(row["low"]), float(row["high"]))
            known.setdefault("ranges", {})[row["figure"]] = span
    return MappingProxyType({row["key"]: _stocked(row, figures[row["key"]]) for row in _listed()})


def _listed() -> list[dict[str, str]]:
    return sorted(_rows("pantry.csv"), key=lambda row: row["key"])


# What the tables would list if a pantry ingredient held it: not listed is none, not unknown.
_NONE_UNLESS_LISTED: dict[str, Any] = dict.fromkeys(
    ("caffeine_mg_per_100g", "quinine_mg_per_100g", "sorbate_g_per_100g", "sulphite_mg_per_100g"),
    0.0,
)


def _stocked(row: dict[str, str], known: dict[str, Any]) -> Ingredient:
    """Several allergens stand in one cell with "; " between them; an empty cell says nothing."""
    given: dict[str, Any] = {column: cell for column, cell in row.items() if cell}
    given.pop("aliases", None)
    given["allergens"] = _several(row["allergens"])
    return Ingredient.model_validate(_NONE_UNLESS_LISTED | given | known)


def _several(cell: str) -> tuple[str, ...]:
    return tuple(filter(None, cell.split("; ")))


@cache
def aliases() -> Mapping[str, tuple[str, ...]]:
    """Other names under which an ingredient is looked for, by its key."""
    return MappingProxyType({row["key"]: _several(row["aliases"]) for row in _listed()})


@cache
def _names() -> Mapping[str, str]:
    """Every key, name and other name in small letters, with the key that it stands for."""
    shelf = pantry()
    also = {name.casefold(): key for key, names in aliases().items() for name in names}
    named = {item.name.casefold(): key for key, item in shelf.items()}
    return MappingProxyType(also | named | {key: key for key in shelf})


def ingredient(key_or_name: str) -> Ingredient:
    """The pantry's ingredient of that key, or of that name or another name in any case.

    Raises InputError for one that is not there, naming the closest.

    >>> ingredient("lemon juice").key, ingredient("Gin").key
    ('lemon-juice', 'juniper-spirit')
    """
    wanted, names = key_or_name.strip().casefold(), _names()
    if wanted in names:
        return pantry()[names[wanted]]
    raise InputError(
        f"no ingredient called {key_or_name!r} in the pantry; {_hint(wanted)}add it as an "
        "ingredient of your own, with what its label says"
    )


def _hint(wanted: str) -> str:
    """The names that are spelled most like the one that was not found."""
    close = get_close_matches(wanted, _names(), n=3, cutoff=0.6)
    return f"did you mean {' or '.join(close)}? Or " if close else ""
