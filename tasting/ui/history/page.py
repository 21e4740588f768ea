"""The page with everything in time, newest first, and with everything to take away."""

from functools import partial

import streamlit as st
from sqlalchemy import Engine

from tasting.records import now
from tasting.report.answers import safe_csv
from tasting.store import formulas, past, session_index, sessions
from tasting.store.access import check_passphrase
from tasting.store.all_answers import all_answers
from tasting.store.documents import export_document, write_document
from tasting.store.past import Search
from tasting.ui import access, page, pages
from tasting.ui.history import across_sessions
from tasting.ui.history.timeline import CLOSED, KINDS, Entry, matching, merged, not_closed, told
from tasting.ui.tastings.event_log import show_log
from tasting.wording import day

_ARROW = ":material/arrow_forward:"
_PAGE = 50


def _asked(engine: Engine) -> tuple[Search, list[str]]:
    """What is searched, and the kinds that are shown; all of it stands in the address."""
    text = st.text_input(
        "Search", type="search", key="search", placeholder="lemon flat", bind="query-params"
    )
    kinds = st.pills("Show only", KINDS, selection_mode="multi", key="kinds", bind="query-params")
    with st.expander("When did we last compare these two?", key="compared"):
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


def _found(engine: Engine, search: Search, kinds: list[str], known: list[Entry]) -> list[Entry]:
    """A page of what fits, newest first, and how much there is."""
    fitting = matching(known, search.words, kinds, search.drinks)
    with_closed = not kinds or CLOSED in kinds
    count = past.count(engine, search) if with_closed else 0
    every = len(fitting) + count
    if not every:
        st.write("Nothing fits. Try fewer words, or another kind.")
        return []
    if search.words or kinds or search.drinks:
        st.caption(f"{every} {'entry fits' if every == 1 else 'entries fit'}")
    if len(search.drinks) == 2 and count:
        _say_when(engine, search, count)
    pages_ = -(-every // _PAGE)
    place = st.pagination(pages_, key="page", bind="query-params") if pages_ > 1 else 1
    first = _PAGE * (place - 1)
    moments = past.moments(engine, search, first + _PAGE) if with_closed else []
    slots = merged(fitting, moments, first, _PAGE)
    return told(slots, past.told(engine, [slot for slot in slots if isinstance(slot, str)]))


def _say_when(engine: Engine, search: Search, count: int) -> None:
    """When two drinks were compared last."""
    [(at, _)] = past.moments(engine, search, 1)
    times = "once" if count == 1 else f"{count} times"
    st.write(f"Last compared on {day(at)}; {times} in all.")


def _show_entry(entry: Entry) -> None:
    """One entry with its day, its kind and, for a closed session, the way to its finding."""
    invented = " · invented data" if entry.invented else ""
    with st.container(border=True, gap="xsmall"):
        st.caption(f"{day(entry.at)} · {entry.kind}{invented}")
        st.markdown(f"**{page.escape_markdown(entry.title)}**")
        st.write(page.escape_markdown(entry.text))
        if entry.purpose:
            st.caption(f"To decide: {page.escape_markdown(entry.purpose)}")
        if entry.finding and entry.session_id:
            asked = {"id": entry.session_id}
            st.page_link(
                pages.TASTING.script,
                label="Read the finding",
                icon=_ARROW,
                query_params=asked,
            )


def _show_record(engine: Engine, shown: list[Entry]) -> None:
    """What happened to one of the sessions on this page, whatever its state."""
    titles = {one.session_id: f"{one.title} ({one.kind.split()[0].lower()})" for one in shown}
    ids = [id_ for id_ in titles if id_]
    if not ids:
        return
    st.subheader("Record of a session")
    chosen = st.selectbox("Session", ids, format_func=titles.__getitem__, key="history_record")
    log = st.expander("Read what happened", key="history_log", on_change="rerun")
    if log.open:
        with log, page.show_errors():
            reason = next((one.text for one in shown if one.session_id == chosen), "")
            st.write(page.escape_markdown(reason))
            show_log(engine, chosen)


def _offer_to_erase(engine: Engine) -> None:
    """A pseudonym goes on request; what it stood for stays counted."""
    with st.expander("Erase a pseudonym on request"):
        st.write(
            "It is replaced by one that says nothing, in every session that is not open. Answers "
            "and counts stay, and so do the seals. Reasons and remarks stay as they were typed, "
            "and so does the name of whoever opened a pour sheet. This cannot be taken back; files "
            "that were downloaded before are not changed."
        )
        with st.form("erase", border=False):
            name = st.text_input("Pseudonym, as it is written", key="erase_name", max_chars=120)
            passphrase = st.text_input("Your passphrase", type="password", key="erase_passphrase")
            sent = st.form_submit_button("Erase it everywhere", key="erase")
    if sent:
        with page.show_errors():
            check_passphrase(engine, passphrase, now())
            count = sessions.erase_pseudonym(engine, name.strip())
            st.success(f"Erased in {count} {'session' if count == 1 else 'sessions'}.")


def _document(engine: Engine) -> str:
    """Everything that is not open, as one document."""
    return write_document(export_document(engine, set_aside=[]))


def _answers(engine: Engine) -> bytes:
    """The answers of closed sessions as CSV, with the mark by which spreadsheets know UTF-8."""
    return safe_csv(all_answers(engine, [])).encode("utf-8-sig")


def _offer_downloads(engine: Engine) -> None:
    """Files are made when they are asked for."""
    st.subheader("Downloads")
    st.write(
        "The document holds all formulas, references, and planned, closed and abandoned sessions, "
        "and can be read back. The table holds one row for each answer of a closed session. Open "
        "sessions stay sealed and are in neither."
    )
    with st.container(horizontal=True):
        everything, table = partial(_document, engine), partial(_answers, engine)
        page.offer_file("Everything (JSON)", everything, "tasting-log.json", "everything")
        page.offer_file("Answers (CSV)", table, "tasting-answers.csv", "answers")


def _show(engine: Engine) -> None:
    """The page."""
    page.title("History")
    drinks, aside = formulas.formulas(engine), list(session_index.set_aside(engine))
    known = not_closed(drinks, sessions.not_closed(engine, aside))
    page.show_set_aside(aside)
    if not known and not past.count(engine, Search()):
        st.write("Nothing is kept yet. It begins with the first version of a formula.")
        st.page_link(pages.DRINKS.script, label="Write the first formula", icon=_ARROW)
        return
    shown = _found(engine, *_asked(engine), known)
    for entry in shown:
        _show_entry(entry)
    across_sessions.show_together(engine, drinks)
    _show_record(engine, shown)
    _offer_downloads(engine)
    _offer_to_erase(engine)


access.require_host()
_show(page.engine())
