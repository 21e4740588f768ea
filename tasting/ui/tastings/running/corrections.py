"""Sections of an open session: corrections, each with its reason, and the end of a session."""

import streamlit as st
from sqlalchemy import Engine

from tasting.panel.entries import Amendment, Exclusion
from tasting.records import checked, now
from tasting.store import sessions
from tasting.store.paper import amend_typed
from tasting.store.sessions import Summary
from tasting.ui import fields, page, pages
from tasting.wording import many

_LONGEST_REASON = 500
_NO_REASON = "the reason is empty; say why"


def corrections(engine: Engine, known: Summary) -> None:
    """Amend an answer, exclude an assessor, abandon the session."""
    st.write("Each needs a reason and stays on record. None can be made after closing.")
    with st.expander("Amend an answer that was entered wrongly"):
        _amend(engine, known)
    with st.expander("Leave an assessor out of the finding"):
        _exclude(engine, known)
    with st.expander("Give up the session"):
        abandon(engine, known)


def _reason_field(key: str) -> str:
    """Why."""
    return st.text_input("Reason", key=key, max_chars=_LONGEST_REASON)


def _amend(engine: Engine, known: Summary) -> None:
    """The first answer stays on record beside the amendment."""
    answered = {
        seat.assessor: seat.answered for seat in sessions.seats(engine, known.id) if seat.answered
    }
    if not answered:
        st.write("There is no answer yet.")
        return
    st.write("Both stay on record: what was entered, and what is correct.")
    assessor = st.selectbox("Assessor", list(answered), key=f"amend-who-{known.id}")
    with st.form(f"amend-{known.id}", border=False):
        last, key = answered[assessor], f"amend-set-{known.id}-{assessor}"
        turn = fields.number("Set", key, 1, last, last, whole=True)
        choice = st.text_input("The correct choice", key=f"amend-choice-{known.id}", max_chars=60)
        reason = _reason_field(f"amend-why-{known.id}")
        sent = st.form_submit_button("Amend", key=f"amend-keep-{known.id}")
    if sent:
        with page.show_errors():
            fields.require_read(turn)
            values = {"assessor": assessor, "replicate": turn, "choice": choice.strip()}
            change = checked(Amendment, {**values, "reason": reason, "made_at": now()})
            amend_typed(engine, known.id, change)
            st.success("Saved: the amendment is on record.")


def _exclude(engine: Engine, known: Summary) -> None:
    """Before unblinding only, so that nobody is left out for their answers."""
    present = [seat.assessor for seat in sessions.seats(engine, known.id) if not seat.excluded]
    if not present:
        st.write("All assessors are excluded.")
        return
    st.write(
        "For what happened at the table: a cold, a spilt cup, a look at the pour sheet. The "
        "answers stay on record and do not count; the finding says that somebody was left out."
    )
    with st.form(f"exclude-{known.id}", border=False):
        assessor = st.selectbox("Assessor", present, key=f"exclude-who-{known.id}")
        reason = _reason_field(f"exclude-why-{known.id}")
        sure = st.checkbox("This cannot be taken back", key=f"exclude-sure-{known.id}")
        sent = st.form_submit_button("Exclude", key=f"exclude-keep-{known.id}")
    if page.meant(sent, sure, "" if reason.strip() else _NO_REASON):
        with page.show_errors():
            values = {"assessor": assessor, "reason": reason, "made_at": now()}
            sessions.exclude_assessor(engine, known.id, checked(Exclusion, values))
            st.rerun()


def abandon(engine: Engine, known: Summary) -> None:
    """The key stays sealed permanently; the session stays on record."""
    st.write(
        "The session ends without a finding, and its serving key stays sealed. It stays on record "
        "with your reason."
    )
    with st.form(f"abandon-{known.id}", border=False):
        reason = _reason_field(f"abandon-why-{known.id}")
        sure = st.checkbox("Give it up permanently", key=f"abandon-sure-{known.id}")
        sent = st.form_submit_button("Give it up", key=f"abandon-keep-{known.id}")
    if page.meant(sent, sure, "" if reason.strip() else _NO_REASON):
        with page.show_errors():
            sessions.abandon_session(engine, known.id, now(), reason)
            st.switch_page(pages.TASTINGS.script)


def _missing(known: Summary) -> str:
    """How many answers are missing; whether a sequential test has enough of them is said by its
    own sentence alone, as it depends on the key."""
    missing = known.plan.tastings - known.answered
    return f"{many(missing, 'answer is', 'answers are')} missing" if missing else ""


def _early_reason(known: Summary) -> str:
    return st.text_input(
        "Reason for closing early", key=f"reason-{known.id}", max_chars=_LONGEST_REASON
    )


def offer_to_close(engine: Engine, known: Summary) -> None:
    """Closing is final and unseals; closing early needs a reason."""
    missing = _missing(known)
    unless = " unless the test has enough" * known.plan.sequential
    st.write(
        "Closing is final: it reveals the serving key, and no more answers are taken."
        + (f" {missing}; say why{unless}." if missing else "")
    )
    with st.form(f"close-{known.id}", border=False):
        reason = _early_reason(known) if missing else ""
        sure = st.checkbox("Close this session permanently", key=f"sure-{known.id}")
        closing = st.form_submit_button("Close and reveal", type="primary", key="close")
    early = missing and not known.plan.sequential and not reason.strip()
    if page.meant(closing, sure, f"{missing}: say why you close early" if early else ""):
        with page.show_errors():
            sessions.close_session(engine, known.id, now(), reason)
            st.rerun()
