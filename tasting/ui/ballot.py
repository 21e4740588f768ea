"""The assessor's page: one set at a time, forced choice, no way back.

The database knows where the assessor is; nothing that matters is kept in the browser's session, and
the keys of all widgets hold the number of the set, so that an old choice never answers a new set.
"""

import streamlit as st
from sqlalchemy import Engine

from tasting.errors import NotFoundError
from tasting.panel.care import notices
from tasting.store.sessions import Ballot, ballot, record_answer
from tasting.ui import access, shared

STYLE = """<style>
.st-key-codes button {min-height: 5.5rem;}
.st-key-codes button p {font-size: 1.9rem; font-weight: 700; letter-spacing: 0.06em;}
.st-key-go button {min-height: 3.5rem;}
</style>"""


def begin(shown: Ballot) -> None:
    """The first screen: what is in the samples, and the right to stop."""
    st.title("Before you taste")
    for notice in notices(shown.allergens, shown.alcohol_percent_vol):
        st.warning(shared.plain(notice))
    sets = "1 set" if shown.planned == 1 else f"{shown.planned} sets, one after the other"
    st.write(
        f"You are **{shared.plain(shown.assessor)}**. You get {sets}. Taste the cups from left to "
        "right; you may go back to a cup within the set. If you are not sure, choose all the same: "
        "a guess counts. Do not talk about the samples before the host closes the session."
    )
    with st.container(key="go"):
        st.button(
            "I have read this and want to taste", key="begin", type="primary", width="stretch"
        )


def choose(shown: Ballot) -> str | None:
    """The set: its question and a large button for each code, in serving order."""
    st.caption(f"{shared.plain(shown.assessor)} · set {shown.replicate} of {shown.planned}")
    st.header(shared.plain(shown.question))
    st.write("Your cups from left to right:")
    kept = f"choice-{shown.session_id}-{shown.replicate}"
    with st.container(key="codes", horizontal=True):
        for code in shown.codes:
            chosen = st.session_state.get(kept) == code
            st.button(
                f"✓ {code}" if chosen else code,
                key=f"code-{shown.session_id}-{shown.replicate}-{code}",
                type="primary" if chosen else "secondary",
                width="stretch",
                on_click=st.session_state.__setitem__,
                args=(kept, code),
            )
    choice = st.session_state.get(kept)
    return choice if choice in shown.codes else None


def confirm(engine: Engine, token: str, shown: Ballot, choice: str | None) -> None:
    """The remark, and the button that records the answer for good."""
    if choice is None:
        st.write("Tap the code of your choice. You have to choose one; a guess counts.")
        return
    remark = st.text_input(
        "Remark, if you like", key=f"remark-{shown.session_id}-{shown.replicate}", max_chars=500
    )
    with st.container(key="go"):
        sent = st.button(
            f"Record {choice} and go on",
            key=f"record-{shown.session_id}-{shown.replicate}",
            type="primary",
            width="stretch",
        )
    st.caption("After this the answer cannot be changed.")
    if sent:
        with shared.told():
            record_answer(engine, token, shown.replicate, choice, remark, shared.now())
            st.rerun()


def finished(shown: Ballot) -> None:
    """The last screen: nothing about right or wrong."""
    st.title("Thank you")
    if shown.state == "closed":
        st.write("This session is closed; it takes no more answers.")
        return
    st.write("All your answers are in. You may close this page.")
    st.write("Please do not talk about the samples before the host closes the session.")


def show(engine: Engine, token: str) -> None:
    """The page for the seat with this token."""
    try:
        shown = ballot(engine, token)
    except NotFoundError:
        st.title("This link is not known")
        st.write("Ask the host for your link or scan the QR code again.")
        return
    if not shown.codes:
        finished(shown)
    elif shown.replicate == 1 and not _begun(shown):
        begin(shown)
    else:
        confirm(engine, token, shown, choose(shown))


def _begun(shown: Ballot) -> bool:
    kept = f"begun-{shown.session_id}"
    st.session_state[kept] = st.session_state.get(kept) or st.session_state.get("begin", False)
    return bool(st.session_state[kept])


st.html(STYLE)
show(shared.engine(), access.seat_token() or "")
