"""The depth of a finding: its numbers, the sequence of answers, and the panel checks."""

import streamlit as st

from tasting.insight.findings.finding import Finding
from tasting.insight.findings.panel_checks import assessor_checks, panel_checks
from tasting.panel.session import Session
from tasting.ui import page
from tasting.ui.tables import show_table
from tasting.ui.tastings.finding.numbers_table import contrast_table, numbers_table
from tasting.ui.tastings.finding.panel_tables import (
    MEANING,
    alarm_sentence,
    assessors_table,
    looks_table,
)
from tasting.ui.tastings.finding.sequence_chart import sequence_chart


def show_sequence(found: Finding) -> None:
    """The answers between Wald's lines, for a session that was planned so."""
    if not found.tally.design.sequential:
        return
    chart, text, table = sequence_chart(found.tally)
    st.subheader("Answers as they came, between the lines of the plan")
    st.altair_chart(chart, alt=text, key="sequence")
    st.caption(text)
    with st.expander("The same numbers as a table"):
        show_table(table, text)


def show_numbers(found: Finding) -> None:
    """Every number with its interval, and which kind of interval it is."""
    contrast = contrast_table(found)
    if contrast is not None:
        show_table(contrast, "How often each answer was given, without and with a difference")
    show_table(numbers_table(found), "Every number of the finding with its interval")


def show_panel(session: Session) -> None:
    """Places, serving orders, halves and assessors. Only closed sessions come here."""
    found = panel_checks(session)
    if not found:
        st.write("Too few answers to check the panel.")
        return
    people = assessor_checks([session]) if session.plan.replicates > 1 else ()
    people = people if len(people) > 1 else ()
    st.write(alarm_sentence(len(found) + len(people)))
    show_table(looks_table(found), "Checks of places, serving orders and halves")
    if people:
        show_table(assessors_table(people), "Correct answers, by assessor")
    st.caption(page.escape_markdown(MEANING))
