"""What can be done with a formula as a whole: compare, copy, rename, put away."""

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula, Version
from tasting.store import formulas, notes, session_index
from tasting.ui import page, pages
from tasting.ui.dashboard.choice import first_reference, versions_of
from tasting.ui.drinks import new_formula
from tasting.ui.drinks.bench.pouring import glass_of
from tasting.ui.tastings.planning import asked_for


def show(engine: Engine, formula: Formula, version: Version) -> None:
    """A line of actions."""
    with st.container(horizontal=True, gap="small"):
        if st.button("Compare blind …", key="compare"):
            st.switch_page(pages.NEW.script, query_params=two_samples(engine, formula, version))
        if st.button("Bench", key="bench", help="Pour a glass and add to it pinch by pinch."):
            st.switch_page(pages.BENCH.script, query_params=glass_of(engine, version))
        _from_label(engine, formula, version)
        with st.popover("Duplicate, rename, archive"):
            if st.button("Duplicate", key="duplicate"):
                new_formula.duplicate(engine, formula, version)
            _archive(engine, formula)
            asked = {"id": formula.id}
            st.page_link(pages.DASHBOARD.script, label="On the dashboard", query_params=asked)
            _rename(engine, formula)


def _from_label(engine: Engine, formula: Formula, version: Version) -> None:
    """The button that looks for amounts with which this recipe has every figure of a label."""
    references = notes.still_out(engine, formulas.references(engine))
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


def two_samples(engine: Engine, formula: Formula, version: Version) -> dict[str, str]:
    """The query of a new tasting of the version and its parent, or the first reference."""
    others = [kept.id for kept in notes.still_out(engine, formulas.references(engine))]
    first = version.parent or next(iter(others), "")
    return asked_for.address(first, version.id)


def _rename(engine: Engine, formula: Formula) -> None:
    """The form for another name; earlier names stay in the record."""
    with st.form("rename", border=False):
        name = st.text_input("Name of the formula", formula.name, max_chars=120)
        sent = st.form_submit_button("Save", type="primary")
    if sent:
        with page.show_errors():
            formulas.rename(engine, formula.id, name)
            page.say_later(f"It is now called {name.strip()}.")
