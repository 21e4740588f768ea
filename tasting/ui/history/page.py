"""The page with everything in time, newest first, and with what all of it says together."""

from collections.abc import Sequence

import streamlit as st
from sqlalchemy import Engine

from tasting.store import formulas, past, session_index, sessions
from tasting.store.past import Search
from tasting.ui import access, page, pages
from tasting.ui.history import across_sessions
from tasting.ui.history.timeline import (
    CLOSED,
    KINDS,
    Entry,
    matching,
    merged,
    not_closed,
    rows,
    told,
)
from tasting.ui.linked_table import show_linked
from tasting.wording import day

_HEADER = ("Date", "Kind", "Title", "Finding")
_PAGE = 10
# Ten rows and what stands around them fit on a phone without scrolling more than twice.


def _asked(engine: Engine) -> tuple[Search, list[str]]:
    """What is searched, and the kinds that are shown; all of it stands in the address."""
    text = st.text_input(
        "Search", type="search", key="search", placeholder="lemon flat", bind="query-params"
    )
    with st.expander("Filter, or compare two drinks", key="filter"):
        kinds = st.pills(
            "Show only", KINDS, selection_mode="multi", key="kinds", bind="query-params"
        )
        drinks = _drinks(engine)
    return Search(tuple((text or "").casefold().split()), drinks), list(kinds)


def _drinks(engine: Engine) -> tuple[tuple[str, str], ...]:
    """Up to two drinks that sessions have to compare."""
    known = formulas.samples(engine)
    picked = [
        column.selectbox(
            label,
            known,
            index=None,
            format_func=lambda sample: sample.name,
            placeholder="Any drink",
            key=key,
            bind="query-params",
        )
        for column, label, key in zip(
            st.columns(2), ("One drink", "The other"), ("drink", "other"), strict=True
        )
    ]
    return tuple((one.kind, one.id) for one in picked if one)


def _found(engine: Engine, search: Search, kinds: list[str], known: list[Entry], only: str) -> None:
    """A page of what fits, newest first, as a table, and how much there is.

    only: the name of the formula, if there is one alone
    """
    fitting = matching(known, search.words, kinds, search.drinks)
    with_closed = not kinds or CLOSED in kinds
    count = past.count(engine, search) if with_closed else 0
    every = len(fitting) + count
    if not every:
        st.write("Nothing matches. Try fewer words, or another kind.")
        return
    _say_how_much(engine, search, kinds, every, count)
    table = st.container()
    pages_ = -(-every // _PAGE)
    place = st.pagination(pages_, key="page", bind="query-params") if pages_ > 1 else 1
    first = _PAGE * (place - 1)
    moments = past.moments(engine, search, first + _PAGE) if with_closed else []
    slots = merged(fitting, moments, first, _PAGE)
    shown = told(slots, past.told(engine, [slot for slot in slots if isinstance(slot, str)]))
    with table:
        _show_invented(shown)
        show_linked("What happened, newest first", _HEADER, rows(shown, only))


def _say_how_much(
    engine: Engine, search: Search, kinds: Sequence[str], every: int, closed: int
) -> None:
    """When two drinks were compared last, and how many entries fit what is searched."""
    if len(search.drinks) == 2 and closed:
        [(at, _)] = past.moments(engine, search, 1)
        times = "once" if closed == 1 else f"{closed} times"
        st.header(f"Last compared on {day(at)}; {times} in all.", anchor=False)
    if search.words or kinds or search.drinks:
        st.caption(f"{every} {'entry matches' if every == 1 else 'entries match'}")


def _show_invented(shown: Sequence[Entry]) -> None:
    """Once for the page, where all of it is invented; else the table says it row by row."""
    if all(entry.invented for entry in shown):
        st.caption("Invented data: nobody tasted any of this.")


def _say_first(engine: Engine) -> None:
    """How much was closed, and when; what was found last stands in the table."""
    last = past.newest(engine, 1)
    if not last:
        return
    count = past.count(engine, Search())
    sessions_ = "One session is closed" if count == 1 else f"{count} sessions are closed"
    st.header(f"{sessions_}, the last on {day(last[0].closed_at)}", anchor=False)


def _show(engine: Engine) -> None:
    """The page."""
    page.title("History")
    drinks, aside = formulas.formulas(engine), list(session_index.set_aside(engine))
    known = not_closed(drinks, sessions.not_closed(engine, aside))
    page.show_set_aside(aside)
    if not known and not past.count(engine, Search()):
        st.write("Nothing is saved yet. History begins with the first version of a formula.")
        st.page_link(
            pages.DRINK.script,
            label="Write the first formula",
            icon=":material/arrow_forward:",
            query_params={"new": "formula"},
        )
        return
    _say_first(engine)
    only = drinks[0].name if len(drinks) == 1 else ""
    _found(engine, *_asked(engine), known, only)
    across_sessions.show_together(engine, drinks)


access.require_host()
_show(page.engine())
