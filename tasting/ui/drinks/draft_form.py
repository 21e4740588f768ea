"""The widgets in which a draft is typed. It outlives errors and visits to other pages.

The table of rows forgets all edits when the list of ingredients that it offers changes. So the
draft is put aside at every run, and whenever the table has to start afresh it starts from there.
"""

from collections.abc import Sequence
from dataclasses import replace
from math import isnan

import pandas as pd
import streamlit as st

from tasting.ui import fields, page
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks.draft import AMOUNT, INGREDIENT, UNIT, Draft, Known
from tasting.units import PART, UNITS


def _draft_key(place: str) -> str:
    return f"draft-{place}"


def _base_key(place: str) -> str:
    return f"base-{place}"


def current(place: str, start: Draft) -> Draft:
    """The draft of this place, as it was put aside, or the one to start with."""
    draft = st.session_state.setdefault(_draft_key(place), start)
    return draft if isinstance(draft, Draft) else start


def keep(place: str, draft: Draft) -> None:
    """Put the draft aside; of servings that cannot be read, those from before."""
    if isnan(draft.servings):
        draft = replace(draft, servings=current(place, Draft(draft.rows)).servings)
    st.session_state[_draft_key(place)] = draft


def forget(place: str) -> None:
    """Drop the draft of this place: it has become a version."""
    for key in (_draft_key(place), _base_key(place)):
        st.session_state.pop(key, None)


def start_afresh(place: str, draft: Draft) -> None:
    """Put a draft aside whose rows did not come from the table; the table begins with them."""
    forget(place)
    st.session_state.pop(f"rows-{place}", None)
    keep(place, draft)


def _rows_table(place: str, draft: Draft, names: Sequence[str]) -> pd.DataFrame:
    """The rows, to be edited: one ingredient a row, chosen from these names."""
    key, base_key = f"rows-{place}", _base_key(place)
    base = st.session_state.get(base_key)
    if base is None or base[0] != list(names) or key not in st.session_state:
        base = st.session_state[base_key] = (list(names), draft.rows.reset_index(drop=True))
    edited: pd.DataFrame = st.data_editor(
        base[1],
        key=key,
        num_rows="dynamic",
        column_config={
            INGREDIENT: st.column_config.SelectboxColumn(width=140, options=list(names)),
            AMOUNT: st.column_config.TextColumn(width=88),
            UNIT: st.column_config.SelectboxColumn(width=64, options=[*UNITS, PART]),
        },
        alt="Ingredients of the draft, with quantity and unit; the last row adds one",
    )
    return edited


def recipe(place: str, draft: Draft, known: Known) -> Draft:
    """Rows, the size of a part where one counts in them, and servings; NOT_READ as it is."""
    rows = _rows_table(place, draft, list(known))
    st.caption(
        "Tap a cell twice to change it, the last row to add one. To remove a row, tick the box at "
        "its left, then tap the bin above the table. An amount may be 22.5, 22,5, 1/2 or 1½, with "
        "or without a unit: 0.75 fl oz. Without one, liquids are in mL and solids in g."
    )
    part = draft.part
    if drafting.counts_in_parts(rows):
        part = st.text_input(
            "One part is", part, key=f"part-{place}", placeholder="30 mL, or total 180 mL"
        )
    _show_echoes(drafting.echoes(rows, known, part))
    servings = fields.number(
        "Servings that this makes", f"servings-{place}", 0.01, 100_000, draft.servings
    )
    return replace(draft, rows=rows, part=part, servings=servings)


def _show_echoes(said: Sequence[str]) -> None:
    """How the rows are understood, where that is more than what stands in them."""
    if said:
        lines = "\n".join(f"- {page.escape_markdown(line)}" for line in said)
        st.caption(f"Understood as\n{lines}")


def words(place: str, draft: Draft, suggested: str, reason: str, example: str) -> Draft:
    """Label and reason; with them the draft is complete, and put aside."""
    label = st.text_input(
        "Label", draft.label or suggested, max_chars=120, key=f"label-{place}-{suggested}"
    )
    why = st.text_area(
        reason,
        draft.reason,
        max_chars=2000,
        key=f"reason-{place}",
        height=80,
        placeholder=example,
    )
    # A label that was only suggested is not put aside: it may be taken when the host comes back.
    keep(place, replace(draft, label="" if label == suggested else label, reason=why))
    return replace(draft, label=label, reason=why)
