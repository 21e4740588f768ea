"""A reference drink, known by its label and by what somebody measured on it, and whether a version
could be it."""

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt
from typing import Annotated, Any, Final, Literal, Self

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, model_validator

from tasting.drink import declared
from tasting.drink.composition import Composition, compose
from tasting.drink.declared import Kind, LabelInterval, Print, Rules
from tasting.drink.formula import Id, Note, Version
from tasting.drink.pantry import Name
from tasting.drink.sugar import ALCOHOL_CAVEAT
from tasting.errors import InputError
from tasting.records import checked

# A label speaks of 100 mL, a composition of a litre.
_PER_LITRE: Final = 10.0
Declared = Annotated[float, Field(ge=0, allow_inf_nan=False)]
# What a label prints; all else was measured.
PRINTED: Final = ("alcohol_percent_vol", "energy_kcal_per_100ml", "sugar_g_per_100ml")
_MEASURED: Final = (*PRINTED, "ta_g_per_l", "ph", "brix", "density_kg_per_l", "co2_g_per_l")
_ALCOHOLIC_PERCENT_VOL: Final = 0.5
_US_WINE_PERCENT_VOL: Final = 7.0


class Reference(BaseModel):
    """What the label declares, and acidity, pH, °Brix, density and CO₂ if somebody measured them.

    Values that are neither declared nor measured are None. `ta_g_per_l` is titratable acidity as
    anhydrous citric acid to pH 8.1; `brix` what a refractometer showed; the density is that of the
    degassed drink at 20 °C. `rules` says after which rules the label was rounded; a US label is
    declared per serving, give it here per 100 mL unrounded. `decimals` says of printed values how
    many decimals the label shows: 4.50 has two. `uncertainty` says of measured values how far the
    truth may lie from each, either way (95 %); a value that a label could print is a measured one
    where it stands there, and has no tolerance.
    `kind` decides how far the alcohol may be off. `invented` says that and how the data were made
    up. `earlier` holds what was known before each correction, the oldest first.
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
    density_kg_per_l: Annotated[float, Field(ge=0.7, le=1.6)] | None = None
    co2_g_per_l: Annotated[float, Field(ge=0, le=30)] | None = None
    allergens: tuple[Name, ...] = ()
    source_note: Note = ""
    invented: Note = ""
    rules: Rules = "EU"
    kind: Kind = "other"
    decimals: dict[str, Annotated[int, Field(ge=0, le=6)]] = {}
    uncertainty: dict[str, Annotated[float, Field(gt=0, allow_inf_nan=False)]] = {}
    earlier: "tuple[Earlier, ...]" = ()

    @model_validator(mode="after")
    def _decimals_of_what_is_printed(self) -> Self:
        for field in self.decimals:
            if field not in PRINTED:
                raise InputError(
                    f"{field!r} is not printed on a label, so it has no decimals; "
                    f"give them for: {', '.join(PRINTED)}"
                )
        return self

    @model_validator(mode="after")
    def _uncertainty_of_what_is_known(self) -> Self:
        for field in self.uncertainty:
            if field not in _MEASURED or getattr(self, field) is None:
                raise InputError(
                    f"{field!r} has an uncertainty but no value; give one for values of: "
                    f"{', '.join(_MEASURED)}"
                )
        return self

    def at(self, moment: AwareDatetime) -> "Reference":
        """The reference as it was known at a moment, without what came later."""
        for index, before in enumerate(self.earlier):
            if moment < before.until:
                return before.was.model_copy(update={"earlier": self.earlier[:index]})
        return self

    @property
    def energy_kcal_per_l(self) -> float | None:
        """Declared energy, kcal per litre."""
        return _per_litre(self.energy_kcal_per_100ml)

    @property
    def sugar_g_per_l(self) -> float | None:
        """Declared sugar, g per litre."""
        return _per_litre(self.sugar_g_per_100ml)


class Earlier(BaseModel):
    """What was known of a reference until it was corrected or completed, and why it was."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    until: AwareDatetime
    reason: Annotated[Note, Field(min_length=1)]
    was: Reference


Reference.model_rebuild()


