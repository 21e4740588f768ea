"""The part of the history page that looks at all closed sessions together."""

from collections.abc import Sequence

import streamlit as st

from tasting.drink.formula import Formula
from tasting.errors import InputError
from tasting.insight.findings.panel_checks import assessor_checks
from tasting.insight.findings.pooling import adjusted, expected_alarms, repeated
from tasting.insight.findings.progress import steps
from tasting.insight.findings.ranking import preferred
from tasting.panel.session import Session
from tasting.ui import page
from tasting.ui.history.across_tables import (
    adjusted_table,
    alarms_sentence,
    differences_table,
    pooled_sentence,
    preferred_chart,
    preferred_sentence,
    repeated_table,
)
from tasting.ui.history.progress_table import step_sentence, steps_table
from tasting.ui.tables import show_table
from tasting.ui.tastings.finding.panel_tables import MEANING, alarm_sentence, assessors_table


def show_together(closed: Sequence[Session], formulas: Sequence[Formula]) -> None:
    """Five looks at all closed sessions, or one drink's; each is folded until it is asked for."""
    if len(closed) < 2:
        return
    st.subheader("All closed sessions together")
    drink = st.selectbox(
        "Of one drink only",
        formulas,
        index=None,
        format_func=lambda formula: formula.name,
        placeholder="All drinks",
        key="together_drink",
    )
    closed = of_drink(closed, drink) if drink else closed
    with st.expander("How many findings may be false alarms?"):
        _show_alarms(closed)
    with st.expander("Comparisons that were repeated"):
        _show_repeated(closed)
    with st.expander("Did a change bring it closer to its reference?"):
        _show_steps(closed)
    with st.expander("Which version is preferred?"):
        _show_preferred(closed)
    with st.expander("Is the panel well?"):
        _show_assessors(closed)


def of_drink(closed: Sequence[Session], drink: Formula) -> tuple[Session, ...]:
    """The sessions in which a version of this drink was tasted."""
    versions = {version.id for version in drink.versions}
    return tuple(
        session
        for session in closed
        if any(
            sample.kind == "version" and sample.id in versions
            for sample in (session.plan.a, session.plan.b)
        )
    )


def _show_alarms(closed: Sequence[Session]) -> None:
    rows = adjusted(closed)
    if not rows:
        st.write("No session has a p-value yet.")
        return
    st.write(alarms_sentence(expected_alarms(closed)))
    st.caption(
        "Holm's p keeps the risk of any false alarm at α; that of Benjamini and Hochberg keeps the "
        "share of false ones among what is found at α. A question that was planned by itself may "
        "be read by its raw p; one picked out afterwards should not."
    )
    show_table(adjusted_table(rows), "p-values of all sessions, raw and adjusted")


def _show_repeated(closed: Sequence[Session]) -> None:
    groups = repeated(closed)
    if not groups:
        st.write("No two samples were compared twice by tests whose counts may be combined.")
        return
    for group in groups:
        st.write(page.escape_markdown(pooled_sentence(group)))
    show_table(repeated_table(groups), "Counts of repeated comparisons, taken together")
    st.caption(
        "The same people may have answered in several of these sessions; the intervals take their "
        "answers as independent. Sequential sessions, and those whose direction was open, are "
        "left out."
    )


def _show_steps(closed: Sequence[Session]) -> None:
    result = steps(closed)
    if not result:
        st.write("No two versions were tasted one after the other against the same reference.")
        return
    for step in result:
        st.write(page.escape_markdown(step_sentence(step)))
    show_table(steps_table(result), "Distances from the reference, version by version")
    st.caption(
        "Distances d′ allow for the method. The same people may have answered in both sessions; "
        "the intervals take their answers as independent."
    )


def _show_preferred(closed: Sequence[Session]) -> None:
    try:
        result = preferred(closed)
    except InputError as error:
        st.write(page.escape_markdown(page.capital(f"{error}.")))
        return
    if result is None:
        st.write("An order needs preference sessions that connect at least three drinks.")
        return
    st.write(preferred_sentence(result))
    chart, text, table = preferred_chart(result)
    st.altair_chart(chart, alt=text, key="preferred")
    show_table(table, text)
    show_table(differences_table(result), "Each version against the next one in the order")
    st.caption(
        "One vote for each person and session. People who voted in several sessions are taken as "
        "independent, so the intervals are rather too narrow than too wide."
    )


def _show_assessors(closed: Sequence[Session]) -> None:
    result = assessor_checks(closed)
    if len(result) < 2:
        st.write("There are no answers yet that can be right or wrong.")
        return
    st.write(alarm_sentence(len(result)))
    show_table(assessors_table(result), "Answers that are right, by assessor")
    st.caption(
        f"{MEANING} Each assessor is held against the others in the same sessions; people also "
        "simply differ in acuity. A pseudonym is taken for one person in all sessions."
    )
