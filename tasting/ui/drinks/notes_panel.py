"""Notes on a formula: how it is made and served, remarks of open tastings, and what it costs."""

from collections.abc import Sequence

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.drink.cost import costs
from tasting.drink.formula import Formula, Version
from tasting.drink.ice import STYLES, ServedStyle
from tasting.drink.pantry import Ingredient
from tasting.drink.words import cost_per_serving
from tasting.store import notes, prices
from tasting.store.notes import SERVED, Note
from tasting.ui import page
from tasting.ui.page import escape_markdown
from tasting.ui.tables import show_table
from tasting.wording import clock, day


def show(engine: Engine, formula: Formula, version: Version) -> None:
    """Notes and remarks on the left, cost on the right."""
    known = notes.notes(engine, formula.id)
    left, right = st.columns(2, gap="medium")
    with left:
        _served(engine, formula, known)
        _remarks(engine, formula, version, known)
    with right:
        _cost(engine, version)


def _served(engine: Engine, formula: Formula, known: Sequence[Note]) -> None:
    """Method, glass, ice and garnish, as they are noted last."""
    st.subheader("How it is made and served")
    with st.form("served", border=False):
        typed: dict[notes.Kind, tuple[str, str]] = {}
        for kind in SERVED:
            now = next((note.text for note in known if note.kind == kind), "")
            typed[kind] = (
                now,
                st.text_input(kind.capitalize(), now, max_chars=2000, key=f"{kind}-{formula.id}"),
            )
        melts = _choose_melting(notes.melting(engine, formula.id), formula)
        sent = st.form_submit_button("Save", key="save-served")
    if sent:
        with page.show_errors():
            for kind, (before, after) in {**typed, "melts": melts}.items():
                if after.strip() != before:
                    notes.add_note(engine, formula.id, kind, after)
            page.say_later("The notes are saved.")


def _choose_melting(now: ServedStyle | None, formula: Formula) -> tuple[str, str]:
    """The way of serving whose ice melts into it: as noted last, and as chosen."""
    ways = ["", *STYLES]
    before = now.name if now else ""
    chosen = st.selectbox(
        "Water from the ice",
        ways,
        ways.index(before),
        format_func=lambda way: STYLES[way].adds if way else "None, or not counted",
        key=f"melts-{formula.id}",
        help="What is tasted then counts with this water; how much melts widens every range. "
        "Common practice, no source.",
    )
    return before, chosen


def _remarks(engine: Engine, formula: Formula, version: Version, known: Sequence[Note]) -> None:
    """What was noted while tasting openly; it is no evidence."""
    st.subheader("Open tasting")
    st.caption("You know what you taste here, so it proves nothing.")
    with st.form("remark", border=False, clear_on_submit=True):
        text = st.text_area(
            f"Remark on {escape_markdown(version.label)}", max_chars=2000, height=80, key="remark"
        )
        sent = st.form_submit_button("Save the remark", key="save-remark")
    if sent:
        with page.show_errors():
            notes.add_note(engine, formula.id, "remark", text, version.id)
            page.say_later("The remark is saved.")
    labels = {one.id: one.label for one in formula.versions}
    rows = [
        (
            f"{day(note.noted_at)}, {clock(note.noted_at)}",
            labels.get(note.version_id, ""),
            note.text,
        )
        for note in known
        if note.kind == "remark"
    ]
    if rows:
        table = pd.DataFrame(rows, columns=["When", "Version", "Remark"])
        show_table(table, f"Remarks on {formula.name}")


def _cost(engine: Engine, version: Version) -> None:
    """Cost per serving and per litre, and the form for a price."""
    st.subheader("Cost of the ingredients")
    known = prices.prices(engine)
    found = costs(version, known)
    for cost in found:
        st.markdown(escape_markdown(cost_per_serving(cost)))
    if not found:
        st.write("No price is saved yet for an ingredient of this version.")
    elif found[0].without_price:
        st.caption(f"Without {escape_markdown(', '.join(found[0].without_price))}: no price yet.")
    _price_form(engine, version, known)


def _price_form(engine: Engine, version: Version, known: prices.Prices) -> None:
    """The price of a pack, for every drink that uses the ingredient."""
    items: dict[str, Ingredient] = {part.ingredient.key: part.ingredient for part in version.parts}
    unknown_first = sorted(items, key=lambda key: key in known)
    usual = next(reversed(list(known.values())), None)
    with st.form("price", border=False, clear_on_submit=True):
        key = st.selectbox(
            "Ingredient", unknown_first, format_func=lambda key: items[key].name, key="price-of"
        )
        size, cost, coin = st.columns(3)
        pack = size.text_input("Pack", key="price-pack", placeholder="700 mL")
        price = cost.text_input("Price", key="price-price", placeholder="18.50")
        currency = coin.text_input("Currency", usual.currency if usual else "", key="price-coin")
        sent = st.form_submit_button("Save the price", key="save-price")
    if sent:
        with page.show_errors():
            prices.keep_price(engine, key, prices.read_price(pack, price, currency))
            page.say_later(f"The price of {items[key].name} is saved.")
