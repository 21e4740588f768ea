"""Colours of the dashboard's charts, light and dark.

Marks: blue, vermilion and bluish green of Okabe and Ito (2008, "Color universal design"), which any
colour vision tells apart, on dark pages their sky blue and orange. What is written is ink or soft,
at least 4.5:1 on its page.
"""

from dataclasses import dataclass
from typing import Final

import streamlit as st


@dataclass(frozen=True, slots=True)
class Palette:
    """mark: what is drawn of versions and sessions; bottle: the reference; liked: what is liked."""

    mark: str
    bottle: str
    liked: str
    ink: str
    soft: str
    paper: str


LIGHT: Final = Palette("#0072B2", "#D55E00", "#009E73", "#2A2622", "#655D53", "#FBF8F3")
DARK: Final = Palette("#56B4E9", "#E69F00", "#009E73", "#F0EAE1", "#B3A99B", "#191714")


def palette() -> Palette:
    """The colours for the mode that this browser shows."""
    return DARK if st.context.theme.type == "dark" else LIGHT
