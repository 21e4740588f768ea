"""The page of one drink, found by the id in the address: a formula, a reference, or a new one."""

import streamlit as st
from sqlalchemy import Engine

from tasting.store import formulas
from tasting.store.formulas import new_id
from tasting.ui import access, page, pages
from tasting.ui.drinks import formula_view, new_formula, reference_draft, reference_view

# Query parameters, in comments because Streamlit prints bare strings: the id of a formula or a
# reference; what is to be made; the place of its draft.
_ID, _NEW, _DRAFT = "id", "new", "draft"


def _show(engine: Engine) -> None:
    """What the address names."""
    page.say()
    wanted = st.query_params.get(_ID)
    if st.query_params.get(_NEW) == "reference":
        if _DRAFT not in st.query_params:
            st.query_params[_DRAFT] = f"{reference_draft.NEW}{new_id()}"
        reference_view.make(engine)
    elif st.query_params.get(_NEW) or _DRAFT in st.query_params:
        if _DRAFT not in st.query_params:
            st.query_params.from_dict({_DRAFT: f"new-{new_id()}"})
        new_formula.make(engine, st.query_params[_DRAFT])
    else:
        _show_kept(engine, wanted or "")


def _show_kept(engine: Engine, wanted: str) -> None:
    kept = formulas.formulas(engine)
    version = st.query_params.get("version")
    for formula in kept:
        if formula.id == wanted or version in [known.id for known in formula.versions]:
            return formula_view.show(engine, kept, formula)
    for reference in formulas.references(engine):
        if reference.id == wanted:
            return reference_view.show(engine, reference)
    page.title("No such drink")
    st.write("No drink is saved under this address. Choose one from the list.")
    st.page_link(pages.DRINKS.script, label="All drinks")


access.require_host()
_show(page.engine())
