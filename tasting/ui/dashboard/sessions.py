"""A section of the dashboard: every closed session, by any method, and its size in the glass."""

from collections.abc import Sequence
from functools import partial

import streamlit as st
from sqlalchemy import Engine

from tasting.insight.noticing.noticed import Noticed, noticed
from tasting.store import formulas, session_index, sessions
from tasting.ui import page
from tasting.ui.dashboard.cached import KEPT, DashboardModel
from tasting.ui.dashboard.sessions_chart import (
    INTERVAL,
    SAMPLES,
    SUGAR,
    TA,
    Quantity,
    noticed_against,
    session_name,
)
from tasting.ui.drinks.views import show_versions_against_label
from tasting.ui.tables import show_table


@st.cache_resource(max_entries=KEPT, show_spinner="Reading the closed sessions …")
def _rows(key: tuple[str, ...], _engine: Engine) -> tuple[Noticed, ...]:
    closed = [sessions.closed_session(_engine, id_) for id_ in key[1:]]
    return noticed(closed, partial(formulas.drink, _engine))


def show(engine: Engine, seen: DashboardModel) -> None:
    """Both charts of all closed sessions, of this formula or not, and how to read them."""
    ids = tuple(one.id for one in session_index.closed(engine))
    rows = _rows((str(engine.url), *ids), engine)
    if not rows:
        st.write("No session is closed yet with an answer that counts.")
        return
    st.write(
        "Each mark is a closed session: how often its difference was noticed, beyond guessing, "
        "with the exact 95 % interval as a line. A filled mark is a difference that was shown at "
        "the α of its plan; a hollow one was not shown, which is not evidence of no difference. "
        "Marks at nearly one place are moved apart a little; the tables have the exact numbers."
    )
    st.caption(
        "For a preference test the value is the lead of one sample over the other: some may have "
        "noticed and still be divided in their liking, so read it as a lower bound."
    )
    for quantity in (TA, SUGAR):
        _show_noticed(rows, quantity)


def _show_noticed(rows: Sequence[Noticed], quantity: Quantity) -> None:
    chart, text, table = noticed_against(rows, quantity)
    undrawn = [session_name(row) for row in rows if _undrawn(row, quantity)]
    st.subheader(f"Noticed, by difference in {quantity.name}")
    if len(undrawn) < len(rows):
        st.altair_chart(chart, alt=text, key=f"chart-{quantity.level}")
    if undrawn:
        st.caption(
            f"In the table only, because the {quantity.name} of one drink is not known, or the "
            f"method has no share of tastings: {page.escape_markdown('; '.join(undrawn))}."
        )
    with st.expander("The same numbers as a table"):
        show_table(table, text, unbroken=[INTERVAL, "Difference", "Method", SAMPLES])


def _undrawn(row: Noticed, quantity: Quantity) -> bool:
    return quantity.step(row) is None or row.finding.evidence.noticed is None


def show_label(engine: Engine, seen: DashboardModel) -> None:
    """The versions one by one beside the label of the reference."""
    names = [kept.name for kept in (seen.formula, seen.reference) if kept]
    st.subheader(page.escape_markdown(" against ".join(names)))
    show_versions_against_label(seen.formula, seen.reference)
