"""Ingredients of the host's own making: measured lots and preparations. Pure functions, no page."""

import hashlib
import re
from collections.abc import Mapping

from tasting.drink.formula import Formula, Version
from tasting.drink.lots import Measured, lot
from tasting.drink.pantry import Ingredient
from tasting.drink.preparation import Preparation, Yield, prepared
from tasting.drink.recipe_text import RecipeLine, read, write
from tasting.drink.shelf import Known, shelf
from tasting.errors import InputError
from tasting.records import checked
from tasting.store.drafts import Draft
from tasting.ui.drinks import draft as drafting

Values = Mapping[str, float | None]


def measured_lot(usual: Ingredient, values: Values, name: str, taken: Known) -> Ingredient:
    """A lot of an ingredient as it was measured, under a name of its own.

    `values` are named as in Measured; None is not measured. Raises InputError.
    """
    name = drafting.free_name(name, taken)
    return lot(usual, checked(Measured, dict(values)), key=drafting.own_key(name), name=name)


def with_lot(draft: Draft, known: Known, usual: str, measured: Ingredient) -> Draft:
    """The draft with a lot in place of the usual ingredient, or in a line of its own where that
    is not in it."""
    lines = read(draft.text, shelf(known)).lines
    if usual not in [line.name for line in lines]:
        return drafting.with_own(draft, measured)
    written = [_with(line, usual, measured.name) for line in lines]
    return draft.model_copy(update={"text": "\n".join(written), "own": (*draft.own, measured)})


def _with(line: RecipeLine, usual: str, name: str) -> str:
    """The line, with another name where it names the usual ingredient and has an amount."""
    if line.part is None or line.name != usual:
        return line.typed
    return write([(name, line.part.amount)])


def preparation_key(formula_id: str) -> str:
    """The key under which whatever comes of a formula is an ingredient; one for all its versions,
    so that a formula which goes into itself is noticed, by whatever way.

    >>> preparation_key("bay-syrup")
    'made-bay-syrup'
    """
    if re.fullmatch(r"[a-z0-9-]{1,58}", formula_id):
        return f"made-{formula_id}"
    return f"made-{hashlib.sha256(formula_id.encode()).hexdigest()[:32]}"


def preparation_of(
    formula: Formula, version: Version, yields: Values, name: str, taken: Known
) -> Ingredient:
    """What a version yields, as an ingredient; `yields` as in Yield. Raises InputError."""
    given = {figure: value for figure, value in yields.items() if value is not None}
    return prepared(
        checked(
            Preparation,
            {
                "key": preparation_key(formula.id),
                "name": drafting.free_name(name, taken),
                "version": version,
                "yields": checked(Yield, given),
            },
        )
    )


def refuse_cycle(home: Formula | None, made: Ingredient) -> None:
    """Raises InputError when a preparation is made from the formula that it should go into."""
    if home is None:
        return
    key = preparation_key(home.id)
    if key == made.key:
        raise InputError(
            f"{made.name} is a version of {home.name}, which cannot be made from itself; save the "
            "preparation as its own formula"
        )
    if key in made.made_from:
        raise InputError(
            f"{made.name} is made from {home.name}, which would then be made from itself; take "
            "another preparation"
        )
