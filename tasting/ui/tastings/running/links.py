"""Sections of an open session: the way to the pour sheet, and the links of the assessors."""

import io
from collections.abc import Sequence
from urllib.parse import urlsplit

import segno
import streamlit as st
from sqlalchemy import Engine

from tasting.records import now
from tasting.report.links import pour_link, seat_link
from tasting.store import ballots
from tasting.store.access import new_pourer_code
from tasting.store.sessions import Summary
from tasting.ui import access, page
from tasting.ui.tastings.printing import offer_to_print


def pouring(engine: Engine, known: Summary) -> None:
    """The link to the pour sheet, a code for whoever fills the cups, and labels for the cups."""
    st.write(
        "Open this link with your passphrase: recipes, and labels in two stacks, A and B. Nothing "
        "there shows you which code is which."
        if known.plan.alone
        else (
            "Whoever fills the cups opens this link with the host's passphrase or a pourer's "
            "code, on a device that no assessor sees. Whoever has seen the sheet must not taste."
        )
    )
    address = pour_link(page.base_url(), known.id)
    st.markdown(f"[{page.escape_markdown(address)}]({address})")
    with st.container(horizontal=True):
        made = st.button("Make a new pourer's code", key="pourer_code")
        if not known.plan.alone:
            offer_to_print("Cup labels to print", known.id, "labels")
        offer_to_print("Batch sheet of both samples", known.id, "batches")
    if made:
        with page.show_errors():
            code = new_pourer_code(engine, known.id)
            st.info(f"Pourer's code: **{code}**. It is shown once; a newer one replaces it.")


def addresses(base: str, tokens: dict[str, str]) -> dict[str, str]:
    """The link of each assessor."""
    return {who: seat_link(base, token) for who, token in tokens.items()}


def links(engine: Engine, known: Summary) -> None:
    """One assessor's link and QR code at a time, or all of them on cards to print."""
    base = page.base_url()
    if urlsplit(base).hostname in ("localhost", "127.0.0.1"):
        st.warning(
            "These links work on this computer only. For phones, start the app with --lan, or set "
            "TASTING_BASE_URL to the address under which phones reach it."
        )
    tokens = ballots.links(engine, known.id, access.secret_behind_links())
    every = addresses(base, tokens)
    shown, said = st.columns([2, 3], vertical_alignment="center")
    key, names = f"seat-{known.id}", list(every)
    with shown, st.container(horizontal=True, vertical_alignment="bottom"):
        assessor = st.selectbox("For", names, key=key)
        if len(names) > 1:
            turn = (key, names)
            st.button("Next assessor", key=f"next-{key}", on_click=_show_next, args=turn)
    with shown:
        caption = f"QR code for {page.escape_markdown(assessor)}"
        st.image(_picture(every[assessor]), caption=caption, alt=caption, width=240)
    with said:
        st.caption("Show the code to this assessor and to nobody else: it opens their ballot.")
        st.code(every[assessor], language=None, wrap_lines=True)
        offer_to_print("Print seat cards", known.id, "cards")
    _replace(engine, known, assessor, list(tokens).index(assessor))


def _show_next(key: str, names: Sequence[str]) -> None:
    """Chooses the assessor after the one that is shown, after the last one the first."""
    place = names.index(st.session_state[key]) + 1
    st.session_state[key] = names[place % len(names)]


def _picture(link: str) -> bytes:
    """The QR code of a link, as PNG."""
    image = io.BytesIO()
    segno.make(link, error="m").save(image, kind="png", scale=6, border=3)
    return image.getvalue()


def _replace(engine: Engine, known: Summary, assessor: str, seat: int) -> None:
    """A new link for a phone that was lost; the tasting goes on where it was."""
    with st.expander(f"Was the phone or the card of {page.escape_markdown(assessor)} lost?"):
        st.write(
            "A new link disables the old one. The tasting goes on where it was; no answer is "
            "lost. Another phone can also just open the same link."
        )
        if st.button("Make a new link", key=f"new-link-{known.id}-{seat}"):
            with page.show_errors():
                ballots.new_link(engine, known.id, seat, now())
                st.rerun()
