"""Router: the role from the link or the sign-in, the pages of that role, run."""

from pathlib import Path

import streamlit as st

import tasting.ui
from tasting.ui import access, shared

PAGES = Path(tasting.ui.__file__).parent
# Streamlit leaves a tenth of a phone's screen empty above the page.
STYLE = "<style>.stMainBlockContainer {padding-top: 3rem;}</style>"


def page(name: str, title: str, *, default: bool = False) -> st.Page:
    """The page whose script has this name."""
    return st.Page(PAGES / f"{name}.py", title=title, url_path=name, default=default)


def host_pages() -> list[st.Page]:
    """The host's pages, in the order of the work."""
    return [
        page("dashboard", "Dashboard", default=True),
        page("formulas", "Formulas"),
        page("references", "References"),
        page("plan", "Plan a session"),
        page("run", "Run a session"),
        page("findings", "Findings"),
        page("history", "History"),
    ]


def sign_in_doors() -> list[st.Page]:
    """The sign-in page under the address of each page of the host but the first."""
    titles = {listed.url_path: listed.title for listed in host_pages()}
    signin = PAGES / "signin.py"
    return [st.Page(signin, title=titles[path], url_path=path) for path in titles if path]


def menu(pages: list[st.Page]) -> None:
    """All pages in a line that wraps on a phone, where a folding side menu would cover the page."""
    with st.container(horizontal=True, key="menu", gap="xxsmall", vertical_alignment="center"):
        for listed in pages:
            st.page_link(listed, label=listed.title.removesuffix(" a session"), width="content")
        st.button("Sign out", on_click=access.sign_out, key="sign_out", type="tertiary")


st.set_page_config(page_title="Tasting log", layout="centered", initial_sidebar_state="collapsed")
with shared.database_told():
    if access.seat_token():
        current = st.navigation([page("ballot", "Your tasting")], position="hidden")
        st.html(STYLE)
    elif access.session_to_pour():
        current = st.navigation([page("pour", "Pour sheet")], position="hidden")
        st.html(STYLE)
    elif access.is_host():
        pages = host_pages()
        current = st.navigation(pages, position="hidden")
        st.html(STYLE)
        menu(pages)
    else:
        # Whatever page of the host the address names, signing in comes first and leads there.
        doors = [page("signin", "Sign in", default=True), *sign_in_doors()]
        current = st.navigation(doors, position="hidden")
    current.run()