def corrected(
    reference: Reference, values: dict[str, Any], reason: str, moment: AwareDatetime
) -> Reference:
    """The reference with other values; what was known before stays in `earlier`.

    Raises InputError for a blank reason, for values that change nothing, and for bad ones.
    """
    if not reason.strip():
        raise InputError("a correction needs its reason; say in a few words where it comes from")
    plain = reference.model_copy(update={"earlier": ()})
    after = checked(Reference, {**plain.model_dump(), **values, "id": reference.id})
    if after == plain:
        raise InputError("nothing was changed; change a value, or leave the reference as it is")
    before = Earlier(until=moment, reason=reason.strip(), was=plain)
    return after.model_copy(update={"earlier": (*reference.earlier, before)})


def _per_litre(per_100ml: float | None) -> float | None:
    return None if per_100ml is None else _PER_LITRE * per_100ml


@dataclass(frozen=True, slots=True)
class Match:
    """One declared or measured value against the composition.

    `declared` and `computed` are in `unit`; `rounding` holds what the printed or measured value can
    mean, `tolerance` what an inspector would let pass, None without a rule; `likely` is the
    composition's interval. `verdict` compares `likely` with `rounding`: wholly inside; wholly
    outside, `by` so much from its nearer end (negative: too low); or not decidable, because they
    overlap in part. `tolerated` says whether the computed value lies within the tolerance. `remark`
    holds what else must be known about the comparison, mostly nothing.
    """

    figure: str
    unit: str
    declared: float
    rounding: LabelInterval
    tolerance: LabelInterval | None
    computed: float | None
    likely: LabelInterval
    verdict: Literal["inside", "outside", "not decidable"]
    by: float
    tolerated: bool | None
    remark: str = ""


@dataclass(frozen=True, slots=True)
class _Value:
    """How one value of a reference is compared: its field there, the figure of a composition, the
    factor between them, and of what is printed the kind that the rounding rules know."""

    figure: str
    field: str
    unit: str
    per: float = 1.0
    kind: str = ""


# From here alcohol shows in a refractometer (0.2 °Brix).
MISLEADING_PERCENT_VOL: Final = 0.5
_VALUES: Final = (
    _Value("alcohol_percent_vol", "alcohol_percent_vol", "% vol", kind="alcohol"),
    _Value("energy_kcal_per_l", "energy_kcal_per_100ml", "kcal/100 mL", _PER_LITRE, "energy"),
    _Value("sugar_g_per_l", "sugar_g_per_100ml", "g/100 mL", _PER_LITRE, "sugar"),
    _Value("ta_g_per_l", "ta_g_per_l", "g/L"),
    _Value("ph", "ph", ""),
    _Value("refractometer_brix", "brix", "°Brix"),
    _Value("density_kg_per_l", "density_kg_per_l", "kg/L"),
    _Value("co2_g_per_l", "co2_g_per_l", "g/L"),
)
_REPEATED: Final[dict[str, Callable[[float], float]]] = {
    "ta_g_per_l": lambda ta: max(0.05, 0.02 * ta),
    "ph": lambda _ph: 0.05,
    "refractometer_brix": lambda _brix: 0.1,
    "density_kg_per_l": lambda _density: 0.0005,
    "co2_g_per_l": lambda co2: max(0.2, 0.05 * co2),
    "alcohol_percent_vol": lambda _strength: 0.1,
}
MEASURABLE: Final = tuple(_REPEATED)
"""The figures of a bottle that a small kitchen, or a laboratory for it, can measure."""


def repeatability(figure: str, value: float) -> float:
    """How far a measurement may lie from a figure of `MEASURABLE`, either way: density with a
    hydrometer or a weighed flask, strength after distilling; all a judgement."""
    return _REPEATED[figure](value)


def bands(reference: Reference) -> dict[str, tuple[LabelInterval, LabelInterval | None]]:
    """What each declared or measured value can mean, and the tolerance on it or None: by the figure
    of a composition and in its unit."""
    meant = {}
    for value in _VALUES:
        printed = getattr(reference, value.field)
        if printed is not None:
            rounding, tolerance = _meaning(value, float(printed), reference)
            wide = None if tolerance is None else _scaled(tolerance, 1 / value.per)
            meant[value.figure] = (_scaled(rounding, 1 / value.per), wide)
    return meant


