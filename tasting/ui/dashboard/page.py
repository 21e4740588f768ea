"""The first page after signing in: what people notice in this drink, and what to do next."""

from collections.abc import Sequence

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula
from tasting.drink.label import Reference
from tasting.insight.noticing.drivers import DEFAULT_DRIVERS, DRIVERS
from tasting.store import formulas, session_index, sessions
from tasting.store.session_index import Compared
from tasting.ui import access, page, pages
from tasting.ui.dashboard import cached, forecast, next_session, noticed, target
from tasting.ui.dashboard import sessions as dashboard_sessions
from tasting.ui.dashboard.choice import chosen, first_formula, first_reference

_ARROW = ":material/arrow_forward:"
_SECTIONS = {
    "What is noticed": noticed.show,
    "Two versions": forecast.show,
    "Next test": next_session.show,
    "Where to go": target.show,
    "Every session": dashboard_sessions.show,
    "Beside the label": dashboard_sessions.show_label,
}


def _begin(engine: Engine, known: Sequence[Formula]) -> None:
    """What to do first, as long as no session is closed."""
    going = [kept for kept in sessions.summaries(engine) if kept.state == "open"]
    if going:
        st.write("A session is open. What it finds is drawn here once you close it.")
        st.page_link(pages.TASTINGS.script, label="See how many answers are in", icon=_ARROW)
    elif known:
        st.write("No session is closed yet. Compare two drinks blind; what you find is drawn here.")
        st.page_link(pages.NEW.script, label="Plan a session", icon=_ARROW)
    else:
        st.write(
            "Nothing is kept yet. Write down a formula, plan a blind session of two of its "
            "versions (or of one and a reference), and what you find is drawn here."
        )
        st.page_link(pages.DRINKS.script, label="Write the first formula", icon=_ARROW)


def _choose(
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


def _choose_drivers() -> tuple[str, ...]:
    """Keys of what the host explains noticed differences by, in a fixed order; without a choice
    acid and sugar."""
    with st.expander("Drivers"):
        picked = st.multiselect(
            "Figures of the drink whose differences explain what is noticed (at least one)",
            list(DRIVERS),
            default=list(DEFAULT_DRIVERS),
            format_func=lambda key: DRIVERS[key].name,
            key="dashboard_drivers",
        )
    return tuple(key for key in DRIVERS if key in (picked or DEFAULT_DRIVERS))


def _notes(*lots: Sequence[Formula | Reference | Compared]) -> None:
    """Says which data on this page are invented."""
    for note in dict.fromkeys(kept.invented for lot in lots for kept in lot):
        page.show_invented(note)


def _show(engine: Engine) -> None:
    """The page."""
    page.title("Dashboard")
    known, closed = formulas.formulas(engine), session_index.closed(engine)
    bottles = formulas.references(engine)
    _notes(known, bottles, closed)
    if not closed:
        _begin(engine, known)
    if not known:
        return
    formula, reference = _choose(known, bottles, closed)
    ids = tuple(one.id for one in chosen(closed, formula, reference))
    # The drivers stand below all that follows from them.
    body, keys = st.container(), _choose_drivers()
    with body, page.show_errors():
        board = cached.load(engine, ids, keys, formula, reference)
        names = list(_SECTIONS)
        section = st.segmented_control(
            "Show", names, default=names[0], key="section", label_visibility="collapsed"
        )
        _SECTIONS[section or names[0]](engine, board)


access.require_host()
_show(page.engine())
