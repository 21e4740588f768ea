"""The page with everything in time, newest first, and with everything to take away."""

from functools import partial

import streamlit as st
from sqlalchemy import Engine

from tasting.insight.findings.finding import findings
from tasting.records import now
from tasting.report.answers import answers_table, safe_csv
from tasting.store import formulas, sessions
from tasting.store.access import check_passphrase
from tasting.store.documents import export_document, write_document
from tasting.ui import access, page, pages
from tasting.ui.history import across_sessions
from tasting.ui.history.timeline import KINDS, Entry, matching, timeline
from tasting.ui.tastings.event_log import show_log
from tasting.wording import day

_ARROW = ":material/arrow_forward:"
_AT_ONCE = 40


def _entries(engine: Engine) -> list[Entry]:
    """All that is kept; of open sessions only how many answers are in."""
    result = findings(sessions.closed_sessions(engine))
    headlines = {session.id: finding.headline for session, finding in result}
    return timeline(formulas.formulas(engine), sessions.summaries(engine), headlines)


def _searched(known: list[Entry]) -> list[Entry]:
    """Search and filter."""
    text = st.text_input("Search", type="search", key="history_text", placeholder="lemon flat")
    kinds = st.pills("Show only", KINDS, selection_mode="multi", key="history_kinds")
    fitting = matching(known, text or "", kinds)
    if not fitting:
        st.write("Nothing fits. Try fewer words, or another kind.")
    elif len(fitting) < len(known):
        st.caption(f"{len(fitting)} of {len(known)} entries")
    return fitting


def _show_entry(entry: Entry) -> None:
    """One entry with its day, its kind and, for a closed session, the way to its finding."""
    invented = " · invented data" if entry.invented else ""
    with st.container(border=True, gap="xsmall"):
        st.caption(f"{day(entry.at)} · {entry.kind}{invented}")
        st.markdown(f"**{page.escape_markdown(entry.title)}**")
        st.write(page.escape_markdown(entry.text))
        if entry.purpose:
            st.caption(f"To decide: {page.escape_markdown(entry.purpose)}")
        if entry.session_id:
            asked = {"id": entry.session_id}
            st.page_link(
                pages.TASTING.script,
                label="Read the finding",
                icon=_ARROW,
                query_params=asked,
            )


def _show_entries(fitting: list[Entry]) -> None:
    """The newest entries; the older ones on demand."""
    rest = len(fitting) - _AT_ONCE
    everything = rest > 0 and st.toggle(f"Also show {rest} older entries", key="history_all")
    for entry in fitting if everything else fitting[:_AT_ONCE]:
        _show_entry(entry)


def _show_record(engine: Engine) -> None:
    """What happened to one session, whatever its state."""
    known = sessions.summaries(engine)
    if not known:
        return
    st.subheader("Record of a session")
    chosen = page.choose_session(known, key="history_record")
    with st.expander("Read what happened"):
        if chosen.abandoned_reason:
            st.write(f"Abandoned: {page.escape_markdown(chosen.abandoned_reason)}")
        show_log(engine, chosen.id)


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
    return write_document(export_document(engine))


def _answers(engine: Engine) -> bytes:
    """The answers of closed sessions as CSV, with the mark by which spreadsheets know UTF-8."""
    return safe_csv(answers_table(sessions.closed_sessions(engine))).encode("utf-8-sig")


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
    known = _entries(engine)
    if not known:
        st.write("Nothing is kept yet. It begins with the first version of a formula.")
        st.page_link(pages.DRINKS.script, label="Write the first formula", icon=_ARROW)
        return
    _show_entries(_searched(known))
    across_sessions.show_together(sessions.closed_sessions(engine), formulas.formulas(engine))
    _show_record(engine)
    _offer_downloads(engine)
    _offer_to_erase(engine)


access.require_host()
_show(page.engine())
