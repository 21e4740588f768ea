"""A section of the dashboard: every closed session, by any method, and its size in the glass."""

import streamlit as st
from sqlalchemy import Engine

from tasting.store import session_index
from tasting.ui.dashboard.cached import DashboardModel, shares
from tasting.ui.dashboard.cached_charts import sessions_picture
from tasting.ui.dashboard.noticed import MARKS, how_to_read, show_noticed
from tasting.ui.drinks.views import show_versions_against_label
from tasting.ui.page import escape_markdown


def show(engine: Engine, board: DashboardModel) -> None:
    """A chart for each driver, with all closed sessions, of this formula or not."""
    index = session_index.index(engine)
    if not shares(engine, index, board.keys):
        st.write("No session is closed yet with an answer that counts.")
        return
    told = (
        f"{how_to_read()} A test that names an attribute (“more sour?”) measures the distance in "
        "that attribute alone."
    )
    for driver in board.thresholds.drivers:
        st.subheader(f"Share who notice, by step in {driver.name}")
        picture = sessions_picture(engine, index, board.keys, driver)
        st.caption(MARKS)
        show_noticed(picture, f"every-{driver.key}", told)


def show_label(engine: Engine, board: DashboardModel) -> None:
    """The versions one by one beside the label of the reference."""
    names = [kept.name for kept in (board.formula, board.reference) if kept]
    st.subheader(escape_markdown(" against ".join(names)))
    show_versions_against_label(board.formula, board.reference)
