"""Colours of the dashboard's charts, light and dark; charts are drawn in the light ones.

Marks: blue, vermilion and bluish green of Okabe and Ito (2008, "Color universal design"), which any
colour vision tells apart, on dark pages their sky blue and orange, and the green as light as these,
because its pale band would nearly disappear. What is written is ink or soft,
at least 4.5:1 on its page.
"""

from collections.abc import Mapping
from dataclasses import astuple, dataclass
from typing import Any, Final

import streamlit as st


@dataclass(frozen=True, slots=True)
class Palette:
    """mark: what is drawn of versions and sessions; bottle: the reference; liked: what is liked;
    paper: that of a card; page: what a chart stands on"""

    mark: str
    bottle: str
    liked: str
    ink: str
    soft: str
    paper: str
    page: str


LIGHT: Final = Palette("#0072B2", "#D55E00", "#009E73", "#2A2622", "#655D53", "#FFFFFF", "#FBF8F3")
_DARK: Final = Palette("#56B4E9", "#E69F00", "#5FE3BD", "#F0EAE1", "#B3A99B", "#22201C", "#191714")


COLOUR, GREY = "#3b7dbf", "#808080"
# For charts of other pages: middle tones, which stand out in either mode.
_DARK_FOR: Final = dict(zip(astuple(LIGHT), astuple(_DARK), strict=True))


def in_this_mode(spec: Mapping[str, Any]) -> dict[str, Any]:
    """A chart's specification, drawn in the light colours, in those of this browser's mode."""
    colours = _DARK_FOR if st.context.theme.type == "dark" else {}
    return {**_exchanged(spec, colours), "background": "transparent"}


def _exchanged(part: Any, colours: Mapping[str, str]) -> Any:
    if isinstance(part, dict):
        return {key: _exchanged(value, colours) for key, value in part.items()}
    if isinstance(part, list):
        return [_exchanged(one, colours) for one in part]
    return colours.get(part, part) if isinstance(part, str) else part
