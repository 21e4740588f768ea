"""The first page after signing in: what people notice in this drink, and what to do next."""

from collections.abc import Sequence

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula
from tasting.drink.label import Reference
from tasting.insight.noticing.drivers import DEFAULT_DRIVERS, DRIVERS
from tasting.store import formulas, session_index, sessions
from tasting.ui import access, page, pages
from tasting.ui.dashboard import cached, forecast, next_session, noticed, target
from tasting.ui.dashboard import sessions as dashboard_sessions
from tasting.ui.dashboard.choice import (
    chosen,
    first_formula,
    first_reference,
    versions_of,
)

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
    if any(kept.state == "open" for kept in sessions.going(engine, [])):
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
    engine: Engine, known: Sequence[Formula], bottles: Sequence[Reference]
) -> tuple[Formula, Reference | None]:
    """The formula and the reference that the page is about."""
    left, right = st.columns(2)
    formula = left.selectbox(
        "Formula",
        known,
        index=first_formula(known, session_index.last_version(engine)),
        format_func=lambda kept: kept.name,
        key="dashboard_formula",
    )
    reference = right.selectbox(
        "Reference",
        bottles,
        index=first_reference(bottles, session_index.times_compared(engine, versions_of(formula))),
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


def _notes(engine: Engine, known: Sequence[Formula | Reference]) -> None:
    """Says which data on this page are invented, and which sessions are set aside."""
    own = [kept.invented for kept in known]
    for note in dict.fromkeys([*own, *session_index.invented(engine)]):
        page.show_invented(note)
    page.show_set_aside(session_index.set_aside(engine))


def _show(engine: Engine) -> None:
    """The page."""
    page.title("Dashboard")
    known, bottles = formulas.formulas(engine), formulas.references(engine)
    _notes(engine, [*known, *bottles])
    if not session_index.index(engine).count:
        _begin(engine, known)
    if not known:
        return
    formula, reference = _choose(engine, known, bottles)
    index = session_index.index(engine, chosen(formula, reference))
    # The drivers stand below all that follows from them.
    body, keys = st.container(), _choose_drivers()
    with body, page.show_errors():
        board = cached.load(engine, index, keys, formula, reference)
        page.show_set_aside(board.set_aside)
        names = list(_SECTIONS)
        section = st.segmented_control(
            "Show", names, default=names[0], key="section", label_visibility="collapsed"
        )
        _SECTIONS[section or names[0]](engine, board)


access.require_host()
_show(page.engine())
