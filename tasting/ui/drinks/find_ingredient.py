"""Finding an ingredient by what a bar calls it: the list of a row knows each by one name only."""

from dataclasses import replace

import streamlit as st

from tasting.drink.composition import compose
from tasting.drink.ice import MOST_PERCENT, melt_g
from tasting.drink.pantry import found, ingredient
from tasting.records import now
from tasting.ui import fields, page
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks import draft_form
from tasting.ui.drinks.draft import AMOUNT, UNIT, Draft, Known, with_row
from tasting.wording import decimals

_ICE = ingredient("ice").name
_USUAL_DILUTION = 30.0


def find(place: str, draft: Draft, known: Known) -> None:
    """A field for a name, and what goes by it; a tap makes it a row of the draft."""
    wanted = st.text_input(
        "Find an ingredient",
        key=f"find-{place}-{len(draft.rows)}",
        placeholder="gin, simple syrup, mint, ice",
        max_chars=120,
    )
    if not wanted.strip():
        return
    names = list(dict.fromkeys(item.name for item in found(wanted, known.values())))
    if not names:
        st.info(
            f"Nothing here is called {page.escape_markdown(wanted.strip())}. Add it below as an "
            "ingredient of your own, with what its label says."
        )
    for name in names:
        _offer(place, draft, known, name)


def _offer(place: str, draft: Draft, known: Known, name: str) -> None:
    """The button that adds it; for ice, after how much of it melts."""
    key = f"found-{place}-{name}"
    share = None
    if name == _ICE and len(draft.rows):
        title = "Dilution by melting ice, % of the drink without it"
        share = fields.number(title, f"melt-{place}", 0, MOST_PERCENT, _USUAL_DILUTION)
    if st.button(f"Add {page.escape_markdown(name)}", key=key):
        with page.show_errors():
            amount = None if share is None else _melt(draft, known, share)
            draft_form.start_afresh(place, _with(draft, name, amount))
            st.rerun()


def _melt(draft: Draft, known: Known, share: float) -> str:
    """Grams of ice, as a cell shows them. Raises InputError where the draft is no drink yet."""
    fields.require_read(share)
    return decimals(melt_g(compose(drafting.preview(draft, known, now())), share), 1)


def _with(draft: Draft, name: str, grams: str | None) -> Draft:
    """The draft with one more row."""
    rows = with_row(draft.rows, name)
    if grams is not None:
        rows.loc[rows.index[-1], [AMOUNT, UNIT]] = [grams, "g"]
    return replace(draft, rows=rows)
