"""An ingredient of the host's own, from what is known of it and how. Pure functions, no page.

What is not known stays unknown: None, and never zero.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import hypot
from typing import Any, Final, Literal

from tasting.drink.acidity import ACIDS, CITRIC_G_PER_EQ
from tasting.drink.basis import Basis, likely_range
from tasting.drink.pantry import ACID_FIGURES, CARRIED_FIGURES, Ingredient
from tasting.drink.shelf import Known
from tasting.drink.uncertainty import density_model_kg_per_l
from tasting.drink.unmeasured_density import density_per_100_g, density_per_100_ml
from tasting.errors import InputError
from tasting.records import all_faults, checked
from tasting.ui.drinks import draft as drafting

_DENSITY = "density_kg_per_l"
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
_AS_TYPED: Final = (_DENSITY, PH, STRENGTH, GAS)
BASES: Final[Mapping[Basis, str]] = {
    "label": "from a label",
    "measured": "measured",
    "typical": "typical of its kind",
    "guess": "a guess",
}
"""How figures are known; it says where they come from where nobody says more."""
_COMPUTED: Final = "computed from its sugar and alcohol"
_SAID_NONE: Final = "said to contain none"
# Powder as it lies in a spoon: without a source of its own it is only weighed, never spooned.
_POWDER: Final = 0.8
# What 2 g of acid and other solids in 100 g, usual in a cordial, add to the density, in kg/L (a
# judgement).
_OTHER_SOLIDS: Final = 0.01
# Salts of potassium and other cations hold 0 to 0.7, mostly 0.3, of what titrates, by the juices
# and wines of the pantry. It stands for what nobody measured where the pH is not known either.
_SALTS_OF_ACID: Final = 0.3
_MOST_SALTS_OF_ACID: Final = 0.7


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed of an ingredient. Figures are named as in an Ingredient, None is not known;
    they are per 100 g or per 100 mL, pH, strength, density and CO2 as always. `none_of` says of
    what there is certainly none, `acid` which acid it mostly is (empty: not known), `basis` how the
    figures are known but for those in `bases`, `halves` by how much a figure may be off,
    `unanswered` what is still asked for."""

    figures: Mapping[str, float | None]
    source: str = ""
    form: Literal["liquid", "solid"] = "liquid"
    per: Per = "100 g"
    acid: str = ""
    none_of: Sequence[str] = ()
    basis: Basis = "typical"
    bases: Mapping[str, Basis] = field(default_factory=dict)
    halves: Mapping[str, float | None] = field(default_factory=dict)
    allergens: Sequence[str] = ()
    holds_ph: bool = False
    unanswered: Sequence[str] = ()


def own_ingredient(name: str, typed: Typed, taken: Known | None = None) -> Ingredient:
    """An ingredient that is not in the pantry. Raises InputError with all that is wrong at once,
    also for a `taken` name."""
    faults = [*drafting.name_faults(name, taken or {}), *_faults(typed)]
    if faults:
        raise InputError(all_faults(faults))
    return _made(name.strip(), drafting.own_key(name), typed)


def changed(known: Ingredient, typed: Typed) -> Ingredient:
    """The same ingredient, better known: under its key and its name. Raises InputError."""
    faults = list(_faults(typed))
    if faults:
        raise InputError(all_faults(faults))
    return _made(known.name, known.key, typed)


def _made(name: str, key: str, typed: Typed) -> Ingredient:
    given, density = _given(typed), _density(typed)
    known = _per_100g({_DENSITY: density, **given}, typed.per)
    source = typed.source.strip() or BASES[typed.basis]
    said_none = {STRENGTH: _SAID_NONE} if "alcohol" in typed.none_of else {}
    values = {
        **_unknown(typed, known),
        **known,
        "key": key,
        "name": name,
        "form": typed.form,
        "allergens": tuple(typed.allergens),
        "buffers": True if typed.holds_ph else None,
        "bases": {figure: typed.bases.get(figure, typed.basis) for figure in given},
        "ranges": _ranges(typed, known) | (_density_range(typed) if _DENSITY not in given else {}),
        "sources": {**_density_source(typed), **dict.fromkeys(given, source), **said_none},
    }
    return checked(Ingredient, _with_acid(values, typed, known))


def _given(typed: Typed) -> dict[str, float]:
    return {figure: value for figure, value in typed.figures.items() if value is not None}


def _faults(typed: Typed) -> Iterator[str]:
    """What is wrong with the figures."""
    yield from typed.unanswered
    given = _given(typed)
    for what in typed.none_of:
        if given.get(NONE_OF[what]):
            yield f"it contains {what} by its figures, but none as marked; correct one of the two"
    if _DENSITY not in given and typed.form == "liquid" and not typed.unanswered:
        yield from _density_faults(typed)


