"""A planned session: what it is, what it asks of assessors, and the button that opens it."""

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.panel import care
from tasting.records import now
from tasting.report.plan_facts import plan_facts
from tasting.store import sessions
from tasting.store.limits import confirm_above_limit, confirmed_above_limit, host_limits
from tasting.store.sessions import Summary
from tasting.ui import page, pages
from tasting.ui.tables import show_table
from tasting.ui.tastings.event_log import show_log
from tasting.ui.tastings.planning import care as plan_care
from tasting.ui.tastings.planning.refill import EDIT
from tasting.ui.tastings.planning.size import in_words
from tasting.ui.tastings.printing import offer_to_print
from tasting.ui.tastings.running.corrections import abandon
from tasting.ui.terms import explained


def show(engine: Engine, known: Summary) -> None:
    """The sections of a planned session."""
    plan = known.plan
    said = in_words(plan, plan.design)
    st.markdown(f"**{plan.tastings} tastings.** {said}", help=explained(said))
    _offer_to_open(engine, known)
    st.page_link(
        pages.NEW.script,
        label="Edit the plan",
        icon=":material/edit:",
        query_params={EDIT: known.id},
    )
    offer_to_print("Batch sheet of both samples", known.id, "batches")
    with st.expander("The plan"):
        show_plan(known)
    with st.expander("Give it up"):
        abandon(engine, known)
    with st.expander("Record"):
        show_log(engine, known.id)


def show_plan(known: Summary) -> None:
    """What is fixed once the session opens, and who tastes."""
    rows = {**plan_facts(known.plan), "Assessors": ", ".join(known.plan.assessors)}
    table = pd.DataFrame({"What": list(rows), "As planned": list(rows.values())})
    show_table(table, "The plan of the session")


def _offer_to_open(engine: Engine, known: Summary) -> None:
    """Opening draws and seals; above the host's limit it has to be confirmed."""
    kept = host_limits(engine)
    st.write(page.escape_markdown(plan_care.told(known.plan, kept.country)))
    for notice in care.notices(known.plan.allergens, known.plan.alcohol_percent_vol):
        st.caption(page.escape_markdown(notice))
    said = "" if confirmed_above_limit(engine, known.id) else care.above_limit(known.plan, kept)
    confirmed = bool(said) and plan_care.confirm(known.plan, kept, f"confirm-{known.id}")
    st.write("Opening locks the plan and draws random orders and codes. It cannot be undone.")
    if st.button("Open the session", type="primary", key=f"open-{known.id}"):
        with page.show_errors():
            if said:
                care.check_limit(known.plan, kept, confirmed)
                confirm_above_limit(engine, known.id, said, now())
            sessions.open_session(engine, known.id, now())
            st.rerun()
