"""How many answers are in, never which."""

from collections import Counter
from collections.abc import Sequence

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.panel.plan import Plan
from tasting.store import sessions, stopping
from tasting.store.sessions import Seat, Summary
from tasting.ui import access, page
from tasting.ui.tables import show_table
from tasting.wording import many

_REFRESH_SECONDS = 3
_FEW = 6
_STILL_TO_COME = ("not begun", "consented", "tasting")
_STANDINGS = ("done", *_STILL_TO_COME[::-1], "stopped", "excluded")

_ENOUGH = "Sequential test: enough answers are in. You may close, and need not say why."
_GO_ON = "Sequential test: go on, there are not enough answers yet."
_WHAT_IT_TELLS = (
    "This changes only at looks fixed beforehand, and uses the answers as first given; "
    "corrections and exclusions count in the finding, not here. Stopping means that the test has "
    "decided; which way, you see after closing."
)


@st.fragment(run_every=_REFRESH_SECONDS)
def progress(session_id: str) -> None:
    """How many answers are in, and who is missing."""
    # A fragment runs without its page, and the sign-in may have ended in another tab.
    access.require_host()
    with page.show_store_errors():
        _count(session_id)


def answers(_: Engine, known: Summary) -> None:
    """A section of an open session: how many answers of each assessor are in, never which."""
    _list(known.id)


@st.fragment(run_every=_REFRESH_SECONDS)
def _list(session_id: str) -> None:
    access.require_host()
    with page.show_store_errors():
        seats = sessions.seats(page.engine(), session_id)
        show_table(pd.DataFrame([_row(seat) for seat in seats]), "Answers in, by assessor")


def _count(session_id: str) -> None:
    """The count, and whose answers are still to come."""
    seats = sessions.seats(page.engine(), session_id)
    count, missing = st.columns([3, 2], gap="large")
    with count:
        _show_count(session_id, seats)
    with missing:
        _show_missing(seats)


def _show_count(session_id: str, seats: Sequence[Seat]) -> None:
    """How many are in, and where the assessors stand."""
    answered, planned = (sum(seat.answered for seat in seats), sum(seat.planned for seat in seats))
    known = sessions.summary(page.engine(), session_id)
    st.header(f"{answered} of {many(planned, 'answer is', 'answers are')} in")
    st.progress(answered / planned)
    standings = Counter(map(standing, seats))
    st.write(" · ".join(f"{standings[one]} {one}" for one in _STANDINGS if standings[one]))
    st.caption("Nobody, including you, can see how many are correct before you close.")
    if known.plan.sequential and known.state == "open":
        enough = stopping.enough_answers(page.engine(), session_id)
        st.info(_ENOUGH if enough else f"{_GO_ON} {_next_look(known.plan, answered)}")
        st.caption(_WHAT_IT_TELLS)


def _show_missing(seats: Sequence[Seat]) -> None:
    """Whose answers are still to come, who has not begun first."""
    missing = [seat for seat in seats if standing(seat) in _STILL_TO_COME]
    missing.sort(key=lambda seat: _STILL_TO_COME.index(standing(seat)))
    if missing:
        said = f"Still to come: {len(missing)} of {many(len(seats), 'assessor')}"
        more = f" and {len(missing) - _FEW} more" if len(missing) > _FEW else ""
        named = " · ".join(_named(seat) for seat in missing[:_FEW])
        st.markdown(f"**{said}**")
        st.write(page.escape_markdown(f"{named}{more}"))
    else:
        st.markdown("**All answers are in.** You may close.")


def _named(seat: Seat) -> str:
    done = f"{seat.answered} of {seat.planned}" if seat.answered else standing(seat)
    return f"{seat.assessor} ({done})"


def _next_look(plan: Plan, answered: int) -> str:
    """When the test looks again; it says nothing in between."""
    following = plan.looks_told.following(answered)
    if following > plan.tastings:
        return "No look is left; further answers count for the estimates only."
    return f"It looks again after {many(following, 'answer')}."


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
