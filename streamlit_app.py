"""Router: the role from the link or the sign-in, the pages of that role, run."""

from pathlib import Path

import streamlit as st

import tasting.ui
from tasting.ui import access

PAGES = Path(tasting.ui.__file__).parent


def page(name: str, title: str, *, default: bool = False) -> st.Page:
    """The page whose script has this name."""
    return st.Page(PAGES / f"{name}.py", title=title, url_path=name, default=default)


def host_pages() -> dict[str, list[st.Page]]:
    """The host's pages, in the order of the work."""
    return {
        "Drinks": [page("formulas", "Formulas"), page("references", "References")],
        "Sessions": [
            page("plan", "Plan a session"),
            page("run", "Run a session"),
            page("pour", "Pour sheet"),
        ],
        "Evidence": [
            page("findings", "Findings"),
            page("dashboard", "Dashboard", default=True),
            page("history", "History"),
        ],
    }


st.set_page_config(page_title="Tasting log", layout="centered", initial_sidebar_state="collapsed")
if access.seat_token():
    current = st.navigation([page("ballot", "Your tasting")], position="hidden")
elif access.is_host():
    current = st.navigation(host_pages(), position="top")
    st.button("Sign out", on_click=access.sign_out, key="sign_out", type="tertiary")
else:
    current = st.navigation([page("signin", "Sign in")], position="hidden")
current.run()
