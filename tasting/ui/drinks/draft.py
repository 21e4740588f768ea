"""The draft of a version: from what the host wrote to a version, without touching what is kept."""

import re
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any, Final

from pydantic import ValidationError

from tasting.drink.formula import Formula, Part, Version
from tasting.drink.pantry import Ingredient, pantry
from tasting.drink.recipe_text import Recipe, read, write
from tasting.drink.shelf import Known, shelf
from tasting.errors import InputError
from tasting.records import checked, sentence
from tasting.store.drafts import Draft
from tasting.store.formulas import new_id

_OWN: Final = "own-"
# What the keys of the host's own ingredients begin with.


def draft_from(formula: Formula, parent: Version) -> Draft:
    """The draft to begin with: the parent's recipe."""
    return Draft(formula=formula.id, text=text_of(parent))


def text_of(version: Version) -> str:
    """The recipe of a version as on paper; read again with its own parts it is the version."""
    amounts = [part.amount for part in version.parts]
    names = [name for name, _ in _shown(version.parts)]
    return write(list(zip(names, amounts, strict=True)), version.servings)


def names_of(version: Version) -> list[str]:
    """The names of a version's ingredients as they stand on paper, each once."""
    return list(dict.fromkeys(name for name, _ in _shown(version.parts)))


def with_own(draft: Draft, item: Ingredient) -> Draft:
    """The draft with an ingredient that it alone knows; in a new line, unless one names it."""
    named = item.name.casefold() in draft.text.casefold()
    others = [other for other in draft.own if other.key != item.key]
    return draft.model_copy(
        update={
            "own": (*others, item),
            "text": draft.text if named else _with_line(draft.text, item.name),
        }
    )


def _with_line(text: str, line: str) -> str:
    """The recipe with one more line at its end."""
    return f"{text.rstrip()}\n{line}".lstrip()


def with_line_instead(text: str, number: int, line: str) -> str:
    """The recipe with another line in the place of line `number`, counted from 1."""
    lines = text.splitlines()
    lines[number - 1] = line
    return "\n".join(lines)


def next_label(labels: Sequence[str]) -> str:
    """The label after the highest of the form v3, or v3 and a few words.

    >>> next_label(["v1", "v2 warm"])
    'v3'
    """
    result = [re.fullmatch(r"v(\d{1,6})(\s.*)?", label) for label in labels]
    numbers = [int(numbered[1]) for numbered in result if numbered]
    return f"v{max(numbers, default=0) + 1}"


def known_ingredients(
    kept: Sequence[Formula], own: Sequence[Ingredient] = (), parts: Sequence[Part] = ()
) -> dict[str, Ingredient]:
    """What a line may name, in alphabetical order.

    Where several have one name, the parent's `parts` come first, so that an unchanged line keeps
    the figures it had, unless the draft edits just that ingredient; then the draft's own
    ingredients, the pantry, and the newest that is kept.
    """
    stored = [
        part.ingredient
        for formula in kept
        for version in formula.versions
        for part in version.parts
    ]
    known = {item.name: item for item in (*stored, *pantry().values(), *own)}
    edited = {item.key: item for item in own if is_own(item)}
    known |= {name: edited.get(item.key, item) for name, item in _shown(parts)}
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


def recipe_of(draft: Draft, known: Known) -> Recipe:
    """How the draft's text is understood."""
    return read(draft.text, shelf(known))


def preview(recipe: Recipe, moment: datetime) -> Version:
    """The recipe as a version to compute with, whatever its label and reason. Raises InputError."""
    return checked(Version, {"id": "draft", "label": "draft", **_made(recipe, moment)})


def version_of(draft: Draft, recipe: Recipe, parent: Version | None, moment: datetime) -> Version:
    """The version to save, a child of `parent` if there is one. Raises InputError."""
    made = _made(recipe, moment)
    label, reason = draft.label.strip(), draft.reason.strip()
    if not label:
        raise InputError("the version has no name; give it a short one, such as v4")
    if parent is None:
        return checked(Version, {"id": new_id(), "label": label, "reason": reason, **made})
    if not reason:
        raise InputError("the reason is missing; say in a few words what was changed and why")
    try:
        return parent.child(id=new_id(), label=label, reason=reason, **made)
    except ValidationError as error:
        raise InputError(sentence(error)) from None


def _made(recipe: Recipe, moment: datetime) -> dict[str, Any]:
    return {"parts": recipe.parts, "servings": recipe.servings, "created_at": moment}


def free_name(name: str, taken: Known) -> str:
    """The name without blanks around it. Raises InputError for none, or one that is taken."""
    for fault in name_faults(name, taken):
        raise InputError(fault)
    return name.strip()


def name_faults(name: str, taken: Known) -> Iterator[str]:
    """What is wrong with the name of a new ingredient."""
    if not name.strip():
        yield "the ingredient has no name; give it one"
    elif found := named(name, taken):
        another = "edit it" if is_own(found) else "choose it"
        yield f"there is a {name.strip()!r} already; {another}, or give yours another name"


def named(name: str, known: Known) -> Ingredient | None:
    """The ingredient of that name, in any case."""
    wanted = name.strip().casefold()
    return next((item for other, item in known.items() if other.casefold() == wanted), None)


def is_own(item: Ingredient) -> bool:
    """Whether it is an ingredient of the host's own, or a lot."""
    return item.key.startswith(_OWN)


def own_key(name: str) -> str:
    """A key of its own, so that two makers' cordials are never taken for one ingredient."""
    slug = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:40]
    return f"{_OWN}{slug}-{new_id()[:8]}".replace("--", "-")
