"""A section of the run page: how many answers are in, never which."""

import pandas as pd
import streamlit as st

from tasting.panel.plan import Plan
from tasting.store import sessions, stopping
from tasting.store.sessions import Seat
from tasting.ui import access, page
from tasting.ui.tables import show_table

_REFRESH_SECONDS = 3

_ENOUGH = "Sequential test: enough answers are in. You may close, and need not say why."
_GO_ON = "Sequential test: go on, there are not enough answers yet."
_WHAT_IT_TELLS = (
    "This changes at looks fixed beforehand only, and rests on the answers as first given: a "
    "correction or an exclusion counts in the finding, not here. That the test stopped says that "
    "it decided; which way is said after closing."
)


@st.fragment(run_every=_REFRESH_SECONDS)
def progress(session_id: str) -> None:
    """How many answers of each assessor are in, and where each one stands."""
    # A fragment runs without its page, and the sign-in may have ended in another tab.
    access.require_host()
    with page.show_store_errors():
        _count(session_id)


def _count(session_id: str) -> None:
    """The count, and the table."""
    seats = sessions.seats(page.engine(), session_id)
    answered, planned = (sum(seat.answered for seat in seats), sum(seat.planned for seat in seats))
    st.subheader("Answers")
    st.progress(answered / planned, text=f"{answered} of {planned} answers are in")
    known = sessions.summary(page.engine(), session_id)
    if known.plan.sequential and known.state == "open":
        enough = stopping.enough_answers(page.engine(), session_id)
        st.info(_ENOUGH if enough else f"{_GO_ON} {_next_look(known.plan, answered)}")
        st.caption(_WHAT_IT_TELLS)
    show_table(pd.DataFrame([_row(seat) for seat in seats]), "Answers that are in, by assessor")


def _next_look(plan: Plan, answered: int) -> str:
    """When the test looks again; it says nothing in between."""
    following = plan.looks_told.following(answered)
    if following > plan.tastings:
        return "No look is left; the rest counts for the estimates."
    return f"It looks again after {following} answers."


def _row(seat: Seat) -> dict[str, str]:
    return {
        "Assessor": seat.assessor,
        "Sets answered": f"{seat.answered} of {seat.planned}",
        "Stands at": standing(seat),
    }


def standing(seat: Seat) -> str:
    """Where an assessor stands, in a few words."""
    if seat.excluded:
        return "excluded"
    if seat.withdrawn:
        return "stopped"
    if seat.answered == seat.planned:
        return "done"
    if seat.answered:
        return "tasting"
    return "consented" if seat.consented else "not begun"
