"""The page behind "Host": data out and in, erasure, published values, help and the sign-in."""

from importlib.resources import files

import streamlit as st
from sqlalchemy import Engine

from tasting.records import now
from tasting.store import formulas, past, sessions
from tasting.store.access import check_passphrase
from tasting.store.past import Search
from tasting.ui import access, page, pages
from tasting.ui.host.downloads import offer_downloads
from tasting.ui.host.importing import show_import
from tasting.ui.host.published import show_published

_HELP = (
    "A first evening in five steps",
    "Which test for which question",
    "What it will not tell you",
)
# Sections of the README, which is the one source of them.


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
        ("Download your data", offer_downloads),
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
