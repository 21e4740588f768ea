"""The draft of a version: from what the host typed to parts, without touching what is kept."""

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from math import isnan
from typing import Any

import pandas as pd
from pydantic import ValidationError

from tasting.drink import measures
from tasting.drink.formula import Amount, Formula, Part, Version
from tasting.drink.pantry import Ingredient, pantry
from tasting.errors import InputError
from tasting.records import checked, sentence
from tasting.store.formulas import new_id
from tasting.units import ML_PER, PART, read_line, unit_for, unit_named
from tasting.wording import exact, short

INGREDIENT, AMOUNT, UNIT = "Ingredient", "Amount", "Unit"
_LARGEST_QUANTITY = 1e6
"""Beyond any batch; a version can never be deleted, so a slip of the finger is refused."""

Known = Mapping[str, Ingredient]
"""Ingredients that a row may name."""


@dataclass(frozen=True, slots=True)
class Draft:
    """What the host has typed so far; `own` are ingredients that so far only this draft knows.

    `part` says how large one part is, or all of them ("total 180 mL"), where rows count in parts.
    """

    rows: pd.DataFrame
    servings: float = 1.0
    part: str = ""
    label: str = ""
    reason: str = ""
    own: tuple[Ingredient, ...] = ()

    def with_own(self, item: Ingredient) -> "Draft":
        """The draft with an ingredient that it alone knows, as a new row."""
        return replace(self, rows=with_row(self.rows, item.name), own=(*self.own, item))


def draft_from(parent: Version | None) -> Draft:
    """The draft to begin with: the parent's parts, or nothing for a first version."""
    return Draft(rows_of(parent.parts), parent.servings) if parent else Draft(rows_of(()))


def next_label(labels: Sequence[str]) -> str:
    """The label after the highest of the form v3, or v3 and a few words.

    >>> next_label(["v1", "v2 warm"])
    'v3'
    """
    result = [re.fullmatch(r"v(\d{1,6})(\s.*)?", label) for label in labels]
    numbers = [int(numbered[1]) for numbered in result if numbered]
    return f"v{max(numbers, default=0) + 1}"


def rows_of(parts: Sequence[Part]) -> pd.DataFrame:
    """The parts as rows to edit: ingredient by its shown name, quantity, unit."""
    amounts = [part.amount for part in parts]
    return _rows(
        [name for name, _ in _shown(parts)],
        [exact(amount.quantity) for amount in amounts],
        [amount.unit for amount in amounts],
    )


def with_row(rows: pd.DataFrame, name: str) -> pd.DataFrame:
    """The rows and one more for an ingredient whose quantity is still to be typed."""
    return _rows([*rows[INGREDIENT], name], [*rows[AMOUNT], None], [*rows[UNIT], None])


def _rows(names: list[Any], quantities: list[Any], units: list[Any]) -> pd.DataFrame:
    return pd.DataFrame(
        {
            INGREDIENT: pd.Series(names, dtype="string"),
            AMOUNT: pd.Series(quantities, dtype="string"),
            UNIT: pd.Series(units, dtype="string"),
        }
    )


def known_ingredients(
    kept: Sequence[Formula], own: Sequence[Ingredient] = (), parts: Sequence[Part] = ()
) -> dict[str, Ingredient]:
    """What a row may name, in alphabetical order.

    Where several have one name, the parent's `parts` come first, so that an unchanged row keeps the
    figures it had; then the draft's own ingredients, the pantry, and the newest that is kept.
    """
    stored = [
        part.ingredient
        for formula in kept
        for version in formula.versions
        for part in version.parts
    ]
    known = {item.name: item for item in (*stored, *pantry().values(), *own)}
    known |= dict(_shown(parts))
    return dict(sorted(known.items(), key=lambda pair: pair[0].casefold()))


def _shown(parts: Sequence[Part]) -> Iterator[tuple[str, Ingredient]]:
    """Each part's ingredient and its name, numbered where it shares the name with another one."""
    seen: dict[str, list[Ingredient]] = {}
    for part in parts:
        alike = seen.setdefault(part.ingredient.name, [])
        if part.ingredient not in alike:
            alike.append(part.ingredient)
        index = alike.index(part.ingredient) + 1
        name = part.ingredient.name
        yield (name if index == 1 else f"{name} ({index})"), part.ingredient


def parts_of(rows: pd.DataFrame, known: Known, part: str = "") -> tuple[Part, ...]:
    """The parts that the rows name; rows without ingredient and quantity are passed over.

    Raises InputError that names the line, or says that there is none.
    """
    begun = _begun(rows)
    if not begun:
        raise InputError("the table has no ingredient; its last row adds one")
    lines = [(line, _line(line, row, known)) for line, row in begun]
    count = sum(typed.quantity for _, typed in lines if typed.unit == PART)
    size = _part_size(part, count) if count else None
    return tuple(_part(line, typed, size) for line, typed in lines)


def counts_in_parts(rows: pd.DataFrame) -> bool:
    """Whether a row is counted in parts, so that the size of one has to be asked."""
    return any(
        PART in (row[2], _typed_unit(row[1])) for _, row in _begun(rows) if row[1] is not None
    )


