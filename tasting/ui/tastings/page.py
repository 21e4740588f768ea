"""All sessions by their state: open, planned, closed; each row opens its session."""

from collections.abc import Sequence

import streamlit as st
from sqlalchemy import Engine

from tasting.insight.findings.finding import finding
from tasting.insight.findings.tally import Tally
from tasting.store import sessions
from tasting.store.sessions import Summary
from tasting.ui import access, page, pages
from tasting.ui.tastings.words import in_short, shortened
from tasting.wording import day

# Closed sessions on one page.
_ON_A_PAGE = 12
# Query parameter with the number of the page.
_PAGE = "page"


def _row(known: Summary, told: str) -> None:
    """A session: its name, which opens it, and what is said of it."""
    name, said = st.columns([5, 7], vertical_alignment="center", gap="small")
    with name:
        st.page_link(
            pages.TASTING.script,
            label=f"**{page.escape_markdown(known.name)}**",
            query_params={"id": known.id},
        )
    said.caption(page.escape_markdown(told))


def _rows(title: str, shown: Sequence[tuple[Summary, str]]) -> None:
    """The sessions of one state, if there are any."""
    if not shown:
        return
    st.header(title)
    with st.container(key=f"rows-{title.split()[0].lower()}", gap=None):
        for known, told in shown:
            _row(known, told)


def _open(known: Summary) -> str:
    return f"{known.answered} of {known.plan.tastings} answers in · {in_short(known.plan)}"


def _found(engine: Engine, known: Summary) -> str:
    """When it was closed, and what it found; a damaged one says so in place of that."""
    with page.show_errors():
        session = sessions.closed_session(engine, known.id)
        nothing = not Tally.of_session(session).n
        said = "closed without an answer that counts" if nothing else finding(session).headline
        return f"{day(known.closed_at)} · {shortened(said, known.plan)}"
    return day(known.closed_at)


def _closed(engine: Engine, closed: Sequence[Summary]) -> None:
    """The closed ones, newest first, a page at a time."""
    last = max(1, -(-len(closed) // _ON_A_PAGE))
    asked = st.query_params.get(_PAGE, "1")
    at = min(max(int(asked), 1), last) if asked.isdecimal() else 1
    shown = closed[(at - 1) * _ON_A_PAGE : at * _ON_A_PAGE]
    _rows(f"Closed ({len(closed)})", [(known, _found(engine, known)) for known in shown])
    if last == 1:
        return
    with st.container(horizontal=True, vertical_alignment="center"):
        if st.button("Newer", key="newer", disabled=at == 1):
            _turn_to(at - 1)
        st.write(f"Page {at} of {last}")
        if st.button("Earlier", key="earlier", disabled=at == last):
            _turn_to(at + 1)


def _turn_to(number: int) -> None:
    st.query_params[_PAGE] = str(number)
    st.rerun()


def _show(engine: Engine) -> None:
    """The page."""
    page.title("Tastings")
    known = sessions.summaries(engine)
    by_state = {state: [one for one in known if one.state == state] for state in _STATES}
    if not known:
        st.write("No session yet. A tasting compares two drinks blind; this is where it is kept.")
    if st.button("New tasting", type="primary", icon=":material/add:", key="new"):
        st.switch_page(pages.NEW.script)
    for note in dict.fromkeys(one.invented for one in known if one.invented):
        page.show_invented(note)
        break
    _rows("Open", [(one, _open(one)) for one in by_state["open"]])
    _rows("Planned", [(one, in_short(one.plan)) for one in by_state["planned"]])
    closed = sorted(by_state["closed"], key=lambda one: one.closed_at or one.planned_at)
    _closed(engine, closed[::-1])
    given_up = [(one, _given_up(one)) for one in by_state["abandoned"]]
    if given_up:
        with st.expander(f"Given up ({len(given_up)})"):
            for one, told in given_up:
                _row(one, told)


def _given_up(known: Summary) -> str:
    return f"{day(known.abandoned_at)} · {known.abandoned_reason}"


_STATES = ("open", "planned", "closed", "abandoned")
access.require_host()
_show(page.engine())
