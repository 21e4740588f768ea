"""A draft's recipe on the page: the sheet, and the ways to an ingredient that is not on it."""

from collections.abc import Sequence

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula, Version
from tasting.drink.pantry import Ingredient
from tasting.drink.recipe_text import Recipe
from tasting.drink.shelf import Known
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks import draft_form, ingredient_forms, own_form, recipe_form
from tasting.ui.drinks.draft_form import Held
from tasting.ui.drinks.own_ingredient import typed_of

_OWN, _LOT, _MADE = "Of your own", "A measured lot", "A preparation"


def recipe(engine: Engine, held: Held, kept: Sequence[Formula], parent: Version | None) -> Recipe:
    """The recipe as it is understood."""
    known = drafting.known_ingredients(kept, held.draft.own, parent.parts if parent else ())
    found = drafting.recipe_of(held.draft, known)
    recipe_form.write(engine, held, known, found)
    own_form.offer_to_edit((line.part.ingredient for line in found.lines if line.part), held.place)
    _edit(engine, held, known)
    wanted = st.session_state.get(recipe_form.ADDING, "")
    with st.expander("Add an ingredient", expanded=bool(wanted)):
        way = st.segmented_control(
            "Kind", [_OWN, _LOT, _MADE], default=_OWN, key=held.key("way"), required=True
        )
        if way == _OWN:
            added = own_form.own_ingredient_form(held, known, wanted)
        elif way == _LOT:
            added = None
            ingredient_forms.lot_form(engine, held, known)
        else:
            added = ingredient_forms.preparation_form(held, known, kept)
    if added:
        _add(engine, held, added)
    return found


def _edit(engine: Engine, held: Held, known: Known) -> None:
    """The form of the own ingredient that is being edited, if one is."""
    wanted = st.session_state.get(own_form.EDITING)
    item = next((item for item in known.values() if item.key == wanted), None)
    before = typed_of(item) if item else None
    if item is None or before is None:
        return
    with st.container(border=True):
        after = own_form.edit_form(held, item, before)
    if after:
        st.session_state.pop(own_form.EDITING)
        _add(engine, held, after)


def _add(engine: Engine, held: Held, item: Ingredient) -> None:
    """The draft with this ingredient, and the page anew."""
    st.session_state.pop(recipe_form.ADDING, None)
    draft_form.change(engine, held.place, drafting.with_own(held.draft, item))
    st.rerun()
