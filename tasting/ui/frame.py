"""What stands around every page of the host: its landmarks, its look, and the word when it is away.

Streamlit has no place for these, so a small script and a stylesheet of ours add them.
"""

from functools import cache
from importlib.resources import files

import streamlit as st

_FOLDER = files("tasting.ui")


@cache
def _text(name: str) -> str:
    return _FOLDER.joinpath(name).read_text("utf-8")


def show(section: str) -> None:
    """The frame of a page.

    section: the address of the place in the menu that it belongs to
    """
    st.html(f"<style>{_text('frame.css')}</style>")
    frame = st.components.v2.component("tasting_frame", js=_text("frame.js"))
    frame(key="frame", data={"section": section}, height=0)
