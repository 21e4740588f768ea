"""The first page: is it there yet, was the last change noticed, what comes next."""

from collections.abc import Sequence

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula
from tasting.drink.label import Reference
from tasting.insight.advice.question import Question
from tasting.insight.noticing.drivers import DEFAULT_DRIVERS, DRIVERS
from tasting.store import formulas, notes, session_index
from tasting.ui import access, page, pages
from tasting.ui.dashboard import (
    answers_row,
    cached,
    forecast,
    next_session,
    noticed,
    overview,
    target,
    versions_table,
)
from tasting.ui.dashboard import sessions as dashboard_sessions
from tasting.ui.dashboard.choice import (
    chosen,
    first_formula,
    first_reference,
    versions_of,
)
from tasting.ui.page import escape_markdown

_DEPTH = {
    "Noticeable steps": noticed.show,
    "Predict a test": forecast.show,
    "Next session": next_session.show,
    "Next version": target.show,
    "All sessions": dashboard_sessions.show,
    "Against the label": dashboard_sessions.show_label,
}


def _begin() -> None:
    """What to do first, as long as no formula is saved."""
    st.title("Dashboard")
    st.write(
        "Write a formula, then compare two versions blind, or one with a reference. What you find "
        "appears here."
    )
    st.page_link(
        pages.DRINK.script,
        label="Write the first formula",
        icon=":material/arrow_forward:",
        query_params={"new": "formula"},
    )


def _choose(
    engine: Engine, known: Sequence[Formula], bottles: Sequence[Reference]
) -> tuple[Formula, Reference | None, tuple[str, ...]]:
    """The formula, the reference and the drivers that the page is about; they head it."""
    with st.container(horizontal=True, vertical_alignment="center", key="head"):
        title, against = st.empty(), st.empty()
        with st.popover("Change"):
            formula = st.selectbox(
                "Formula",
                known,
                index=_first(known, session_index.last_version(engine)),
                format_func=lambda kept: kept.name,
                key="dashboard_formula",
            )
            times = session_index.times_compared(engine, versions_of(formula))
            reference = st.selectbox(
                "Reference",
                bottles,
                index=first_reference(bottles, times),
                format_func=lambda kept: kept.name,
                placeholder="None",
                key=f"dashboard_reference-{formula.id}",
            )
            drivers = _choose_drivers()
    title.title(escape_markdown(formula.name), width="content")
    if reference:
        against.markdown(f"against **{escape_markdown(reference.name)}**", width="content")
    return formula, reference, drivers


def _first(known: Sequence[Formula], last: str | None) -> int:
    """The place of the formula that the address asks for, else of the one that was tasted last."""
    asked = st.query_params.get("id")
    ids = [formula.id for formula in known]
    return ids.index(asked) if asked in ids else first_formula(known, last)


def _choose_drivers() -> tuple[str, ...]:
    """Keys of what the host explains noticed differences by, in a fixed order; without a choice
    acid and sugar."""
    picked = st.multiselect(
        "Drivers: the figures that explain what is noticed (at least one)",
        list(DRIVERS),
        default=list(DEFAULT_DRIVERS),
        format_func=lambda key: DRIVERS[key].name,
        key="dashboard_drivers",
    )
    return tuple(key for key in DRIVERS if key in (picked or DEFAULT_DRIVERS))


def _notes(engine: Engine, known: Sequence[Formula | Reference]) -> None:
    """Says which data on this page are invented, once, and which sessions are set aside."""
    own = [kept.invented for kept in known]
    notes = list(filter(None, dict.fromkeys([*own, *session_index.invented(engine)])))
    if notes:
        first = notes[0].partition(":")[0]
        more = " ".join(notes) if notes != [first] else ""
        st.caption(f"Invented data: {escape_markdown(first)}", help=escape_markdown(more) or None)
    page.show_set_aside(session_index.set_aside(engine))


def _show(engine: Engine) -> None:
    """The page."""
    st.set_page_config(page_title="Dashboard · Tasting log")
    known, bottles = _offered(engine)
    if not known:
        _begin()
        _notes(engine, bottles)
        return
    formula, reference, keys = _choose(engine, known, bottles)
    _notes(engine, [*known, *bottles])
    index = session_index.index(engine, chosen(formula, reference))
    with page.show_errors():
        board = cached.load(engine, index, keys, formula, reference)
        page.show_set_aside(board.set_aside)
        question = answers_row.asked(engine, board)
        answers_row.show(engine, board, question)
        overview.show_map(board)
        _show_depth(engine, board, question)


def _offered(engine: Engine) -> tuple[Sequence[Formula], Sequence[Reference]]:
    """The formulas and references to choose from: what is put away is left out, unless the address
    asks for it or there is nothing else."""
    every, bottles = formulas.formulas(engine), formulas.references(engine)
    asked = st.query_params.get("id", "")
    return notes.still_out(engine, every, asked) or every, notes.still_out(engine, bottles, asked)


def _show_depth(engine: Engine, board: cached.DashboardModel, question: Question) -> None:
    """The curve, and behind it what explains the rest; each is made once it is opened."""
    st.html('<h2 class="unseen">What is noticed, and more about it</h2>')
    shows = {
        "How much is noticed": overview.show_curve,
        "Versions": lambda _engine, _board: versions_table.show(question),
        **_DEPTH,
    }
    tabs = st.tabs(list(shows), key="known", on_change="rerun")
    for tab, show in zip(tabs, shows.values(), strict=True):
        if tab.open:
            with tab:
                show(engine, board)


access.require_host()
_show(page.engine())