def echoes(rows: pd.DataFrame, known: Known, part: str = "") -> tuple[str, ...]:
    """How the rows are understood, where that is more than what stands in them: an amount written
    in another way, a unit that was left out, a measure that is only customary.

    Rows that are not understood are passed over: `parts_of` says what is wrong with them.
    """
    said = []
    for line, row in _begun(rows):
        with suppress(InputError):
            typed = _line(line, row, known)
            size = _part_size(part, _parts_counted(rows, known)) if typed.unit == PART else None
            made = _part(line, typed, size)
            read = measures.in_words(made)
            if read != f"{row[1]} {row[2]}":
                said.append(f"{row[0]}: {read}")
    return tuple(said)


@dataclass(frozen=True, slots=True)
class _Line:
    """A row that is understood as far as it goes; the unit may still be PART."""

    ingredient: Ingredient
    name: str
    quantity: float
    unit: str


def _begun(rows: pd.DataFrame) -> list[tuple[int, tuple[Any, ...]]]:
    cells = rows.astype(object).where(rows.notna(), None)
    lines = enumerate(cells[[INGREDIENT, AMOUNT, UNIT]].itertuples(index=False, name=None), 1)
    return [(line, row) for line, row in lines if row[0] is not None or row[1] is not None]


def _parts_counted(rows: pd.DataFrame, known: Known) -> float:
    lines = [_line(line, row, known) for line, row in _begun(rows)]
    return sum(line.quantity for line in lines if line.unit == PART)


def _typed_unit(amount: Any) -> str:
    try:
        return read_line(str(amount)).unit
    except InputError:
        return ""


def _line(line: int, row: tuple[Any, ...], known: Known) -> _Line:
    """A row as it is read. A unit behind the number comes before the one in the next cell."""
    name, typed, unit = row
    if name is None:
        raise InputError(f"line {line} has an amount and no ingredient; choose one or remove it")
    where = f"line {line}, {name}"
    if name not in known:
        raise InputError(f"{where}: this ingredient is not known here; choose one from the list")
    if typed is None or not str(typed).strip():
        raise InputError(f"{where}: the amount is missing; fill it in or remove the line")
    try:
        read = read_line(str(typed))
        if read.quantity is None:
            raise InputError(f"{typed!r} is not a number; write it as 22.5, 22,5, 1/2 or 1 1/2")
        named = f"{read.unit} {read.rest}".strip() or unit or ""
        settled = unit_for(unit_named(named) if named else "", known[name].form)
    except InputError as error:
        raise InputError(f"{where}: {error}") from None
    return _Line(known[name], where, read.quantity, settled)


def _part(line: int, typed: _Line, size: Amount | None) -> Part:
    quantity, unit = typed.quantity, typed.unit
    if size and unit == PART:
        quantity, unit = float(f"{quantity * size.quantity:.12g}"), size.unit
    if quantity > _LARGEST_QUANTITY:
        raise InputError(
            f"{typed.name}: {short(quantity)} {unit} is beyond any batch; check the number"
        )
    try:
        part = Part(ingredient=typed.ingredient, amount=Amount(quantity=quantity, unit=unit))
    except ValidationError as error:
        raise InputError(f"{typed.name}: {sentence(error)}") from None
    asked = measures.missing_bulk_density(part)
    if asked:
        raise InputError(f"line {line}: {asked}")
    return part


def _part_size(text: str, count: float) -> Amount:
    """The volume of one part: as typed, or the total over the parts. Raises InputError."""
    total = re.fullmatch(r"\s*total\s+(.*)", text, re.IGNORECASE)
    if not text.strip():
        raise InputError(
            "an amount is in parts; say how large one part is, such as 30 mL, or all together, "
            "such as total 180 mL"
        )
    size = Amount.parse(total[1] if total else text).of("liquid")
    if size.unit not in ML_PER:
        raise InputError(f"the size of a part is a volume, such as 30 mL, not {size}")
    if total:
        return Amount(quantity=size.quantity / count, unit=size.unit)
    return size


def preview(draft: Draft, known: Known, moment: datetime) -> Version:
    """The draft as a version to compute with, whatever its label and reason. Raises InputError."""
    return checked(Version, {"id": "draft", "label": "draft", **_made(draft, known, moment)})


def version_of(draft: Draft, known: Known, parent: Version | None, moment: datetime) -> Version:
    """The version to keep, a child of `parent` if there is one. Raises InputError."""
    made = _made(draft, known, moment)
    label, reason = draft.label.strip(), draft.reason.strip()
    if not label:
        raise InputError("the version has no label; give it a short one, such as v4")
    if parent is None:
        return checked(Version, {"id": new_id(), "label": label, "reason": reason, **made})
    if not reason:
        raise InputError("the reason is missing; say in a few words what was changed and why")
    try:
        return parent.child(id=new_id(), label=label, reason=reason, **made)
    except ValidationError as error:
        raise InputError(sentence(error)) from None


def _made(draft: Draft, known: Known, moment: datetime) -> dict[str, Any]:
    parts = parts_of(draft.rows, known, draft.part)
    if isnan(draft.servings):
        raise InputError("the number of servings could not be read; correct it first")
    return {"parts": parts, "servings": draft.servings, "created_at": moment}


def free_name(name: str, taken: Known) -> str:
    """The name without blanks around it. Raises InputError for none, or one that is taken."""
    name = name.strip()
    if not name:
        raise InputError("the ingredient has no name; give it one")
    if name.casefold() in {other.casefold() for other in taken}:
        raise InputError(f"there is a {name!r} already; choose it, or give yours another name")
    return name


def own_key(name: str) -> str:
    """A key of its own, so that two makers' cordials are never taken for one ingredient."""
    slug = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:40]
    return f"own-{slug}-{new_id()[:8]}".replace("--", "-")
