"""A closed session: its finding as it stands today, what limits it, and the depth behind tabs."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from importlib.resources import files

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.insight.advice.question import version_name
from tasting.insight.findings.finding import Finding
from tasting.insight.findings.next_step import NextStep
from tasting.insight.findings.tally import Tally
from tasting.panel.methods import METHODS
from tasting.panel.plan import Plan, Sample
from tasting.panel.session import Session
from tasting.report.answers import answers_table
from tasting.report.figure_rows import figure_rows
from tasting.report.plan_facts import plan_facts
from tasting.report.session_report import ending, summary
from tasting.report.strip import strip_of
from tasting.store import formulas
from tasting.store.documents import export_document, write_document
from tasting.store.todays_finding import todays_finding
from tasting.ui import page, pages
from tasting.ui.tables import show_table
from tasting.ui.tastings.event_log import show_log
from tasting.ui.tastings.finding import evidence
from tasting.ui.tastings.planning import asked_for
from tasting.ui.tastings.printing import offer_to_print
from tasting.ui.tastings.words import shortened
from tasting.ui.terms import explained
from tasting.wording import day

_SHOWN = {
    "assessor": "Assessor",
    "replicate": "Set",
    "serving_order": "Order",
    "codes": "Codes",
    "chosen": "Chosen",
    "sample": "Sample",
    "counted": "Counted",
    "remark": "Remark",
}
_REMARKS = 6
"""Remarks beside the finding; all of them stand with the answers."""
NUMBERS, CHECKS, ANSWERS, PLAN, RECORD = (
    "Numbers and sources",
    "Panel checks",
    "Answers and serving key",
    "Plan",
    "Record and fingerprint",
)
_FIGURES = (
    "Computed from the recipe, with the likely range; of a reference, what is declared or "
    "measured, with what rounding or measuring leaves open. Difference: B less A, ± half its 95 % "
    "interval; what is unsure in both alike cancels."
)
_NARROW = 340.0
"""Units in which the strip is drawn where a phone shows it."""
_STRIP = files("tasting.ui.tastings.finding").joinpath("strip.js")


def show(engine: Engine, session: Session) -> None:
    """All of one closed session, the answer first."""
    found = todays_finding(engine, session) if Tally.of_session(session).n else None
    if found is None:
        st.header("Closed without an answer that counts")
        st.write("No answer counts, so there is nothing to conclude.")
    else:
        _show_finding(session, found)
    _show_around(engine, session, found)
    _show_depth(engine, session, found)


def _show_finding(session: Session, found: Finding) -> None:
    """Headline, evidence, the strip, and what to do next."""
    st.header(page.escape_markdown(shortened(found.headline, session.plan)))
    first, *middle, _ = found.sentences
    _say(shortened(first, session.plan))
    _show_strip(found)
    _say(shortened(" ".join(middle), session.plan))
    says = shortened(found.following.says, session.plan)
    st.write(f"**{page.escape_markdown(says)}**")
    with st.container(horizontal=True, vertical_alignment="center"):
        _offer_next(session.plan, found.following)
        offer_to_print("Report to print", session.id, "report")
        with st.popover("Summary to copy"):
            st.code(summary(session, found), language=None, wrap_lines=True)


def _say(text: str) -> None:
    """A sentence, with what its statistics mean behind a help mark."""
    st.markdown(page.escape_markdown(text), help=explained(text))


def _offer_next(plan: Plan, step: NextStep) -> None:
    """The button that opens a new tasting of the same two, filled in with what is suggested."""
    if st.button(page.escape_markdown(_next_label(plan, step)), type="primary", key="next"):
        again = step.method == plan.method
        more = {
            "attribute": step.attribute,
            "aim": plan.aim if again else "",
            "expected": (plan.expected or "") if again else "",
        }
        asked = asked_for.address(plan.a.id, plan.b.id, step.method, step.tastings, **more)
        st.switch_page(pages.NEW.script, query_params=asked)


def _next_label(plan: Plan, step: NextStep) -> str:
    """What the button plans."""
    if not step.method:
        return "New tasting of these two"
    if step.method == plan.method:
        return "Plan it again"
    if step.attribute:
        return f"Plan “Which is {step.attribute}?”"
    return f"Plan a {METHODS[step.method].name.split(' (')[0].lower()}"


def _show_strip(found: Finding) -> None:
    """Correct answers against guessing. Streamlit takes pictures out of HTML, so a script of ours
    draws this one, in the colours of either mode."""
    strip = strip_of(found)
    if strip:
        draw = st.components.v2.component("answer_strip", js=_STRIP.read_text("utf-8"))
        draw(key="strip", data={"wide": strip.svg, "narrow": replace(strip, width=_NARROW).svg})


def _show_around(engine: Engine, session: Session, found: Finding | None) -> None:
    """What differs between the two drinks; beside it what limits the finding, and remarks."""
    drinks, limits = st.columns(2, gap="medium")
    with drinks, st.container(key="differs"):
        st.subheader("What differs", help=_FIGURES)
        plan = session.plan
        rows = [
            (row.name, row.a, row.b, row.difference)
            for row in figure_rows(*formulas.compared(engine, session))
        ]
        names = [
            f"{one}: {version_name(shortened(sample.name, plan))}" for one, sample in _both(plan)
        ]
        table = pd.DataFrame(rows, columns=["Figure", *names, "Difference"])
        show_table(table, "What is in both drinks")
    with limits:
        if found and found.cautions:
            st.subheader("Limitations")
            st.markdown("\n".join(f"- {page.escape_markdown(one)}" for one in found.cautions))
        _show_remarks(session)


def _both(plan: Plan) -> tuple[tuple[str, Sample], tuple[str, Sample]]:
    return ("A", plan.a), ("B", plan.b)


def _show_remarks(session: Session) -> None:
    said = [(one.assessor, one.remark) for one in session.counted_answers if one.remark]
    if not said:
        return
    st.subheader("Remarks")
    for who, remark in said[:_REMARKS]:
        st.markdown(page.escape_markdown(f"“{remark}” ({who})"))
    if len(said) > _REMARKS:
        st.caption(f"And {len(said) - _REMARKS} more, with the answers below.")


def depth_key(session_id: str) -> str:
    """The key of the choice of what to read closer."""
    return f"depth-{session_id}"


def _show_depth(engine: Engine, session: Session, found: Finding | None) -> None:
    """Everything else, one part at a time; none at first."""
    parts: dict[str, Callable[[], None]] = {
        NUMBERS: partial(_show_numbers, engine, session, found),
        CHECKS: partial(evidence.show_panel, session),
        ANSWERS: partial(_show_key, session),
        PLAN: partial(_show_plan, session),
        RECORD: partial(_show_record, engine, session),
    }
    chosen = st.segmented_control("Details", list(parts), key=depth_key(session.id))
    if chosen:
        st.subheader(chosen)
        parts[chosen]()


def _show_numbers(engine: Engine, session: Session, found: Finding | None) -> None:
    """Every number and its source, and the whole session as a document."""
    if found:
        evidence.show_numbers(found)
        evidence.show_sequence(found)
    make, name = partial(_document, engine, session.id), f"session-{session.id}.json"
    page.offer_file("Download as document (JSON)", make, name, "session")


def _show_record(engine: Engine, session: Session) -> None:
    """The fingerprint, and what happened."""
    st.code(session.sealed, language=None, wrap_lines=True)
    st.caption("Fingerprint (SHA-256) of the plan and codes, locked at opening.")
    show_log(engine, session.id)


def _show_plan(session: Session) -> None:
    """The plan as it was fixed before the first answer, and how it ended."""
    rows = {
        **plan_facts(session.plan),
        "Opened": day(session.opened_at),
        "Closed": f"{day(session.closed_at)}, {ending(session)}",
    }
    table = pd.DataFrame({"What": list(rows), "As planned": list(rows.values())})
    show_table(table, "The plan of the session, fixed before the first answer")


def _counted(plan: Plan) -> str:
    """What it means that an answer was counted."""
    if plan.procedure.psychometric is None:
        return "An answer is counted when it reports a difference, even where there is none."
    if plan.procedure.has_right_answer:
        return "An answer is counted when it is correct."
    return f"An answer is counted when it chose sample {plan.expected or 'B'}."


def _show_key(session: Session) -> None:
    """Each answer beside what was in the cups."""
    plan = session.plan
    if not session.answers:
        st.write("Nobody answered.")
        return
    names = f"A is {plan.a.name}, B is {plan.b.name}."
    st.write(
        page.escape_markdown(f"{names} Orders and codes run from left to right. {_counted(plan)}")
    )
    table = answers_table([session])[list(_SHOWN)].rename(columns=_SHOWN)
    table["Counted"] = table["Counted"].map({True: "yes", False: "no"})
    said = "Each answer with its set, its codes and the sample that was chosen"
    show_table(table, said, unbroken=["Codes"])
    if session.early:
        st.caption(f"Sets without an answer are in the document  under {NUMBERS}.")


def _document(engine: Engine, session_id: str) -> str:
    """The session with the drinks that it compares, as a document."""
    return write_document(export_document(engine, [session_id]))
