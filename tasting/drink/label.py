"""A reference drink, known by its label and by what somebody measured on it."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from tasting.drink.formula import Id, Note
from tasting.drink.pantry import Name

Declared = Annotated[float, Field(ge=0, allow_inf_nan=False)]


class Reference(BaseModel):
    """What the label declares, and the acidity, pH and °Brix if somebody measured them.

    Values that are neither declared nor measured are None. `ta_g_per_l` is titratable acidity as
    anhydrous citric acid to pH 8.1. `invented` says that and how the data were made up.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: Id
    name: Name
    serving_ml: Annotated[float, Field(gt=0, allow_inf_nan=False)]
    alcohol_percent_vol: Annotated[float, Field(ge=0, le=100)] | None = None
    energy_kcal_per_100ml: Declared | None = None
    sugar_g_per_100ml: Declared | None = None
    ta_g_per_l: Declared | None = None
    ph: Annotated[float, Field(ge=0, le=14)] | None = None
    brix: Annotated[float, Field(ge=0, le=100)] | None = None
    allergens: tuple[Name, ...] = ()
    source_note: Note = ""
    invented: Note = ""
