"""Finding an ingredient by what a bar calls it: the list of a row knows each by one name only."""

from dataclasses import replace

import streamlit as st

from tasting.drink.pantry import found
from tasting.ui import page
from tasting.ui.drinks import draft_form
from tasting.ui.drinks.draft import Draft, Known, with_row


def find(place: str, draft: Draft, known: Known) -> None:
    """A field for a name, and what goes by it; a tap makes it a row of the draft."""
    wanted = st.text_input(
        "Find an ingredient",
        key=f"find-{place}-{len(draft.rows)}",
        placeholder="gin, simple syrup, mint",
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
        if st.button(f"Add {page.escape_markdown(name)}", key=f"found-{place}-{name}"):
            draft_form.start_afresh(place, replace(draft, rows=with_row(draft.rows, name)))
            st.rerun()
