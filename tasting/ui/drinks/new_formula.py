"""A new formula: its name and its recipe are all that is needed."""

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula, Version
from tasting.records import checked, now
from tasting.store import formulas
from tasting.store.drafts import Draft
from tasting.ui import page, pages
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks import draft_form, saving, views, writing

_FIRST = "v1"
# The name that a first version has unless another one is typed.


def make(engine: Engine, place: str) -> None:
    """The page of a formula that is not saved yet; its draft stays in the database."""
    kept = formulas.formulas(engine)
    held = draft_form.held(engine, place, Draft(), _FIRST)
    name = held.draft.name.strip()
    page.title(name or "New formula")
    saving.say_saved(held, "New formula")
    left, right = st.columns(2, gap="medium")
    with left, st.container(border=True):
        st.text_input("Name of the formula", held.draft.name, max_chars=120, key=held.key("name"))
        recipe = writing.recipe(engine, held, kept, None)
        with st.expander("Version name and aim"):
            saving.version_name(held, _FIRST)
            st.text_area("Aim (optional)", held.draft.reason, key=held.key("reason"), height=80)
        pressed = st.button("Save", type="primary", key="save-formula")
        saving.offer_to_discard(engine, held)
    with right, st.container(border=True):
        views.show_draft(recipe)
    if saving.meant(engine, held, recipe, None, pressed):
        with page.show_errors():
            draft = saving.labelled(held.draft, _FIRST)
            faults = _faults(draft, kept)
            saving.check(recipe, faults)
            first = drafting.version_of(draft, recipe, None, now())
            formula = _named(draft.name.strip(), first)
            formulas.keep_formula(engine, formula)
            draft_form.end(engine, place)
            st.query_params.from_dict({"id": formula.id})
            page.say_later(f"{formula.name} is saved.")


def _faults(draft: Draft, kept: tuple[Formula, ...]) -> list[str]:
    """What is wrong with the name."""
    name = draft.name.strip()
    if not name:
        return ["the formula has no name; give it one"]
    if name.casefold() in [formula.name.casefold() for formula in kept]:
        return [f"a formula is called {name!r} already; open it, or choose another name"]
    return []


def _named(name: str, first: Version) -> Formula:
    return checked(Formula, {"id": formulas.new_id(), "name": name, "versions": (first,)})


def duplicate(engine: Engine, formula: Formula, version: Version) -> None:
    """Open a draft of a new formula with the recipe of a version."""
    known = {part.ingredient.name: part.ingredient for part in version.parts}
    draft = Draft(
        name=f"{formula.name}, copy"[:120],
        text=drafting.text_of(version),
        reason=f"From {formula.name}, {version.label}",
        own=tuple(known.values()),
    )
    place = f"new-{formulas.new_id()}"
    draft_form.change(engine, place, draft)
    st.switch_page(pages.DRINK.script, query_params={"draft": place})
