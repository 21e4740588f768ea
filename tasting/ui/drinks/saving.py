"""From a draft to a version: what is asked and checked before it is saved."""

from collections.abc import Sequence
from typing import NoReturn

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula, Version
from tasting.drink.questions import questions, unweighable
from tasting.drink.recipe_text import Recipe
from tasting.errors import InputError
from tasting.records import all_faults, now
from tasting.store.drafts import Draft
from tasting.store.scale import scale_step_g
from tasting.ui import page
from tasting.ui.drinks import before_saving, draft_form
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks.draft_form import Held
from tasting.wording import clock, day

VERSION = "version"
# Query parameter with the id of the version to show.


def say_saved(held: Held, what: str) -> None:
    """That the draft is in the database, and since when.

    There is a line in any case: with one more above it, Streamlit would put the sheet anew.
    """
    if not held.saved_at:
        st.caption(f"{what} · a draft is saved while you write")
        return
    same_day = day(held.saved_at) == day(now())
    st.caption(f"{what} · draft saved {(clock if same_day else day)(held.saved_at)}")


def version_name(held: Held, suggested: str) -> None:
    """The field for the version's name."""
    usual = held.draft.label or suggested
    st.text_input("Version name", usual, max_chars=120, key=held.key("label"))


def labelled(draft: Draft, suggested: str) -> Draft:
    """The draft under the suggested name where none was typed."""
    return draft if draft.label.strip() else draft.model_copy(update={"label": suggested})


def check(recipe: Recipe, faults: Sequence[str]) -> None:
    """Raises InputError with all that is wrong with a form, the recipe too, in one go."""
    found = list(faults)
    try:
        _ = recipe.parts
    except InputError as error:
        found.append(str(error))
    if found:
        raise InputError(all_faults(found))


def meant(
    engine: Engine, held: Held, recipe: Recipe, parent: Version | None, pressed: bool
) -> bool:
    """Whether to save the draft: what may be a slip is asked about first."""
    try:
        made = drafting.preview(recipe, now())
    except InputError:  # said when the draft is saved
        return pressed
    before_saving.hint(unweighable(made, parent, scale_step_g(engine)))
    return before_saving.confirmed(held.place, questions(made, parent), pressed)


def finish(formula: Formula, version: Version) -> NoReturn:
    """After saving: show the new version, and say so."""
    st.query_params.from_dict({"id": formula.id, VERSION: version.id})
    page.say_later(f"{version.label} is saved and shown here.")


def offer_to_discard(engine: Engine, held: Held) -> None:
    """A button that throws the draft away, where there is one."""
    if held.saved_at:
        st.button(
            "Discard the draft",
            key=f"discard-{held.place}",
            on_click=draft_form.end,
            args=(engine, held.place),
            type="tertiary",
        )
