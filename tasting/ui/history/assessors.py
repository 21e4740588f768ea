"""The part of the history page about assessors: one record at a time, and checks of the panel."""

import streamlit as st
from sqlalchemy import Engine

from tasting.insight.findings.assessor_record import assessor_record
from tasting.insight.findings.panel_checks import check_assessors
from tasting.store import assessors, session_index
from tasting.store.session_index import Index
from tasting.ui import page, pages
from tasting.ui.dashboard.cached import HASHED
from tasting.ui.history.assessor_chart import beyond, left_out_table, record_chart, record_sentence
from tasting.ui.tables import show_table
from tasting.ui.tastings.finding.panel_tables import MEANING, alarm_sentence, assessors_table
from tasting.ui.terms import explained


def show_assessors(engine: Engine, index: Index) -> None:
    """The record of the assessor who is chosen. No pseudonym is cached or stands in the address: it
    has to go when it is erased."""
    known = assessors.names(engine)
    if not known:
        st.write("No closed session has a pseudonym left.")
        return
    name = st.selectbox("Assessor", known, index=None, placeholder="Choose one", key="assessor")
    if name:
        _show_record(engine, index, name)
    checks = st.expander("Panel checks", key="panel_checks", on_change="rerun")
    if checks.open:
        with checks:
            _show_checks(engine, index)


@st.cache_resource(max_entries=1, show_spinner=False, hash_funcs=HASHED)
def _totals(engine: Engine, index: Index) -> dict[str, tuple[int, int]]:
    return assessors.totals(engine)


def _show_record(engine: Engine, index: Index, name: str) -> None:
    record = assessor_record(assessors.scores(engine, name, _totals(engine, index)))
    st.markdown(f"**{page.escape_markdown(record_sentence(name, record))}**")
    st.caption(
        "This describes this panel and what it was served; it ranks nobody. Few tastings give wide "
        "intervals, and d′ depends on how different the drinks were: compare it with the others "
        "in the same sessions.",
        help=explained("d′ (95 % interval)"),
    )
    if record.periods:
        chart, text, table = record_chart(name, record.periods)
        st.altair_chart(chart, alt=text, key="assessor_chart")
        st.caption(
            "Points and bars: this assessor's d′ with its 95 % interval. Grey: all others there."
            + " A bar that reaches the top continues beyond it." * beyond(record.periods)
        )
        show_table(table, text)
    excluded = assessors.left_out(engine, name)
    if excluded:
        show_table(left_out_table(excluded), "Sessions in which the answers are left out")
    else:
        st.write("No answers of this assessor were left out.")
    st.page_link(pages.HOST.script, label="Erase this pseudonym on request")


def _show_checks(engine: Engine, index: Index) -> None:
    result = check_assessors(session_index.assessor_scores(engine, index.wanted))
    if len(result) < 2:
        st.write("There are no answers yet that can be correct or wrong.")
        return
    st.write(alarm_sentence(len(result)))
    show_table(assessors_table(result), "Correct answers, by assessor")
    st.caption(
        f"{MEANING} Each assessor is compared with the others in the same sessions; people also "
        "differ in acuity. A pseudonym counts as one person in all sessions."
    )
