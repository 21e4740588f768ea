"""An ingredient of the host's own, from what is known of it and how. Pure functions, no page.

What is not known stays unknown: None, and never zero.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final, Literal

from tasting.drink.acidity import ACIDS, CITRIC_G_PER_EQ
from tasting.drink.basis import Basis
from tasting.drink.pantry import ACID_FIGURES, CARRIED_FIGURES, Ingredient
from tasting.drink.shelf import Known
from tasting.errors import InputError
from tasting.records import checked
from tasting.ui.drinks import draft as drafting

SUGAR, TA, PH, STRENGTH, GAS = (
    "sucrose_g_per_100g",
    "ta_citric_g_per_100g",
    "ph",
    "alcohol_percent_vol",
    "co2_g_per_l",
)
NONE_OF: Final = {"sugar": SUGAR, "acid": TA, "alcohol": STRENGTH, "CO₂": GAS}
"""What an ingredient can certainly be free of, and the figure that is 0 then."""

Per = Literal["100 g", "100 mL"]
_AS_TYPED: Final = ("density_kg_per_l", PH, STRENGTH, GAS)
# Salts of potassium and other cations hold 0 to 0.7, mostly 0.3, of what titrates, by the juices
# and wines of the pantry. It stands for what nobody measured where the pH is not known either.
_SALTS_OF_ACID: Final = 0.3
_MOST_SALTS_OF_ACID: Final = 0.7


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed of an ingredient. Figures are named as in an Ingredient, None is not known;
    they are per 100 g or per 100 mL, pH, strength, density and CO2 as always. `none_of` says of
    what there is certainly none, `acid` which acid it mostly is (empty: not known), `basis` how the
    figures are known but for those in `bases`, `halves` by how much a figure may be off."""

    figures: Mapping[str, float | None]
    source: str
    form: Literal["liquid", "solid"] = "liquid"
    per: Per = "100 g"
    acid: str = ""
    none_of: Sequence[str] = ()
    basis: Basis = "typical"
    bases: Mapping[str, Basis] = field(default_factory=dict)
    halves: Mapping[str, float | None] = field(default_factory=dict)
    allergens: Sequence[str] = ()
    holds_ph: bool = False


def own_ingredient(name: str, typed: Typed, taken: Known | None = None) -> Ingredient:
    """An ingredient that is not in the pantry. Raises InputError, also for a `taken` name."""
    name, source = drafting.free_name(name, taken or {}), typed.source.strip()
    given = {figure: value for figure, value in typed.figures.items() if value is not None}
    if "density_kg_per_l" not in given:
        raise InputError("the density is missing; weigh a measured volume, g divided by mL")
    if not source:
        raise InputError("say where the figures come from; a label, a measurement, an estimate")
    _check_none(typed, given)
    known = _per_100g(given, typed.per)
    values = {
        **_unknown(typed, known),
        **known,
        "key": drafting.own_key(name),
        "name": name,
        "form": typed.form,
        "allergens": tuple(typed.allergens),
        "buffers": True if typed.holds_ph else None,
        "bases": {figure: typed.bases.get(figure, typed.basis) for figure in known},
        "ranges": _ranges(typed, known),
        "sources": dict.fromkeys(known, source),
    }
    return checked(Ingredient, _with_acid(values, typed, known))


def _check_none(typed: Typed, given: Mapping[str, float]) -> None:
    for what in typed.none_of:
        if given.get(NONE_OF[what]):
            raise InputError(
                f"there is {what} in the figures, but it is marked as containing none; correct one "
                "of the two"
            )


def _per_100g(given: Mapping[str, float], per: Per) -> dict[str, float]:
    density = given["density_kg_per_l"]
    divide = density if per == "100 mL" and density > 0 else 1.0
    return {
        figure: value if figure in _AS_TYPED else value / divide for figure, value in given.items()
    }


def _unknown(typed: Typed, known: Mapping[str, float]) -> dict[str, float | None]:
    """Nothing where there is certainly none, and None where that is not known. A solid holds
    neither alcohol nor gas."""
    dry = ("alcohol", "CO₂") if typed.form == "solid" else ()
    none = {NONE_OF[what] for what in (*typed.none_of, *dry)}
    figures: dict[str, float | None] = {
        figure: 0.0 if figure in none else None for figure in NONE_OF.values()
    }
    return figures | dict.fromkeys((name for name in CARRIED_FIGURES if name not in known), None)


def _with_acid(values: dict[str, Any], typed: Typed, known: Mapping[str, float]) -> dict[str, Any]:
    """The titrated acidity as the acid that it mostly is, with the salts that usually hold some of
    it where no pH says so; unknown acid where nothing was titrated."""
    figure = f"{typed.acid}_g_per_100g" if typed.acid in ACIDS else ACID_FIGURES[0]
    if values[TA] is None:
        return values | {figure: None}
    if not values[TA]:
        return values
    acid = {figure: values[TA]}
    if PH in known or typed.form == "solid":
        return values | acid
    milliequivalents = 1000 * values[TA] / CITRIC_G_PER_EQ
    salts = "other_cations_meq_per_100g"
    span = {salts: (0.0, _MOST_SALTS_OF_ACID * milliequivalents)}
    said = {salts: "0–0.7 of the acidity, as in juices and wines, because the pH is missing"}
    more = {"ranges": values["ranges"] | span, "sources": values["sources"] | said}
    return values | acid | more | {salts: _SALTS_OF_ACID * milliequivalents}


def _ranges(typed: Typed, known: Mapping[str, float]) -> dict[str, tuple[float, float]]:
    """Ranges that were typed, as far to either side; the others follow from how it is known."""
    ranges = {}
    density = known["density_kg_per_l"] or 1.0
    for figure, half in typed.halves.items():
        if half and figure in known:
            room = half if figure in _AS_TYPED or typed.per == "100 g" else half / density
            ranges[figure] = (max(known[figure] - room, 0.0), known[figure] + room)
    return ranges
