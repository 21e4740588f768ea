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
    """The places in a line that wraps on a phone, where a side menu would cover the page."""
    by_address = dict(zip((listed.address for listed in pages.OF_THE_HOST), host, strict=True))
    with st.container(horizontal=True, key="menu", gap="xxsmall", vertical_alignment="center"):
        for listed in pages.MENU:
            st.page_link(by_address[listed.address], label=listed.title, width="content")
        with st.popover("Host", type="tertiary"):
            st.page_link(by_address[pages.HOST.address], label=pages.HOST.title)
            st.button("Sign out", on_click=access.sign_out, key="sign_out", type="tertiary")


st.set_page_config(page_title="Tasting log", layout="wide", initial_sidebar_state="collapsed")
with show_store_errors():
    if access.is_host():
        host = host_pages()
        current = st.navigation(host, position="hidden")
        menu(host)
        frame.show(pages.place_of(current.url_path))
    else:
        # Whatever page of the host the address names, signing in comes first and leads there.
        current = st.navigation(sign_in_pages(), position="hidden")
    current.run()
