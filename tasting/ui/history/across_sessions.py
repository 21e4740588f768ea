"""The part of the history page that looks at all closed sessions together."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula
from tasting.errors import InputError
from tasting.insight.findings.closed_session import ClosedSession
from tasting.insight.findings.pooling import (
    Adjusted,
    Repeated,
    adjusted,
    expected_alarms,
    repeated,
)
from tasting.insight.findings.progress import VersionProgress, steps
from tasting.insight.findings.ranking import Preferred, preferred
from tasting.panel.methods import METHODS
from tasting.stats.many import FalseAlarms
from tasting.store import session_index
from tasting.store.session_index import EVERY, Index, Wanted
from tasting.ui import page
from tasting.ui.dashboard.cached import HASHED
from tasting.ui.dashboard.choice import versions_of
from tasting.ui.history.across_tables import (
    adjusted_table,
    alarms_sentence,
    differences_table,
    pooled_sentence,
    preferred_chart,
    preferred_sentence,
    repeated_table,
)
from tasting.ui.history.assessors import show_assessors
from tasting.ui.history.progress_table import (
    by_reference,
    latest_sentence,
    step_sentence,
    steps_chart,
    steps_table,
)
from tasting.ui.tables import show_table
from tasting.ui.terms import explained

# Of long tables the first rows are shown.
_MOST_ROWS, _MOST_GROUPS = 60, 25


def show_together(engine: Engine, formulas: Sequence[Formula]) -> None:
    """Looks at all closed sessions, or one drink's; each is reckoned once it is asked for."""
    st.header("Over time", anchor=False)
    look = st.selectbox(
        "What all closed sessions say together",
        list(_LOOKS),
        index=None,
        placeholder="Comparisons, progress, assessors …",
        key="look",
        bind="query-params",
    )
    if not look:
        return
    index = session_index.index(engine, _wanted(formulas) if look != _ASSESSORS else EVERY)
    with page.show_errors():
        _LOOKS[look](engine, index)


def _wanted(formulas: Sequence[Formula]) -> Wanted:
    drink = st.selectbox(
        "Of one drink only",
        formulas,
        index=None,
        format_func=lambda formula: formula.name,
        placeholder="All drinks",
        key="together_drink",
    )
    return Wanted(versions_of(drink)) if drink else EVERY


@st.cache_resource(max_entries=4, show_spinner="Reading the closed sessions …", hash_funcs=HASHED)
def _closed(engine: Engine, index: Index, people: bool = False) -> tuple[ClosedSession, ...]:
    """These closed sessions; no pseudonym is kept."""
    return session_index.read(engine, index.wanted, people=people).sessions


@st.cache_resource(max_entries=8, show_spinner="Weighing them together …", hash_funcs=HASHED)
def _alarms(engine: Engine, index: Index) -> tuple[tuple[Adjusted, ...], FalseAlarms]:
    closed = _closed(engine, index)
    return adjusted(closed), expected_alarms(closed)


@st.cache_resource(max_entries=8, show_spinner="Weighing them together …", hash_funcs=HASHED)
def _repeats(engine: Engine, index: Index) -> tuple[Repeated, ...]:
    return repeated(_closed(engine, index), _MOST_GROUPS)


@st.cache_resource(max_entries=8, show_spinner="Weighing them together …", hash_funcs=HASHED)
def _steps(engine: Engine, index: Index) -> tuple[VersionProgress, ...]:
    return steps(_closed(engine, index))


@st.cache_resource(max_entries=8, show_spinner="Weighing them together …", hash_funcs=HASHED)
def _order(engine: Engine, index: Index) -> tuple[Preferred, pd.DataFrame] | None:
    """From the sessions that ask for a preference; no other is read. Raises InputError."""
    asked = tuple(key for key, one in METHODS.items() if one.question_kind == "preference")
    found = preferred(session_index.read(engine, replace(index.wanted, methods=asked)).sessions)
    return (found, differences_table(found)) if found else None


def _show_alarms(engine: Engine, index: Index) -> None:
    rows, alarms = _alarms(engine, index)
    if not rows:
        st.write("No session has a p-value yet.")
        return
    st.write(alarms_sentence(alarms))
    st.caption(
        "Holm's p keeps the risk of any false alarm at α; Benjamini and Hochberg's keeps the "
        "share of false alarms among the differences shown at α. Read a question that was planned "
        "on its own by its raw p, but not one picked out afterwards."
    )
    table = adjusted_table(rows)
    show_table(table[:_MOST_ROWS], "p-values of all sessions, raw and adjusted")
    if len(table) > _MOST_ROWS:
        st.caption(f"The {_MOST_ROWS} smallest of {len(table)}; all of them are corrected for.")


def _show_repeated(engine: Engine, index: Index) -> None:
    groups = _repeats(engine, index)
    if not groups:
        st.write("No two samples were compared twice by tests whose counts may be combined.")
        return
    for group in groups:
        said = pooled_sentence(group)
        st.markdown(page.escape_markdown(said), help=explained(said))
    show_table(repeated_table(groups), "Counts of repeated comparisons, combined")
    if len(groups) == _MOST_GROUPS:
        st.caption(f"Only the {_MOST_GROUPS} pairs compared most often are shown.")
    st.caption(
        "Likelihood intervals: the same people may have answered in several of these sessions; the "
        "intervals take their answers as independent. Sequential sessions, and those whose "
        "direction was open, are left out."
    )


def _show_steps(engine: Engine, index: Index) -> None:
    result = _steps(engine, index)
    if not result:
        st.write("No two versions were tasted one after the other against the same reference.")
        return
    for place, group in enumerate(by_reference(result)):
        st.markdown(f"**{page.escape_markdown(latest_sentence(group))}**")
        chart, text = steps_chart(group)
        st.altair_chart(chart, alt=text, key=f"steps_{place}")
    with st.expander("Version by version"):
        for step in result:
            st.write(page.escape_markdown(step_sentence(step)))
        show_table(steps_table(result), "Distances from the reference, version by version")
    st.caption(
        "Distances d′ with 95 % intervals allow for the method; a bar that reaches the top of the "
        "chart continues beyond it. One session has the interval of its own finding; several "
        "together, and the difference of two versions, have likelihood intervals that take answers "
        "as independent, though the same people may have given them.",
        help=explained("d′ (95 % interval)"),
    )


def _show_preferred(engine: Engine, index: Index) -> None:
    try:
        order = _order(engine, index)
    except InputError as error:
        st.write(page.escape_markdown(page.capital(f"{error}.")))
        return
    if order is None:
        st.write("An order needs preference sessions that connect at least three drinks.")
        return
    result, neighbours = order
    st.write(preferred_sentence(result))
    chart, text, table = preferred_chart(result)
    st.altair_chart(chart, alt=text, key="preferred")
    show_table(table, text)
    show_table(neighbours, "Each version against the next one in the order")
    st.caption(
        "One vote per person and session. People who voted in several sessions are treated as "
        "independent, so the intervals tend to be too narrow."
    )


_ASSESSORS = "Assessors"
_Look = Callable[[Engine, Index], None]
_LOOKS: Mapping[str, _Look] = {
    "Repeated comparisons": _show_repeated,
    "Closer to the reference?": _show_steps,
    "Preferred versions": _show_preferred,
    "False alarms": _show_alarms,
    _ASSESSORS: show_assessors,
}
# What each look is called in the address and on the page, and what shows it.
