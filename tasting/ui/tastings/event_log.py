"""What happened to a session, as a table to read."""

from collections.abc import Sequence
from datetime import UTC

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.panel.entries import Event
from tasting.store import sessions
from tasting.ui.tables import show_table
from tasting.wording import day

_STYLE = "<style>.st-key-log td:last-child {overflow-wrap: anywhere;}</style>"
# A seal has no place where a line could end, and a phone would cut it off.


def event_rows(happened: Sequence[Event]) -> pd.DataFrame:
    """One row for each event, oldest first; times in UTC."""
    return pd.DataFrame(
        [
            {"When (UTC)": _when(event), "What": event.what, "More": event.detail}
            for event in happened
        ],
        columns=["When (UTC)", "What", "More"],
    )


def _when(event: Event) -> str:
    at = event.at.astimezone(UTC)
    return f"{day(at)}, {at:%H:%M:%S}"


def show_log(engine: Engine, session_id: str) -> None:
    """The log; it tells neither the key nor any choice."""
    rows = event_rows(sessions.events(engine, session_id))
    if rows.empty:
        st.write("No corrections or notes recorded.")
        return
    with st.container(key="log"):
        st.html(_STYLE)
        show_table(rows, "What happened to this session, oldest first")
