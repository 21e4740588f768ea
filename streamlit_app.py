"""Router of the host's pages, and of the way to sign in where nobody is signed in."""

from pathlib import Path

import streamlit as st

from tasting.ui import access, frame, pages
from tasting.ui.page import show_store_errors
from tasting.ui.pages import AppPage

ROOT = Path(__file__).parent


def opened(listed: AppPage, *, script: str = "", default: bool = False) -> st.Page:
    """Streamlit's page of this script, or of another one under the same address."""
    file = ROOT / (script or listed.script)
    return st.Page(file, title=listed.title, url_path=listed.address, default=default)


def host_pages() -> list[st.Page]:
    """The host's pages; the first one opens where no page is named."""
    return [opened(one, default=one is pages.DASHBOARD) for one in pages.OF_THE_HOST]


def sign_in_pages() -> list[st.Page]:
    """The sign-in page, and the same under the address of each page of the host but the first."""
    others = pages.OF_THE_HOST[1:]
    script = pages.SIGN_IN.script
    return [opened(pages.SIGN_IN, default=True), *(opened(one, script=script) for one in others)]


def menu(host: list[st.Page]) -> None:
    """All pages in a line that wraps on a phone, where a folding side menu would cover the page."""
    with st.container(horizontal=True, key="menu", gap="xxsmall", vertical_alignment="center"):
        for current, listed in zip(host, pages.OF_THE_HOST, strict=True):
            st.page_link(current, label=listed.label, width="content")
        st.button("Sign out", on_click=access.sign_out, key="sign_out", type="tertiary")


st.set_page_config(page_title="Tasting log", layout="wide", initial_sidebar_state="collapsed")
with show_store_errors():
    if access.is_host():
        host = host_pages()
        current = st.navigation(host, position="hidden")
        menu(host)
        frame.show(current.url_path or pages.DASHBOARD.address)
    else:
        # Whatever page of the host the address names, signing in comes first and leads there.
        current = st.navigation(sign_in_pages(), position="hidden")
    current.run()
