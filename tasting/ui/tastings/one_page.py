"""The page of one session through its life: planned, open, closed; found by `?id=`."""

import streamlit as st
from sqlalchemy import Engine

from tasting.store import sessions
from tasting.store.sessions import Summary
from tasting.ui import access, page, pages
from tasting.ui.tastings.event_log import show_log
from tasting.ui.tastings.finding import closed
from tasting.ui.tastings.planning import planned
from tasting.ui.tastings.running import opened
from tasting.ui.tastings.words import in_short, planned_for
from tasting.wording import day


def _asked(engine: Engine) -> Summary | None:
    """The session in the address; None after saying that there is none."""
    with page.show_errors():
        if "id" in st.query_params:
            return sessions.summary(engine, st.query_params["id"])
        st.write("Choose a session.")
    return None


def _head(known: Summary) -> None:
    """What it is, in one line; its name stands in the title."""
    page.show_invented(known.invented)
    purpose = f" · Purpose: {known.purpose}" if known.purpose else ""
    st.caption(page.escape_markdown(f"{_state(known)} · {in_short(known.plan)}{purpose}"))


def _state(known: Summary) -> str:
    if known.state == "open":
        return f"Open since {day(known.opened_at)}"
    if known.state == "closed":
        return f"Closed {day(known.closed_at)}"
    if known.state == "planned":
        return planned_for(known.plan)
    return f"Given up {day(known.abandoned_at)}"


def _show(engine: Engine) -> None:
    """The page."""
    known = _asked(engine)
    page.title(known.name if known else "Tasting")
    if known is None:
        st.page_link(pages.TASTINGS.script, label="All tastings")
        return
    _head(known)
    with page.show_errors():
        if known.state == "planned":
            planned.show(engine, known)
        elif known.state == "open":
            opened.show(engine, known)
        elif known.state == "closed":
            closed.show(engine, sessions.closed_session(engine, known.id))
        else:
            _show_given_up(engine, known)


def _show_given_up(engine: Engine, known: Summary) -> None:
    """Why it was given up; its key stays sealed."""
    st.write(
        page.escape_markdown(f"Given up: {known.abandoned_reason}. Its serving key stays sealed.")
    )
    with st.expander("Record"):
        show_log(engine, known.id)


access.require_host()
_show(page.engine())