def _density_faults(typed: Typed) -> Iterator[str]:
    known, none = _given(typed), {NONE_OF[what] for what in typed.none_of}
    if not {SUGAR, STRENGTH} <= known.keys() | none:
        yield (
            "the density is missing: give sugar and alcohol, from which it is computed, or weigh a "
            "measured volume (g divided by mL)"
        )
        return
    try:
        _density(typed)
    except InputError as error:
        yield str(error)


def _density(typed: Typed) -> float:
    """As given, or computed from sugar, acid and alcohol, in kg/L; of a powder a usual one."""
    given = _given(typed)
    if _DENSITY in given:
        return given[_DENSITY]
    if typed.form == "solid":
        return _POWDER
    computed = density_per_100_g if typed.per == "100 g" else density_per_100_ml
    return computed(*(given.get(figure, 0.0) for figure in (SUGAR, TA, STRENGTH)))


def _density_source(typed: Typed) -> dict[str, str]:
    """Of a powder that nobody weighed there is none."""
    return {_DENSITY: _COMPUTED} if typed.form == "liquid" else {}


def _density_range(typed: Typed) -> dict[str, tuple[float, float]]:
    """As far as sugar and alcohol leave a computed density open; where the acid is not known, it is
    likely denser."""
    given, usual = _given(typed), _density(typed)
    if typed.form == "solid":
        return {}
    strength, sugar = given.get(STRENGTH, 0.0), given.get(SUGAR, 0.0)
    parts = [density_model_kg_per_l(strength, 10 * sugar)]
    for figure in (SUGAR, STRENGTH):
        span = likely_range(figure, given.get(figure, 0.0), typed.bases.get(figure, typed.basis))
        if figure in given and span:
            moved = replace(typed, figures={**given, figure: span[0]})
            parts.append(_density(moved) - usual)
    half = hypot(*parts)
    others = 0.0 if TA in given or "acid" in typed.none_of else _OTHER_SOLIDS
    return {_DENSITY: (usual - half, usual + hypot(half, others))}


def typed_of(known: Ingredient) -> Typed | None:
    """What was typed of an ingredient, to change it; None of one that was made in another way."""
    computed = known.sources.get(_DENSITY) == _COMPUTED
    named = {*known.bases} - ({_DENSITY} if computed else set())
    none_of = [what for what, figure in NONE_OF.items() if _is_none(known, figure)]
    acids = [acid for acid in ACIDS if getattr(known, f"{acid}_g_per_100g")]
    bases = {figure: known.bases[figure] for figure in named}
    usual: Basis = next(iter(bases.values()), "label")
    said = next((known.sources[figure] for figure in named if figure in known.sources), "")
    typed = Typed(
        figures={figure: getattr(known, figure) for figure in named},
        source="" if said == BASES[usual] else said,
        form=known.form,
        acid=acids[0] if acids and known.ta_citric_g_per_100g else "",
        none_of=none_of,
        basis=usual,
        bases={figure: basis for figure, basis in bases.items() if basis != usual},
        halves={figure: half for figure in named if (half := _half(known, figure))},
        allergens=known.allergens,
        holds_ph=known.buffers or False,
    )
    return typed if _is_made_of(known, typed) else None


def _is_none(known: Ingredient, figure: str) -> bool:
    dry = known.form == "solid" and figure in (STRENGTH, GAS)
    return getattr(known, figure) == 0 and figure not in known.bases and not dry


def _half(known: Ingredient, figure: str) -> float | None:
    """By how much a figure may be off where somebody said so."""
    value, span = getattr(known, figure), known.ranges.get(figure)
    if not span or span == likely_range(figure, value, known.bases[figure]):
        return None
    return float(span[1] - value)


def _is_made_of(known: Ingredient, typed: Typed) -> bool:
    try:
        again = changed(known, typed)
    except InputError:
        return False
    beside = {"sources", "ranges"}
    return again.model_dump(exclude=beside) == known.model_dump(exclude=beside)


def _per_100g(given: Mapping[str, float], per: Per) -> dict[str, float]:
    density = given[_DENSITY]
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
    density = known[_DENSITY] or 1.0
    for figure, half in typed.halves.items():
        if half and figure in known:
            room = half if figure in _AS_TYPED or typed.per == "100 g" else half / density
            ranges[figure] = (max(known[figure] - room, 0.0), known[figure] + room)
    return ranges