def known(reference: Reference, figure: str) -> tuple[float, float] | None:
    """A declared or measured value by the figure of a composition and in its unit, and its standard
    uncertainty; None where it is neither declared nor measured.

    A rounding is taken as anything between its ends being equally likely, the repeatability of a
    measurement as a 95 % interval (JCGM 100:2008, GUM, 4.3.7 and 4.3.4; from memory).
    """
    value = next((value for value in _VALUES if value.figure == figure), None)
    printed = getattr(reference, value.field) if value else None
    if value is None or printed is None:
        return None
    meant, _ = _meaning(value, float(printed), reference)
    rounded = value.kind and value.field not in reference.uncertainty
    spread = (meant.high - meant.low) / 2 / sqrt(3) if rounded else (meant.high - printed) / 1.96
    return value.per * printed, value.per * spread


def matches(drink: Version | Composition, reference: Reference) -> tuple[Match, ...]:
    """Each declared or measured value of a reference against a version, in a fixed order."""
    composition = compose(drink) if isinstance(drink, Version) else drink
    return tuple(
        _match(value, composition, reference)
        for value in _VALUES
        if getattr(reference, value.field) is not None
    )


def _match(value: _Value, composition: Composition, reference: Reference) -> Match:
    printed = float(getattr(reference, value.field))
    rounding, tolerance = _meaning(value, printed, reference)
    spread = composition.intervals[value.figure]
    known = getattr(composition, value.figure)
    computed = None if known is None else float(known) / value.per
    likely = LabelInterval(max(spread.low / value.per, 0.0), spread.high / value.per)
    verdict, by = _verdict(likely, rounding)
    return Match(
        figure=value.field,
        unit=value.unit,
        declared=printed,
        rounding=rounding,
        tolerance=tolerance,
        computed=computed,
        likely=likely,
        verdict=verdict,
        by=by,
        tolerated=_tolerated(computed, tolerance),
        remark=_remark(value, composition),
    )


def _tolerated(computed: float | None, tolerance: LabelInterval | None) -> bool | None:
    if computed is None or tolerance is None:
        return None
    return tolerance.low <= computed <= tolerance.high


def _remark(value: _Value, composition: Composition) -> str:
    alcoholic = composition.at_most("alcohol_percent_vol") > MISLEADING_PERCENT_VOL
    return ALCOHOL_CAVEAT if value.field == "brix" and alcoholic else ""


def _meaning(
    value: _Value, printed: float, reference: Reference
) -> tuple[LabelInterval, LabelInterval | None]:
    stated = reference.uncertainty.get(value.field)
    if stated or not value.kind:
        half = stated or repeatability(value.figure, printed)
        return LabelInterval(max(printed - half, 0.0), printed + half), None
    per_serving = reference.rules == "US" and value.kind != "alcohol"
    scale = reference.serving_ml / 100 if per_serving else 1.0
    label = Print(
        value=round(printed * scale, 6),
        rules=reference.rules,
        decimals=reference.decimals.get(value.field),
        kind=reference.kind,
        alcoholic=_alcoholic_in_us(reference),
    )
    tolerance = declared.tolerance(value.kind, label)
    wide = None if tolerance is None else _scaled(tolerance, scale)
    return _scaled(declared.rounding(value.kind, label), scale), wide


def _alcoholic_in_us(reference: Reference) -> bool:
    """Whether TTB's rules hold in the US; wine and cider below 7 % vol are labelled as food (27 CFR
    4.10, from memory)."""
    weak = reference.kind in ("wine", "cider")
    least = _US_WINE_PERCENT_VOL if weak else _ALCOHOLIC_PERCENT_VOL
    return (reference.alcohol_percent_vol or 0.0) >= least


def _scaled(interval: LabelInterval, scale: float) -> LabelInterval:
    return LabelInterval(interval.low / scale, interval.high / scale)


def _verdict(
    likely: LabelInterval, allowed: LabelInterval
) -> tuple[Literal["inside", "outside", "not decidable"], float]:
    if likely.low > allowed.high:
        return "outside", likely.low - allowed.high
    if likely.high < allowed.low:
        return "outside", likely.high - allowed.low
    if allowed.low <= likely.low and likely.high <= allowed.high:
        return "inside", 0.0
    return "not decidable", 0.0
