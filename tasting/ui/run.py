"""The page for running a session: open it, hand out the links, see answers come in, close it.

While a session is open this page knows how many answers are in and nothing else about them.
"""

import io
from urllib.parse import urlsplit

import pandas as pd
import segno
import streamlit as st
from sqlalchemy import Engine

from tasting.store import ballots, sessions
from tasting.store.access import new_pourer_code
from tasting.store.sessions import Seat, Summary
from tasting.ui import access, shared
from tasting.ui.tables import show_table

REFRESH_SECONDS = 3


def facts(known: Summary) -> None:
    """The plan, as it is fixed."""
    plan = known.plan
    shared.show_invented(known.invented)
    if known.purpose:
        st.write(f"To decide: {shared.plain(known.purpose)}")
    sides = "one-sided" if plan.sides == 1 else "two-sided"
    rows = {
        "Method": f"{plan.procedure.name}, {sides} ({plan.procedure.standard})",
        "Question": plan.question,
        "Sample A": plan.a.name,
        "Sample B": plan.b.name,
        "Tastings": f"{len(plan.assessors)} assessors × {plan.replicates} = {plan.tastings}",
        "Risks": f"α = {plan.alpha:g}, β = {plan.beta:g} at p_d = {plan.p_d:g}",
        "Cup": f"{plan.serving_ml:g} mL",
    }
    table = pd.DataFrame({"The plan": list(rows), "as fixed": list(rows.values())})
    show_table(table, "The plan as it is fixed")


def offer_to_open(engine: Engine, known: Summary) -> None:
    """A planned session: opening draws and seals."""
    st.write(
        "Opening draws serving orders and codes at random, seals them and fixes the plan above. "
        "Nothing of it can be changed afterwards."
    )
    if st.button("Open the session", type="primary", key="open"):
        with shared.told():
            sessions.open_session(engine, known.id, shared.now())
            st.rerun()


def seal(known: Summary) -> None:
    """The fingerprint of the key, by which anyone can check later that it was not changed."""
    st.subheader("Seal")
    st.code(known.sealed, language=None, wrap_lines=True)
    st.caption(
        "SHA-256 of the sealed plan. Write it down or photograph it: once the session is closed, "
        "`tasting analyse` checks it against the exported document."
    )


def pouring(engine: Engine, known: Summary) -> None:
    """The link to the pour sheet, and a code for whoever fills the cups."""
    st.subheader("Pour sheet")
    st.write(
        "Whoever fills the cups opens this link, on a device that no assessor sees, with the "
        "host's passphrase or with a pourer's code. Whoever has seen the sheet does not taste."
    )
    st.code(f"{shared.base_url()}/?{access.POUR}={known.id}", language=None, wrap_lines=True)
    if st.button("Make a new pourer's code", key="pourer_code"):
        with shared.told():
            code = new_pourer_code(engine, known.id)
            st.info(f"Pourer's code: **{code}**. It is shown once; a newer one replaces it.")


def links(engine: Engine, known: Summary) -> None:
    """One assessor's link and QR code at a time."""
    st.subheader("Hand out the links")
    base = shared.base_url()
    if urlsplit(base).hostname in ("localhost", "127.0.0.1"):
        st.warning(
            "These links work on this computer only. For phones, start the app with --lan, or set "
            "TASTING_BASE_URL to the address under which phones reach it."
        )
    tokens = ballots.links(engine, known.id, access.secret_behind_links())
    assessor = st.selectbox("For", list(tokens), key=f"seat-{known.id}")
    link = f"{base}/?{access.SEAT}={tokens[assessor]}"
    image = io.BytesIO()
    segno.make(link, error="m").save(image, kind="png", scale=6, border=3)
    st.image(
        image.getvalue(), caption=f"QR code of the link for {shared.plain(assessor)}", width=280
    )
    st.code(link, language=None, wrap_lines=True)
    st.caption("Whoever holds this link answers for this assessor; give it to nobody else.")


@st.fragment(run_every=REFRESH_SECONDS)
def progress(session_id: str) -> None:
    """How many answers are in, never which."""
    seats = sessions.seats(shared.engine(), session_id)
    answered, planned = (sum(seat.answered for seat in seats), sum(seat.planned for seat in seats))
    st.subheader("Answers")
    st.progress(answered / planned, text=f"{answered} of {planned} answers are in")
    show_table(pd.DataFrame([_row(seat) for seat in seats]), "Answers that are in, by assessor")


def _row(seat: Seat) -> dict[str, str]:
    return {"Assessor": seat.assessor, "Sets answered": f"{seat.answered} of {seat.planned}"}


def offer_to_close(engine: Engine, known: Summary) -> None:
    """Closing is final and unseals; closing early needs a reason."""
    st.subheader("Close and unblind")
    st.write(
        "Closing is final: the key is unsealed and no more answers are taken. If answers are "
        "missing, the reason you give here goes into the finding."
    )
    with st.form(f"close-{known.id}", border=False):
        reason = st.text_input(
            "Reason, if you close early", key=f"reason-{known.id}", max_chars=500
        )
        sure = st.checkbox("Close this session for ever", key=f"sure-{known.id}")
        closing = st.form_submit_button("Close the session", type="primary", key="close")
    if closing and not sure:
        st.error("Tick the box to say that you mean it.")
    elif closing:
        with shared.told():
            sessions.close_session(engine, known.id, shared.now(), reason)
            st.switch_page("tasting/ui/findings.py", query_params={"session": known.id})


def show(engine: Engine) -> None:
    """The page."""
    st.title("Run a session")
    going = [known for known in sessions.summaries(engine) if known.state in ("planned", "open")]
    if not going:
        st.write("No session is planned or open.")
        st.page_link("tasting/ui/plan.py", label="Plan a session")
        return
    known = shared.choose_session(going, key="going")
    facts(known)
    if known.state == "planned":
        offer_to_open(engine, known)
        return
    seal(known)
    pouring(engine, known)
    links(engine, known)
    progress(known.id)
    offer_to_close(engine, known)


access.require_host()
show(shared.engine())
