"""The draft of a version: from what the host typed to parts, without touching what is kept."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import pandas as pd
from pydantic import ValidationError

from tasting.drink.formula import Amount, Formula, Part, Version
from tasting.drink.pantry import Ingredient, pantry
from tasting.errors import InputError
from tasting.records import checked, sentence
from tasting.store.formulas import new_id
from tasting.wording import short

INGREDIENT, AMOUNT, UNIT = "Ingredient", "Amount", "Unit"
_LARGEST_QUANTITY = 1e6
"""Beyond any batch; a version can never be deleted, so a slip of the finger is refused."""

Known = Mapping[str, Ingredient]
"""Ingredients that a row may name."""


@dataclass(frozen=True, slots=True)
class Draft:
    """What the host has typed so far; `own` are ingredients that so far only this draft knows."""

    rows: pd.DataFrame
    servings: float = 1.0
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
        [amount.quantity for amount in amounts],
        [amount.unit for amount in amounts],
    )


def with_row(rows: pd.DataFrame, name: str) -> pd.DataFrame:
    """The rows and one more for an ingredient whose quantity is still to be typed."""
    return _rows([*rows[INGREDIENT], name], [*rows[AMOUNT], None], [*rows[UNIT], "mL"])


def _rows(names: list[Any], quantities: list[Any], units: list[Any]) -> pd.DataFrame:
    return pd.DataFrame(
        {
            INGREDIENT: pd.Series(names, dtype="string"),
            AMOUNT: pd.Series(quantities, dtype="float"),
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


def parts_of(rows: pd.DataFrame, known: Known) -> tuple[Part, ...]:
    """The parts that the rows name; rows without ingredient and quantity are passed over.

    Raises InputError that names the line, or says that there is none.
    """
    cells = rows.astype(object).where(rows.notna(), None)
    lines = enumerate(cells[[INGREDIENT, AMOUNT, UNIT]].itertuples(index=False, name=None), 1)
    begun = [(line, row) for line, row in lines if row[0] is not None or row[1] is not None]
    if not begun:
        raise InputError("the table has no ingredient; its last row adds one")
    return tuple(_part(line, row, known) for line, row in begun)


def _part(line: int, row: tuple[Any, ...], known: Known) -> Part:
    name, quantity, unit = row
    if name is None:
        raise InputError(f"line {line} has an amount and no ingredient; choose one or remove it")
    where = f"line {line}, {name}"
    if name not in known:
        raise InputError(f"{where}: this ingredient is not known here; choose one from the list")
    if quantity is None or unit is None:
        missing = "amount" if quantity is None else "unit"
        raise InputError(f"{where}: the {missing} is missing; fill it in or remove the line")
    if quantity > _LARGEST_QUANTITY:
        raise InputError(f"{where}: {short(quantity)} {unit} is beyond any batch; check the number")
    try:
        return Part(ingredient=known[name], amount=Amount(quantity=quantity, unit=unit))
    except ValidationError as error:
        raise InputError(f"{where}: {sentence(error)}") from None


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
    parts = parts_of(draft.rows, known)
    return {"parts": parts, "servings": draft.servings, "created_at": moment}


def own_ingredient(
    name: str,
    figures: Mapping[str, float | None],
    source: str,
    *,
    form: str = "liquid",
    allergens: Sequence[str] = (),
    taken: Known | None = None,
) -> Ingredient:
    """An ingredient that is not in the pantry, from the figures that are known of it.

    `figures` are named as in an Ingredient; None is not known. Raises InputError, also when the
    name is one of those `taken`.
    """
    name, source = free_name(name, taken or {}), source.strip()
    given = {figure: value for figure, value in figures.items() if value is not None}
    if "density_kg_per_l" not in given:
        raise InputError("the density is missing; weigh a measured volume, g divided by mL")
    if not source:
        raise InputError("say where the figures come from; a label, a measurement, an estimate")
    words = {"key": own_key(name), "name": name, "form": form, "allergens": tuple(allergens)}
    return checked(Ingredient, {**words, **given, "sources": dict.fromkeys(given, source)})


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
