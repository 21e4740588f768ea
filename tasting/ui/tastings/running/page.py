"""The page for running a session: open it, hand out the links, see answers come in, close it.

While a session is open this page knows how many answers are in and nothing else about them. The
modules beside it hold its sections.
"""

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.panel import care
from tasting.records import now
from tasting.report.plan_facts import plan_facts
from tasting.store import sessions
from tasting.store.limits import confirm_above_limit, confirmed_above_limit, host_limits
from tasting.store.sessions import Summary
from tasting.ui import access, page, pages
from tasting.ui.tables import show_table
from tasting.ui.tastings.event_log import show_log
from tasting.ui.tastings.planning import care as plan_care
from tasting.ui.tastings.running.alone import steps_alone
from tasting.ui.tastings.running.corrections import corrections, offer_to_close
from tasting.ui.tastings.running.links import links, pouring
from tasting.ui.tastings.running.paper import paper
from tasting.ui.tastings.running.progress import progress


def _facts(known: Summary) -> None:
    """The plan, as it is fixed."""
    page.show_invented(known.invented)
    if known.purpose:
        st.write(f"To decide: {page.escape_markdown(known.purpose)}")
    rows = plan_facts(known.plan)
    table = pd.DataFrame({"The plan": list(rows), "as fixed": list(rows.values())})
    show_table(table, "The plan as it is fixed")


def _offer_to_open(engine: Engine, known: Summary) -> None:
    """A planned session: opening draws and seals; above the host's limit it has to be confirmed."""
    kept = host_limits(engine)
    st.write(page.escape_markdown(plan_care.told(known.plan, kept.country)))
    said = "" if confirmed_above_limit(engine, known.id) else care.above_limit(known.plan, kept)
    confirmed = bool(said) and plan_care.confirm(known.plan, kept, f"confirm-{known.id}")
    st.write(
        "Opening draws serving orders and codes at random, seals them and fixes the plan above. "
        "Nothing of it can be changed afterwards."
    )
    if st.button("Open the session", type="primary", key="open"):
        with page.show_errors():
            if said:
                care.check_limit(known.plan, kept, confirmed)
                confirm_above_limit(engine, known.id, said, now())
            sessions.open_session(engine, known.id, now())
            st.rerun()


def _seal(known: Summary) -> None:
    """The fingerprint of the key, by which anyone can check later that it was not changed."""
    st.subheader("Seal")
    st.code(known.sealed, language=None, wrap_lines=True)
    st.caption(
        "SHA-256 of the sealed plan. Write it down or photograph it: once the session is closed, "
        "`tasting analyse` checks it against the exported document."
    )


def _show_open(engine: Engine, known: Summary) -> None:
    """The sections of an open session, in the order of the evening."""
    _seal(known)
    pouring(engine, known)
    if known.plan.alone:
        steps_alone(known.plan)
    links(engine, known)
    progress(known.id)
    if not known.plan.alone:  # on paper nobody could tell that the place was chosen first
        paper(engine, known)
    corrections(engine, known)
    with st.expander("What happened so far"):
        show_log(engine, known.id)
    offer_to_close(engine, known)


def _show(engine: Engine) -> None:
    """The page."""
    page.title("Run a session")
    aside: list[str] = []
    going = sessions.going(engine, aside)
    page.show_set_aside(aside)
    if not going:
        st.write("No session is planned or open.")
        st.page_link(pages.NEW.script, label="Plan a session")
        return
    known = page.choose_session(going, key="going")
    _facts(known)
    if known.state == "planned":
        _offer_to_open(engine, known)
        corrections(engine, known)
    else:
        _show_open(engine, known)


access.require_host()
_show(page.engine())
