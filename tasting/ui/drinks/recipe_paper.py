"""The sheet on which a recipe is written, with what was understood beside each line.

Streamlit's text area says what was typed only when it is left, so this one is ours.
"""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

import streamlit as st

from tasting.drink.recipe_text import Recipe

_FOLDER = files("tasting.ui.drinks")
_EXAMPLE = "60 ml rhubarb juice\n1/4 oz lemon\n0,4 g citric acid\ntop with soda to 225 ml"


@cache
def _text(kind: str) -> str:
    return _FOLDER.joinpath(f"recipe_paper.{kind}").read_text("utf-8")


def typed(key: str, edition: str) -> str | None:
    """What the sheet of this edition says now; None where nothing was typed on it."""
    state: Any = st.session_state.get(key)
    sent = state.get("typed") if isinstance(state, Mapping) else getattr(state, "typed", None)
    if not sent or sent["edition"] != edition:
        return None
    return str(sent["text"])


def show(key: str, edition: str, text: str, recipe: Recipe) -> None:
    """The sheet. With a new edition it is written anew; else it stays as it is being typed."""
    sheet = st.components.v2.component(
        "recipe_paper", html=_text("html"), css=_text("css"), js=_text("js")
    )
    lines = [
        {
            "state": line.state.replace(" ", "-"),
            "said": line.said,
            "plain": line.said.casefold() in ("", line.typed.strip().casefold()),
        }
        for line in recipe.lines
    ]
    sheet(
        key=key,
        data={
            "label": "Recipe, one ingredient per line",
            "example": _EXAMPLE,
            "edition": edition,
            "text": text,
            "lines": lines,
        },
        on_typed_change=lambda: None,
    )
