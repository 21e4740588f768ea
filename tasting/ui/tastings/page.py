"""All sessions by their state: open, planned, closed; each row opens its session."""

from collections.abc import Sequence
from datetime import date, time

import streamlit as st
from sqlalchemy import Engine

from tasting.store import past, sessions
from tasting.store.past import Past, Search
from tasting.store.sessions import Summary
from tasting.ui import access, page, pages
from tasting.ui.tastings.words import in_short, shortened
from tasting.wording import appointment, day

Row = tuple[str, str, str]
# Closed sessions on one page.
_ON_A_PAGE = 12
# Query parameter with the number of the page.
_PAGE = "page"


def _row(session_id: str, called: str, told: str) -> None:
    """A session: its name, which opens it, and what is said of it."""
    name, said = st.columns([5, 7], vertical_alignment="center", gap="small")
    with name:
        st.page_link(
            pages.TASTING.script,
            label=f"**{page.escape_markdown(called)}**",
            query_params={"id": session_id},
        )
    said.caption(page.escape_markdown(told))


def _rows(title: str, shown: Sequence[Row]) -> None:
    """The sessions of one state, if there are any."""
    if not shown:
        return
    st.header(title)
    with st.container(key=f"rows-{title.split()[0].lower()}", gap=None):
        for row in shown:
            _row(*row)


def _open(known: Summary) -> str:
    return f"{known.answered} of {known.plan.tastings} answers in · {in_short(known.plan)}"


def _planned(known: Summary) -> str:
    on, at = known.plan.taste_on, known.plan.taste_at
    return " · ".join([*([appointment(on, at)] if on else []), in_short(known.plan)])


def _due(known: Summary) -> tuple[date, time]:
    """What comes first stands first; what has no day yet comes last."""
    return known.plan.taste_on or date.max, known.plan.taste_at or time.max


def _found(engine: Engine, closed: Past) -> str:
    """When it was closed, and what it found; a damaged one says so in place of that."""
    if closed.fault:
        return f"{day(closed.closed_at)} · set aside: {closed.fault}"
    plan = sessions.summary(engine, closed.id).plan
    said = shortened(closed.headline, plan) or "closed without an answer that counts"
    return f"{day(closed.closed_at)} · {said}"


def _closed(engine: Engine) -> str:
    """The closed ones, newest first, a page at a time; what is said of invented ones."""
    count = past.count(engine, Search())
    last = max(1, -(-count // _ON_A_PAGE))
    asked = st.query_params.get(_PAGE, "1")
    # What is longer than any number of pages is read as the last one.
    at = min(max(int(asked[:9]), 1), last) if asked.isdecimal() else 1
    ids = [id_ for _, id_ in past.moments(engine, Search(), at * _ON_A_PAGE)]
    told = past.told(engine, ids[(at - 1) * _ON_A_PAGE :])
    shown = [told[id_] for id_ in ids[(at - 1) * _ON_A_PAGE :]]
    _rows(f"Closed ({count})", [(one.id, one.name, _found(engine, one)) for one in shown])
    if last > 1:
        _turn(at, last)
    return next((one.invented for one in shown if one.invented), "")


def _turn(at: int, last: int) -> None:
    """To the page before and after."""
    with st.container(horizontal=True, vertical_alignment="center"):
        if st.button("Newer", key="newer", disabled=at == 1):
            _turn_to(at - 1)
        st.write(f"Page {at} of {last}")
        if st.button("Earlier", key="earlier", disabled=at == last):
            _turn_to(at + 1)
        st.page_link(pages.HISTORY.script, label="Search all in History", width="content")


def _turn_to(number: int) -> None:
    st.query_params[_PAGE] = str(number)
    st.rerun()


def _show(engine: Engine) -> None:
    """The page."""
    page.title("Tastings")
    aside: list[str] = []
    known = sessions.not_closed(engine, aside)
    if not sessions.kept_any(engine):
        st.write(
            "No session yet. A tasting compares two drinks blind; once planned, it is listed here."
        )
    if st.button("New tasting", type="primary", icon=":material/add:", key="new"):
        st.switch_page(pages.NEW.script)
    invented = st.container()
    page.show_set_aside(aside)
    going = {state: [one for one in known if one.state == state] for state in _STATES}
    _rows("Open", [(one.id, one.name, _open(one)) for one in going["open"]])
    planned = sorted(going["planned"], key=_due)
    _rows("Planned", [(one.id, one.name, _planned(one)) for one in planned])
    said = _closed(engine)
    _show_given_up(going["abandoned"])
    with invented:
        page.show_invented(said or next((one.invented for one in known if one.invented), ""))


def _show_given_up(given_up: Sequence[Summary]) -> None:
    if not given_up:
        return
    with st.expander(f"Given up ({len(given_up)})"):
        for one in given_up[:_ON_A_PAGE]:
            _row(one.id, one.name, f"{day(one.abandoned_at)} · {one.abandoned_reason}")


_STATES = ("open", "planned", "abandoned")
access.require_host()
_show(page.engine())
