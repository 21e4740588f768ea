"""The first page after signing in: how noticeable each difference was, and what it was made of."""

from collections.abc import Sequence
from functools import partial

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula
from tasting.drink.label import Reference
from tasting.insight.noticed import Noticed, noticed
from tasting.panel.session import Session
from tasting.store import formulas, sessions
from tasting.ui import access, shared
from tasting.ui.charts_evidence import (
    INTERVAL,
    SAMPLES,
    SUGAR,
    TA,
    Quantity,
    noticed_against,
    session_name,
)
from tasting.ui.drink_views import show_versions_against_label
from tasting.ui.tables import show_table

ARROW = ":material/arrow_forward:"


def begin(engine: Engine, known: Sequence[Formula]) -> None:
    """What to do first, as long as no session is closed."""
    going = [kept for kept in sessions.summaries(engine) if kept.state == "open"]
    if going:
        st.write("A session is open. What it finds is drawn here once you close it.")
        st.page_link("tasting/ui/run.py", label="See how many answers are in", icon=ARROW)
    elif known:
        st.write("No session is closed yet. Compare two drinks blind; what you find is drawn here.")
        st.page_link("tasting/ui/plan.py", label="Plan a session", icon=ARROW)
    else:
        st.write(
            "Nothing is kept yet. Write down a formula, plan a blind session of two of its "
            "versions (or of one and a reference), and what you find is drawn here."
        )
        st.page_link("tasting/ui/formulas.py", label="Write the first formula", icon=ARROW)


def choose(
    known: Sequence[Formula], bottles: Sequence[Reference]
) -> tuple[Formula | None, Reference | None]:
    """The formula and the reference that the page is about; None is all of them."""
    left, right = st.columns(2)
    formula = left.selectbox(
        "Formula",
        known,
        index=None,
        format_func=lambda kept: kept.name,
        placeholder="All formulas",
        key="dashboard_formula",
    )
    reference = right.selectbox(
        "Reference",
        bottles,
        index=None,
        format_func=lambda kept: kept.name,
        placeholder="With or without",
        key="dashboard_reference",
    )
    return formula, reference


def about(session: Session, formula: Formula | None, reference: Reference | None) -> bool:
    """Whether a session compares a version of this formula, and this reference."""
    compared = {(sample.kind, sample.id) for sample in (session.plan.a, session.plan.b)}
    versions = {("version", version.id) for version in formula.versions} if formula else compared
    bottle = {("reference", reference.id)} if reference else compared
    return bool(compared & versions) and bool(compared & bottle)


def show_noticed(rows: Sequence[Noticed], quantity: Quantity) -> None:
    """One chart with the table of its numbers."""
    chart, text, table = noticed_against(rows, quantity)
    undrawn = [session_name(row) for row in rows if quantity.step(row) is None]
    st.subheader(f"Noticed, by difference in {quantity.name}")
    if len(undrawn) < len(rows):
        st.altair_chart(chart, alt=text, key=f"chart-{quantity.level}")
    if undrawn:
        names = shared.plain("; ".join(undrawn))
        st.caption(
            f"In the table only, because the {quantity.name} of one of the two drinks is not "
            f"known: {names}."
        )
    with st.expander("The same numbers as a table"):
        show_table(table, text, unbroken=[INTERVAL, "Difference", "Method", SAMPLES])


def show_evidence(rows: Sequence[Noticed]) -> None:
    """Both charts, and how to read them."""
    st.write(
        "Each mark is a closed session: how often its difference was noticed, beyond guessing, "
        "with the 95 % interval as a line. A filled mark is a difference that was shown at the "
        "α of its plan; a hollow one was not shown, which is not evidence of no difference. "
        "Marks at nearly one place are moved apart a little; the tables have the exact numbers."
    )
    st.caption(
        "For a preference test the value is the lead of one sample over the other: some may have "
        "noticed and still be divided in their liking, so read it as a lower bound."
    )
    for quantity in (TA, SUGAR):
        show_noticed(rows, quantity)
    st.caption(
        "Titratable acidity in g/L as anhydrous citric acid. Samples that differ little in one of "
        "these may differ in the other, or in something that neither chart shows."
    )


def show_closed(engine: Engine, chosen: Sequence[Session]) -> None:
    """What the chosen closed sessions found."""
    rows = noticed(chosen, partial(formulas.drink, engine))
    if rows:
        show_evidence(rows)
    else:
        st.write("No closed session with an answer compares these.")


def show_versions(formula: Formula, reference: Reference | None) -> None:
    """The versions of a formula beside the label of a reference."""
    names = [kept.name for kept in (formula, reference) if kept]
    st.subheader(shared.plain(" against ".join(names)))
    show_versions_against_label(formula, reference)


def notes(*lots: Sequence[Formula | Reference | Session]) -> None:
    """Says which data on this page are invented."""
    for note in dict.fromkeys(kept.invented for lot in lots for kept in lot):
        shared.show_invented(note)


def show(engine: Engine) -> None:
    """The page."""
    st.title("Dashboard")
    known, bottles = formulas.formulas(engine), formulas.references(engine)
    closed = sessions.closed_sessions(engine)
    notes(known, bottles, closed)
    if not closed:
        begin(engine, known)
    formula, reference = choose(known, bottles) if closed or known else (None, None)
    if closed:
        show_closed(engine, [kept for kept in closed if about(kept, formula, reference)])
    if known:
        show_versions(formula or known[0], reference or next(iter(bottles), None))


access.require_host()
show(shared.engine())
