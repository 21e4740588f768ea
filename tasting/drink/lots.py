"""A lot of an ingredient that somebody measured: titration, refractometer, pH meter.

What was measured replaces what the pantry says; the proportions of the sugars and of the acids
among themselves stay the usual ones.
"""

from typing import Annotated, Any, Final, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from tasting.drink import acidity, content, sugar
from tasting.drink.pantry import ACID_FIGURES, SUGAR_FIGURES, Ingredient
from tasting.errors import InputError

Positive = Annotated[float, Field(gt=0, allow_inf_nan=False)]

# How well a small kitchen measures (a judgement): acidity 2 %, pH 0.05, °Brix 0.2.
_TA_REPEATABILITY: Final = 0.02
_PH_REPEATABILITY: Final = 0.05
_BRIX_REPEATABILITY: Final = 0.2
MEASURED: Final = "measured on this lot"


class Measured(BaseModel):
    """What was measured on a lot, degassed and at 20 °C; what was not is None.

    A titration to pH 8.1 needs both the sample and the base. °Brix is the refractometer's reading
    as shown, uncorrected.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    sample_ml: Positive | None = None
    base_ml: Annotated[float, Field(ge=0, allow_inf_nan=False)] | None = None
    base_normality: Positive = 0.1
    brix: Annotated[float, Field(ge=0, le=85)] | None = None
    ph: Annotated[float, Field(ge=0, le=14)] | None = None
    density_kg_per_l: Annotated[float, Field(gt=0.7, lt=2)] | None = None

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if (self.sample_ml is None) != (self.base_ml is None):
            raise InputError("a titration needs both the mL of sample and the mL of base; add one")
        if self.base_ml is None and self.brix is None and self.ph is None:
            raise InputError("nothing was measured; give a titration, °Brix or pH")
        return self

    @property
    def ta_g_per_l(self) -> float | None:
        """Titratable acidity as anhydrous citric acid, g/L, or None."""
        if self.sample_ml is None or self.base_ml is None:
            return None
        return acidity.titrated_g_per_l(self.base_ml, self.sample_ml, self.base_normality)


def lot(usual: Ingredient, measured: Measured, *, key: str, name: str) -> Ingredient:
    """The ingredient as it was measured, under a key and a name of its own.

    The density follows from °Brix (as of sucrose, ICUMSA) where it was not measured itself. A
    measured pH outweighs the potassium: the cations are then inferred from it. Raises InputError
    for °Brix of something with alcohol, which falsifies the reading, or of a solid.
    """
    if measured.brix is not None and (usual.ethanol_g_per_100g > 0.4 or usual.form == "solid"):
        raise InputError(
            f"°Brix does not show the sugar of {usual.name}, which is a solid or contains alcohol; "
            "leave °Brix out"
        )
    figures = usual.model_dump()
    figures |= {"key": key, "name": name}
    for step in (_density, _titration, _ph, _brix, _energy):
        step(figures, measured)
    return Ingredient.model_validate(figures)


def _set(figures: dict[str, Any], figure: str, value: float, half: float) -> None:
    figures[figure] = value
    figures["sources"][figure] = MEASURED
    figures["ranges"][figure] = (max(value - half, 0.0), value + half)


def _forget(figures: dict[str, Any], *names: str) -> None:
    for figure in names:
        figures["ranges"].pop(figure, None)
        figures["sources"].pop(figure, None)


def _density(figures: dict[str, Any], measured: Measured) -> None:
    density = measured.density_kg_per_l
    if density is None and measured.brix is not None:
        density = float(sugar.density_kg_per_m3(measured.brix / 100)) / 1000
    if density is not None:
        _set(figures, "density_kg_per_l", density, 0.001)


def _titration(figures: dict[str, Any], measured: Measured) -> None:
    ta = measured.ta_g_per_l
    if ta is not None:
        share = ta / figures["density_kg_per_l"] / 10
        _set(figures, "ta_citric_g_per_100g", share, _TA_REPEATABILITY * share)
        for figure in ACID_FIGURES:
            figures["ranges"].pop(figure, None)


def _ph(figures: dict[str, Any], measured: Measured) -> None:
    if measured.ph is not None:
        _set(figures, "ph", measured.ph, _PH_REPEATABILITY)
        figures |= {"potassium_mg_per_100g": None, "other_cations_meq_per_100g": 0.0}
        _forget(figures, "potassium_mg_per_100g", "other_cations_meq_per_100g")


def _brix(figures: dict[str, Any], measured: Measured) -> None:
    """Sugar is what the reading leaves beside acid and the usual other solids."""
    if measured.brix is None:
        return
    now = content.content(Ingredient.model_validate(figures))
    acids, other = 100 * now[content.ACIDS].sum(), 100 * now[content.OTHER]
    total = max(measured.brix - sugar.ACID_READS * acids - other, 0.0)
    usual = [figures[figure] for figure in SUGAR_FIGURES]
    shares = [part / sum(usual) for part in usual] if any(usual) else [1.0, 0, 0, 0, 0]
    for figure, share in zip(SUGAR_FIGURES, shares, strict=True):
        if share:
            _set(figures, figure, share * total, share * _BRIX_REPEATABILITY)
    if figures["water_g_per_100g"] is not None:
        figures["water_g_per_100g"] = max(100 - total - acids - other, 0.0)
        figures["sources"]["water_g_per_100g"] = "by difference from what was measured on this lot"


def _energy(figures: dict[str, Any], measured: Measured) -> None:
    """The usual energy no longer holds where sugar or acid were measured; it is computed then."""
    if measured.brix is not None or measured.base_ml is not None:
        figures["energy_kcal_per_100g"] = None
        _forget(figures, "energy_kcal_per_100g")
