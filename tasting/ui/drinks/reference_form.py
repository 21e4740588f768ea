"""A reference from what was typed, and back to text. Pure functions, no page."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Final, TypeVar

from tasting.drink.declared import Kind, Rules
from tasting.drink.label import PRINTED, Reference
from tasting.errors import InputError
from tasting.reading import read_plus_minus
from tasting.records import checked
from tasting.store.formulas import new_id
from tasting.wording import decimals, exact, short, three_digits

Read = TypeVar("Read")


@dataclass(frozen=True, slots=True)
class Value:
    """What may be known of a reference: its name, its unit, the largest and the smallest value of
    it per 100 mL (or as it is), and the words for unknown."""

    name: str
    unit: str
    largest: float
    unknown: str
    smallest: float = 0.0


VALUES: Final = {
    "alcohol_percent_vol": Value("Declared alcohol", "% vol", 100, "not declared"),
    "energy_kcal_per_100ml": Value("Declared energy", "kcal/100 mL", 900, "not declared"),
    "sugar_g_per_100ml": Value("Declared sugar", "g/100 mL", 150, "not declared"),
    "ta_g_per_l": Value("Measured TA", "g/L", 200, "not measured"),
    "ph": Value("Measured pH", "", 14, "not measured"),
    "brix": Value("Measured by refractometer", "°Brix", 100, "not measured"),
    "density_kg_per_l": Value("Measured density", "kg/L", 1.6, "not measured", 0.7),
    "co2_g_per_l": Value("Measured CO₂", "g/L", 30, "not measured"),
}
RULES: Final[dict[Rules, str]] = {
    "EU": "EU, per 100 mL",
    "UK": "UK, per 100 mL",
    "US": "US, per serving",
}
KINDS: Final[dict[Kind, str]] = {
    "other": "Spirit-based, soft or any other",
    "beer": "Beer",
    "cider": "Cider, mead or fruit wine",
    "wine": "Grape wine",
    "macerated": "With macerated fruit or plants",
}
_PER_100ML: Final = "/100 mL"
_DECIMALS: Final = re.compile(r"[.,]([0-9]*)\s*$")


def title(field: str, rules: Rules) -> str:
    """The name of a value with the unit in which it is printed."""
    value = VALUES[field]
    unit = value.unit.replace(_PER_100ML, " per serving") if rules == "US" else value.unit
    return f"{value.name}, {unit}".rstrip(", ")


def asked(field: str) -> str:
    """The same in a form, where the rules are chosen besides."""
    per_100ml = title(field, "EU")
    return f"{per_100ml} (US: per serving)" if _per_amount(field) else per_100ml


def _per_amount(field: str) -> bool:
    return VALUES[field].unit.endswith(_PER_100ML)


def _servings(field: str, rules: Rules, serving_ml: float) -> float:
    """How many times 100 mL the amount holds for which a value is printed."""
    per_serving = rules == "US" and _per_amount(field)
    return serving_ml / 100 if per_serving else 1.0


def text(reference: Reference, field: str) -> str:
    """A value as it is printed on the label, or measured, with its uncertainty where that is known;
    empty where the value is not."""
    value, half = getattr(reference, field), reference.uncertainty.get(field)
    if value is None:
        return ""
    times = _servings(field, reference.rules, reference.serving_ml)
    printed, places = round(value * times, 6), reference.decimals.get(field)
    known = exact(printed) if places is None else decimals(printed, places)
    return f"{known} ± {exact(round(half * times, 6))}" if half else known


def measured_text(field: str, value: float, half: float, reference: Reference) -> str:
    """A value that was measured, and how far the truth may lie from it, as it is typed."""
    times = _servings(field, reference.rules, reference.serving_ml)
    return f"{decimals(value * times, 2)} ± {three_digits(half * times)}"


def changes(before: Reference, after: Reference) -> Iterator[str]:
    """What a correction changed, as in "Measured pH: 3.1 (before: not measured)"."""
    for field, value in VALUES.items():
        old, new = text(before, field), text(after, field)
        if old != new:
            name = title(field, after.rules)
            yield f"{name}: {new or value.unknown} (before: {old or value.unknown})"
    for field in ("name", "serving_ml", "rules", "kind", "allergens", "source_note"):
        if getattr(before, field) != getattr(after, field):
            yield f"{field.removesuffix('_ml').replace('_', ' ').capitalize()}: changed"


def values_of(
    typed: Mapping[str, Any], taken: Sequence[str], known: Reference | None = None
) -> dict[str, Any]:
    """The fields of a reference from what was typed. Raises InputError with all that is wrong.

    taken: the names of the other references; known: the reference that filled in the form
    """
    name, faults = typed["name"].strip(), list(_named(typed["name"].strip(), taken))
    serving_ml = _collected(faults, lambda: _serving_ml(typed["serving_ml"])) or 1.0
    rules: Rules = typed["rules"]
    read = {
        field: _collected(faults, partial(_value, field, typed[field], rules, serving_ml))
        for field in VALUES
    }
    if faults:
        raise InputError("; ".join(faults))
    values = {
        **typed,
        **{field: value[0] if value else None for field, value in read.items()},
        "name": name,
        "serving_ml": serving_ml,
        "source_note": typed["source_note"].strip(),
        "decimals": dict(_decimals(typed)),
        "uncertainty": {field: value[1] for field, value in read.items() if value and value[1]},
    }
    return values | _as_before(values, typed, known) if known else values


def _named(name: str, taken: Sequence[str]) -> Iterator[str]:
    if not name:
        yield "the reference has no name; give it one"
    if name.casefold() in [known.casefold() for known in taken]:
        yield f"a reference is called {name!r} already; add the lot, the year or the date"


def _serving_ml(typed: str) -> float:
    serving_ml = _number("Serving, mL", typed, 0, 5000)[0] if typed.strip() else 0.0
    if not serving_ml:
        raise InputError("the serving is missing; say how many mL, as on the label")
    return serving_ml


def _collected(faults: list[str], read: Callable[[], Read]) -> Read | None:
    """What was read; None where it could not be, with the fault beside the others."""
    try:
        return read()
    except InputError as error:
        faults.append(str(error))
        return None


def _as_before(
    values: Mapping[str, Any], typed: Mapping[str, Any], known: Reference
) -> dict[str, Any]:
    """The values whose text nobody touched, to the last digit, and what is known of their decimals;
    unless what they are printed for has changed."""
    if (values["rules"], values["serving_ml"]) != (known.rules, known.serving_ml):
        return {}
    same = [field for field in VALUES if typed[field] == text(known, field)]
    kept: dict[str, Any] = {field: getattr(known, field) for field in same}
    for what in ("decimals", "uncertainty"):
        typed_now = {field: n for field, n in values[what].items() if field not in same}
        before = {field: n for field, n in getattr(known, what).items() if field in same}
        kept[what] = before | typed_now
    return kept


def _decimals(typed: Mapping[str, Any]) -> Iterator[tuple[str, int]]:
    for field in PRINTED:
        if typed[field].strip() and "±" not in typed[field]:
            shown = _DECIMALS.search(typed[field])
            yield field, min(len(shown[1]), 6) if shown else 0


def new_reference(typed: Mapping[str, Any], taken: Sequence[str]) -> Reference:
    """The reference to keep. Raises InputError with one sentence."""
    return checked(Reference, {**values_of(typed, taken), "id": new_id()})


def _value(
    field: str, typed: str, rules: Rules, serving_ml: float
) -> tuple[float, float | None] | None:
    """A value and its uncertainty; None where nothing was typed. Raises InputError."""
    if not typed.strip():
        return None
    known, times = VALUES[field], _servings(field, rules, serving_ml)
    name = title(field, rules)
    printed, half = _number(name, typed, known.smallest * times, known.largest * times)
    return printed / times, half and half / times


def _number(name: str, typed: str, smallest: float, largest: float) -> tuple[float, float | None]:
    """A number from the smallest to the largest, and what stands behind ±. Raises InputError."""
    try:
        value, half = read_plus_minus(typed)
    except InputError as error:
        raise InputError(f"{name}: {error}") from None
    if not smallest <= value <= largest:
        raise InputError(
            f"{name}: {typed.strip()} is not between {short(smallest)} and {short(largest)}"
        )
    return value, half
