"""What can be done with a formula as a whole: compare, copy, rename, put away."""

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference
from tasting.insight.advice.question import PlanComparison
from tasting.store import formulas, notes, session_index
from tasting.ui import page, pages
from tasting.ui.dashboard.choice import first_reference, versions_of
from tasting.ui.dashboard.make_plan import filled_in
from tasting.ui.drinks import new_formula


def show(engine: Engine, formula: Formula, version: Version) -> None:
    """A line of actions."""
    with st.container(horizontal=True, gap="small"):
        if st.button("Compare blind …", key="compare"):
            _choose_for_tasting(engine, formula, version)
            st.switch_page(pages.NEW.script)
        _from_label(engine, formula, version)
        with st.popover("Duplicate, rename, archive"):
            if st.button("Duplicate", key="duplicate"):
                new_formula.duplicate(engine, formula, version)
            _archive(engine, formula)
            _rename(engine, formula)


def _from_label(engine: Engine, formula: Formula, version: Version) -> None:
    """The button that looks for amounts with which this recipe has every figure of a label."""
    references = formulas.references(engine)
    if references and st.button("From the label …", key="from-label"):
        times = session_index.times_compared(engine, versions_of(formula))
        usual = references[first_reference(references, times) or 0].id
        chosen = st.session_state.get("reference", usual)
        st.switch_page(pages.LABEL.script, query_params={"id": chosen, "version": version.id})


def _archive(engine: Engine, formula: Formula) -> None:
    """The button that puts the formula away, or takes it out again."""
    away = formula.id in notes.archived(engine)
    if st.button("Take out of the archive" if away else "Archive", key="archive"):
        notes.archive(engine, formula.id, away=not away)
        page.say_later(f"{formula.name} is {'back in the list' if away else 'in the archive'}.")


def _choose_for_tasting(engine: Engine, formula: Formula, version: Version) -> None:
    """The two samples of a new tasting: the version, and its parent or the first reference."""
    references = formulas.references(engine)
    if version.parent:
        other: Version | Reference = formula.version(version.parent)
    elif references:
        other = references[0]
    else:
        return
    wish = PlanComparison("Compare blind", "triangle", other, version, 1)
    chosen = filled_in(formulas.samples(engine), wish)
    st.session_state.update({letter: chosen[letter] for letter in "ab"})


def _rename(engine: Engine, formula: Formula) -> None:
    """The form for another name; earlier names stay in the record."""
    with st.form("rename", border=False):
        name = st.text_input("Name of the formula", formula.name, max_chars=120)
        sent = st.form_submit_button("Save", type="primary")
    if sent:
        with page.show_errors():
            formulas.rename(engine, formula.id, name)
            page.say_later(f"It is now called {name.strip()}.")
