"""A reference drink, known by its label and by what somebody measured on it, and whether a version
could be it."""

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt
from typing import Annotated, Final, Literal

from pydantic import BaseModel, ConfigDict, Field

from tasting.drink import declared
from tasting.drink.composition import Composition, compose
from tasting.drink.declared import LabelInterval, Rules
from tasting.drink.formula import Id, Note, Version
from tasting.drink.pantry import Name
from tasting.drink.sugar import ALCOHOL_CAVEAT

# A label speaks of 100 mL, a composition of a litre.
_PER_LITRE: Final = 10.0
Declared = Annotated[float, Field(ge=0, allow_inf_nan=False)]


class Reference(BaseModel):
    """What the label declares, and the acidity, pH and °Brix if somebody measured them.

    Values that are neither declared nor measured are None. `ta_g_per_l` is titratable acidity as
    anhydrous citric acid to pH 8.1; `brix` what a refractometer showed. `rules` says after which
    rules the label was rounded; a US label is declared per serving, give it here per 100 mL
    unrounded. `invented` says that and how the data were made up.
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
    rules: Rules = "EU"

    @property
    def energy_kcal_per_l(self) -> float | None:
        """Declared energy, kcal per litre."""
        return _per_litre(self.energy_kcal_per_100ml)

    @property
    def sugar_g_per_l(self) -> float | None:
        """Declared sugar, g per litre."""
        return _per_litre(self.sugar_g_per_100ml)


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
    computed: float
    likely: LabelInterval
    verdict: Literal["inside", "outside", "not decidable"]
    by: float
    tolerated: bool | None
    remark: str = ""


@dataclass(frozen=True, slots=True)
class _Value:
    """How one value of a reference is compared: its field there, the figure of a composition, the
    factor between them, and the kind that the rounding rules know or the repeatability of the
    measurement."""

    figure: str
    field: str
    unit: str
    per: float = 1.0
    kind: str = ""
    repeatability: Callable[[float], float] = lambda _value: 0.0


# From here alcohol shows in a refractometer (0.2 °Brix).
MISLEADING_PERCENT_VOL: Final = 0.5
# Repeatability of a measurement in a small kitchen: a judgement.
_VALUES: Final = (
    _Value("alcohol_percent_vol", "alcohol_percent_vol", "% vol", kind="alcohol"),
    _Value("energy_kcal_per_l", "energy_kcal_per_100ml", "kcal/100 mL", _PER_LITRE, "energy"),
    _Value("sugar_g_per_l", "sugar_g_per_100ml", "g/100 mL", _PER_LITRE, "sugar"),
    _Value("ta_g_per_l", "ta_g_per_l", "g/L", repeatability=lambda ta: max(0.05, 0.02 * ta)),
    _Value("ph", "ph", "", repeatability=lambda _ph: 0.05),
    _Value("refractometer_brix", "brix", "°Brix", repeatability=lambda _brix: 0.1),
)


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
    spread = (meant.high - meant.low) / 2 / sqrt(3) if value.kind else (meant.high - printed) / 1.96
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
    computed = float(getattr(composition, value.figure)) / value.per
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
        tolerated=None if tolerance is None else tolerance.low <= computed <= tolerance.high,
        remark=_remark(value, composition),
    )


def _remark(value: _Value, composition: Composition) -> str:
    alcoholic = composition.alcohol_percent_vol > MISLEADING_PERCENT_VOL
    return ALCOHOL_CAVEAT if value.field == "brix" and alcoholic else ""


def _meaning(
    value: _Value, printed: float, reference: Reference
) -> tuple[LabelInterval, LabelInterval | None]:
    if not value.kind:
        half = value.repeatability(printed)
        return LabelInterval(max(printed - half, 0.0), printed + half), None
    per_serving = reference.rules == "US" and value.kind != "alcohol"
    scale = reference.serving_ml / 100 if per_serving else 1.0
    as_printed = round(printed * scale, 6)
    rounding = declared.rounding(value.kind, as_printed, reference.rules)
    tolerance = declared.tolerance(value.kind, as_printed, reference.rules)
    return _scaled(rounding, scale), None if tolerance is None else _scaled(tolerance, scale)


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
