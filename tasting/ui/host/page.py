"""The page behind "Host": data out and in, erasure, published values, help and the sign-in."""

from functools import partial
from importlib.resources import files

import streamlit as st
from sqlalchemy import Engine

from tasting.records import now
from tasting.report.answers import safe_csv
from tasting.report.data_tables import archived, data_tables, zipped
from tasting.store import formulas, past, sessions
from tasting.store.access import check_passphrase
from tasting.store.all_answers import all_answers
from tasting.store.documents import export_document, write_document, write_parts
from tasting.store.past import Search
from tasting.ui import access, page, pages
from tasting.ui.host.importing import show_import
from tasting.ui.host.published import show_published

_HELP = (
    "A first evening in five steps",
    "Which test for which question",
    "What it will not tell you",
)
# Sections of the README, which is the one source of them.


_MOST_IN_ONE = 1000
# Of more sessions the document may be too large to be imported again, so it is made in parts.


def _document(engine: Engine) -> str:
    """Everything that is not open, as one document."""
    return write_document(export_document(engine, set_aside=[]))


def _documents(engine: Engine) -> bytes:
    """The same in documents that can be imported together, in one archive."""
    texts = write_parts(export_document(engine, set_aside=[]))
    named = {f"tasting-log-{place}.json": text for place, text in enumerate(texts, start=1)}
    return archived({name: text.encode() for name, text in named.items()})


def _answers(engine: Engine) -> bytes:
    """The answers of closed sessions as CSV, with the mark by which spreadsheets know UTF-8."""
    return safe_csv(all_answers(engine, [])).encode("utf-8-sig")


def _tables(engine: Engine) -> bytes:
    """All tidy tables with their dictionary, in one archive."""
    closed = list(sessions.closed_sessions(engine, []))
    return zipped(data_tables(closed, formulas.formulas(engine)))


def _offer_downloads(engine: Engine) -> None:
    """Files are made when they are asked for."""
    st.write("Open sessions stay sealed and are not included.")
    many = past.count(engine, Search()) > _MOST_IN_ONE
    everything = (
        ("Everything (ZIP of JSON)", _documents, "tasting-log.zip", "everything")
        if many
        else ("Everything (JSON)", _document, "tasting-log.json", "everything")
    )
    made = (
        everything,
        ("Answers (CSV)", _answers, "tasting-answers.csv", "answers"),
        ("Tidy tables (ZIP)", _tables, "tasting-tables.zip", "tables"),
    )
    with st.container(horizontal=True):
        for label, make, name, key in made:
            page.offer_file(label, partial(make, engine), name, key)
    st.caption(
        "The JSON document contains formulas, references and sessions and can be read back. The "
        "ZIP contains answers, sessions, versions and compositions as CSV, and a dictionary of "
        "their columns."
    )
    if many:
        st.caption(
            "A large log comes as several JSON documents in one ZIP. Unpack it, and import all of "
            "them at once."
        )
    st.write(
        "To copy the whole database, open sessions too, run `tasting backup FILE`; the app can "
        "keep running. The copy contains serving keys: keep it away from assessors."
    )


def _offer_to_erase(engine: Engine) -> None:
    """A pseudonym goes on request; what it stood for stays counted."""
    st.write(
        "It is replaced by a meaningless one in every session that is not open. Answers, "
        "counts and seals stay. This cannot be undone."
    )
    st.caption(
        "Reasons and remarks stay as they were typed, and so does the name of whoever opened a "
        "pour sheet. Files that were downloaded before are not changed."
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


def _offer_to_sign_out(_: Engine) -> None:
    """Ends the sign-ins of all browsers, after a phone was lost or a computer shared."""
    st.write("This signs you out in every browser and tab, including this one.")
    st.button("Sign out everywhere", on_click=access.sign_out_everywhere, key="everywhere")


def _say_first(engine: Engine) -> None:
    """How much is kept."""
    versions = sum(len(formula.versions) for formula in formulas.formulas(engine))
    counts = (
        (versions, "version"),
        (formulas.count_references(engine), "reference"),
        (past.count(engine, Search()), "closed session"),
    )
    said = ", ".join(f"{count} {what}{'s' * (count != 1)}" for count, what in counts)
    st.header(f"Saved here: {said}", anchor=False)
    st.page_link(pages.HISTORY.script, label="See what was tasted, in History")


def _show_help() -> None:
    sections = dict(part.split("\n", 1) for part in _readme().split("\n## ")[1:])
    for heading in _HELP:
        with st.expander(heading):
            st.markdown(sections[heading].strip())


def _readme() -> str:
    """The README: it lies in the installed package, or beside it where that is worked on."""
    package = files("tasting")
    inside = package.joinpath("README.md")
    return (inside if inside.is_file() else package.joinpath("..", "README.md")).read_text("utf-8")


def _show(engine: Engine) -> None:
    """The page."""
    page.title("Data and help")
    _say_first(engine)
    _show_help()
    parts = (
        ("Download your data", _offer_downloads),
        ("Import documents", show_import),
        ("Erase a pseudonym on request", _offer_to_erase),
        ("Published values, computed again", show_published),
        ("Sign out everywhere", _offer_to_sign_out),
    )
    for label, show in parts:
        with st.expander(label):
            show(engine)


access.require_host()
_show(page.engine())
