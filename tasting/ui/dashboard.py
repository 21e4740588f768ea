"""The first page after signing in: what people notice in this drink, and what to do next."""

from collections.abc import Sequence

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula
from tasting.drink.label import Reference
from tasting.store import compared, formulas, sessions
from tasting.store.compared import Compared
from tasting.ui import (
    access,
    dashboard_aim,
    dashboard_data,
    dashboard_forecast,
    dashboard_next,
    dashboard_noticed,
    dashboard_sessions,
    shared,
)
from tasting.ui.dashboard_choice import chosen, first_formula, first_reference

ARROW = ":material/arrow_forward:"
SECTIONS = {
    "What is noticed": dashboard_noticed.show,
    "Two versions": dashboard_forecast.show,
    "Next test": dashboard_next.show,
    "Where to go": dashboard_aim.show,
    "Every session": dashboard_sessions.show,
    "Beside the label": dashboard_sessions.show_label,
}


def begin(engine: Engine, known: Sequence[Formula]) -> None:
    """What to do first, as long as no session is closed."""
    going = [kept for kept in sessions.summaries(engine) if kept.state == "open"]
    if going:
        st.write("A session is open. What it finds is drawn here once you close it.")
        st.page_link("tasting/ui/run.py", label="See how many answers are in", icon=ARROW)
    elif known:
        st.write("No session is closed yet. Compare two drinks blind; what you find is drawn here.")
        st.page_link("tasting/ui/plan.py", label="Plan a session", icon=ARROW)
    else:
        st.write(
            "Nothing is kept yet. Write down a formula, plan a blind session of two of its "
            "versions (or of one and a reference), and what you find is drawn here."
        )
        st.page_link("tasting/ui/formulas.py", label="Write the first formula", icon=ARROW)


def choose(
    known: Sequence[Formula], bottles: Sequence[Reference], closed: Sequence[Compared]
) -> tuple[Formula, Reference | None]:
    """The formula and the reference that the page is about."""
    left, right = st.columns(2)
    formula = left.selectbox(
        "Formula",
        known,
        index=first_formula(known, closed),
        format_func=lambda kept: kept.name,
        key="dashboard_formula",
    )
    reference = right.selectbox(
        "Reference",
        bottles,
        index=first_reference(bottles, formula, closed),
        format_func=lambda kept: kept.name,
        placeholder="None",
        key=f"dashboard_reference-{formula.id}",
    )
    return formula, reference


def notes(*lots: Sequence[Formula | Reference | Compared]) -> None:
    """Says which data on this page are invented."""
    for note in dict.fromkeys(kept.invented for lot in lots for kept in lot):
        shared.show_invented(note)


def show(engine: Engine) -> None:
    """The page."""
    st.title("Dashboard")
    known, closed = formulas.formulas(engine), compared.closed(engine)
    bottles = formulas.references(engine)
    notes(known, bottles, closed)
    if not closed:
        begin(engine, known)
    if not known:
        return
    formula, reference = choose(known, bottles, closed)
    ids = tuple(one.id for one in chosen(closed, formula, reference))
    with shared.told():
        seen = dashboard_data.see(engine, ids, formula, reference)
        names = list(SECTIONS)
        section = st.segmented_control(
            "Show", names, default=names[0], key="section", label_visibility="collapsed"
        )
        SECTIONS[section or names[0]](engine, seen)


access.require_host()
show(shared.engine())
