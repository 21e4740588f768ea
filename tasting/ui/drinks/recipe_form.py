"""Writing a recipe: on a sheet as on paper, or in a table; both edit the same draft."""

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.recipe_text import Recipe, RecipeLine
from tasting.drink.shelf import Known
from tasting.errors import InputError
from tasting.ui import page
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks import draft_form, recipe_paper, recipe_table
from tasting.ui.drinks.draft_form import Held
from tasting.ui.drinks.recipe_table import AMOUNT, INGREDIENT, UNIT
from tasting.units import PART, UNITS

_BESIDE = 75
# So many signs have room in two lines beside a line of the sheet.
ADDING = "adding"
# Behind this key stands the name of the ingredient that the host wants to add.


def write(engine: Engine, held: Held, known: Known, recipe: Recipe) -> None:
    """The sheet or the table, and what is asked about its lines."""
    if st.session_state.get(_table_key(held)):
        _table(engine, held, known, recipe)
    else:
        st.session_state.pop(held.key("base"), None)
        recipe_paper.show(held.sheet, held.edition, held.draft.text, recipe)
    st.toggle(
        "Edit as a table",
        key=_table_key(held),
        on_change=draft_form.start_afresh,
        args=(held,),
    )
    for line in recipe.questions:
        _ask(engine, held, line)


def _table_key(held: Held) -> str:
    return f"table-{held.place}"


def _ask(engine: Engine, held: Held, line: RecipeLine) -> None:
    """Buttons that settle what is not clear of a line; beside the sheet it is said already, where
    there is room for it, and there is no sheet beside a table."""
    if len(line.said) > _BESIDE or st.session_state.get(_table_key(held)):
        st.markdown(f"**Line {line.number}:** {page.escape_markdown(line.said.rstrip('.'))}.")
    elif line.offers or line.unknown:
        st.markdown(f"**Line {line.number}:**")
    if not (line.offers or line.unknown):
        return
    with st.container(horizontal=True, gap="small"):
        for offer in line.offers:
            st.button(
                page.escape_markdown(offer.name),
                key=held.key(f"offer-{line.number}-{offer.name}"),
                on_click=_take,
                args=(engine, held, line.number, offer.line),
            )
        if line.unknown:
            st.button(
                "Add it",
                key=held.key(f"add-{line.number}"),
                on_click=st.session_state.__setitem__,
                args=(ADDING, line.unknown),
            )


def _take(engine: Engine, held: Held, number: int, line: str) -> None:
    text = drafting.with_line_instead(held.draft.text, number, line)
    draft_form.change(engine, held.place, held.draft.model_copy(update={"text": text}))


def _table(engine: Engine, held: Held, known: Known, recipe: Recipe) -> None:
    """The table. It begins with the draft as it was, and what is changed in it is written down."""
    base_key = held.key("base")
    if base_key not in st.session_state:
        try:
            st.session_state[base_key] = (recipe, recipe_table.rows_of(recipe))
        except InputError as error:
            st.info(f"Correct the recipe first: {page.escape_markdown(str(error))}.")
            return
    before, rows = st.session_state[base_key]
    edited = st.data_editor(
        rows,
        key=held.key("rows"),
        num_rows="dynamic",
        column_config={
            INGREDIENT: st.column_config.SelectboxColumn(width=140, options=list(known)),
            AMOUNT: st.column_config.TextColumn(width=88),
            UNIT: st.column_config.SelectboxColumn(width=64, options=[*UNITS, PART]),
        },
        alt="Ingredients of the draft, with quantity and unit; the last row adds one",
    )
    if edited.equals(rows):
        return
    text = recipe_table.text_of(edited, before)
    if text != held.draft.text:
        draft_form.rewrite(engine, held, text)
        st.rerun()
