"""A session that is open: how many answers are in, and what an evening needs.

While a session is open its page knows how many answers are in and nothing else about them. The
modules beside it hold its sections.
"""

from collections.abc import Callable

import streamlit as st
from sqlalchemy import Engine

from tasting.store.sessions import Summary
from tasting.ui.tastings.event_log import show_log
from tasting.ui.tastings.planning.planned import show_plan
from tasting.ui.tastings.running.alone import steps_alone
from tasting.ui.tastings.running.corrections import corrections, offer_to_close
from tasting.ui.tastings.running.links import links, pouring
from tasting.ui.tastings.running.paper import paper
from tasting.ui.tastings.running.progress import answers, progress

Section = Callable[[Engine, Summary], None]
SECTIONS: dict[str, Section] = {
    "Answers": answers,
    "Links": links,
    "Pour": pouring,
    "Paper": paper,
    "Corrections": corrections,
    "Close": offer_to_close,
}
ALONE: dict[str, Section] = {
    "Steps": steps_alone,
    "Pour": pouring,
    "Link": links,
    "Corrections": corrections,
    "Close": offer_to_close,
}
"""Without paper: there nobody could tell that the place was chosen before the code was read."""


def section_key(session_id: str) -> str:
    """The key of the choice among the sections."""
    return f"section-{session_id}"


def show(engine: Engine, known: Summary) -> None:
    """The answers that are in, then one section of the evening at a time."""
    progress(known.id)
    offered = ALONE if known.plan.alone else SECTIONS
    chosen = st.segmented_control(
        "Show",
        list(offered),
        default="Links" if "Links" in offered else next(iter(offered)),
        key=section_key(known.id),
        label_visibility="collapsed",
    )
    if chosen:
        st.subheader(chosen)
        offered[chosen](engine, known)
    with st.expander("Record and fingerprint"):
        _seal(known)
        show_plan(known)
        show_log(engine, known.id)


def _seal(known: Summary) -> None:
    """The fingerprint of the key, by which anyone can check later that it was not changed."""
    st.code(known.sealed, language=None, wrap_lines=True)
    st.caption(
        "Fingerprint (SHA-256) of the locked plan and codes. Note it now; it later proves nothing "
        "was changed: `tasting analyse` checks it against the exported document."
    )
