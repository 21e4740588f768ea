"""The page for reading what closed sessions found, with the plan as it was fixed and the key."""

from functools import partial

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.insight.findings.tally import Tally
from tasting.panel.plan import Plan
from tasting.panel.session import Session
from tasting.report.answers import answers_table
from tasting.report.plan_facts import plan_facts
from tasting.report.session_report import ending, summary
from tasting.store import past, sessions
from tasting.store.documents import export_document, write_document
from tasting.store.past import Past
from tasting.store.todays_finding import todays_finding
from tasting.ui import access, page, pages
from tasting.ui.tables import show_table
from tasting.ui.tastings.finding import evidence
from tasting.ui.tastings.printing import offer_to_print
from tasting.wording import day

# Query parameter with the id of a session.
_ASKED = "id"
# Sessions to choose from; History finds the others.
_LISTED = 50

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


def _choose(engine: Engine, newest: list[Past]) -> str:
    """The id of the session to read: the one in the address, else the one closed last."""
    by_id = {known.id: known for known in newest}
    asked = st.query_params.get(_ASKED)
    if asked and asked not in by_id:
        earlier = past.told(engine, [asked])
        by_id |= earlier
        if not earlier:
            _explain(engine, asked)
    picked = st.selectbox(
        "Session",
        list(by_id),
        index=list(by_id).index(asked) if asked in by_id else 0,
        format_func=lambda id_: f"{by_id[id_].name} ({day(by_id[id_].closed_at)})",
        key="session_to_read",
    )
    st.query_params[_ASKED] = picked
    if len(newest) == _LISTED:
        st.page_link(pages.HISTORY.script, label="Search earlier sessions")
    return picked


def _explain(engine: Engine, asked: str) -> None:
    """Why the session in the address cannot be read here."""
    with page.show_errors():
        known = sessions.summary(engine, asked)
        name = page.escape_markdown(known.name)
        st.info(f"{name} is {known.state}. Its finding can be read here once it is closed.")


def _show_finding(engine: Engine, session: Session) -> None:
    """Headline, evidence, extent, next step and what limits them."""
    if not Tally.of_session(session).n:
        st.header("Closed without an answer that counts")
        st.write("No answer counts, so there is nothing to conclude.")
        return
    found = todays_finding(engine, session)
    st.header(page.escape_markdown(found.headline))
    for sentence in found.sentences:
        st.write(page.escape_markdown(sentence))
    if found.cautions:
        st.subheader("What limits it")
        st.markdown("\n".join(f"- {page.escape_markdown(caution)}" for caution in found.cautions))
    evidence.show_sequence(found)
    offer_to_print("Report to print", session.id, "report")
    with st.expander("Summary to paste into a message"):
        st.code(summary(session, found), language=None, wrap_lines=True)


def _show_plan(session: Session) -> None:
    """The plan as it was fixed before the first answer, and how it ended."""
    rows = {
        **plan_facts(session.plan),
        "Opened": day(session.opened_at),
        "Closed": f"{day(session.closed_at)}, {ending(session)}",
    }
    st.subheader("The plan, fixed before the first answer")
    table = pd.DataFrame({"What": list(rows), "As planned": list(rows.values())})
    show_table(table, "The plan of the session")


def _counted(plan: Plan) -> str:
    """What it means that an answer was counted."""
    if plan.procedure.psychometric is None:
        return "An answer is counted when it reports a difference, also where there is none."
    if plan.procedure.has_right_answer:
        return "An answer is counted when it is correct."
    return f"An answer is counted when it chose sample {plan.expected or 'B'}."


def _show_key(session: Session) -> None:
    """Each answer beside what was in the cups."""
    plan = session.plan
    st.subheader("Answers and key, unsealed")
    names = f"A is {plan.a.name}, B is {plan.b.name}."
    st.write(
        page.escape_markdown(f"{names} Orders and codes run from left to right. {_counted(plan)}")
    )
    table = answers_table([session])[list(_SHOWN)].rename(columns=_SHOWN)
    table["Counted"] = table["Counted"].map({True: "yes", False: "no"})
    with st.expander(f"All {len(table)} answers"):
        said = "Each answer with its set, its codes and the sample that was chosen"
        show_table(table, said, unbroken=["Codes"])
    if session.early:
        st.caption("The sets that nobody answered are in the document below.")


def _document(engine: Engine, session_id: str) -> str:
    """The session with the drinks that it compares, as a document."""
    return write_document(export_document(engine, [session_id]))


def _show_session(engine: Engine, session: Session) -> None:
    """All of one closed session."""
    page.show_invented(session.invented)
    if session.purpose:
        st.write(f"To decide: {page.escape_markdown(session.purpose)}")
    _show_finding(engine, session)
    _show_plan(session)
    if session.answers:
        _show_key(session)
    evidence.show_numbers(session)
    evidence.show_panel(session)
    make = partial(_document, engine, session.id)
    page.offer_file("Download as document (JSON)", make, f"session-{session.id}.json", "session")


def _show(engine: Engine) -> None:
    """The page."""
    page.title("Findings")
    newest = past.newest(engine, _LISTED)
    if not newest:
        _begin(sessions.kept_any(engine))
        return
    with page.show_errors():
        _show_session(engine, sessions.closed_session(engine, _choose(engine, newest)))


def _begin(planned: bool) -> None:
    """What to do as long as no session is closed."""
    st.write("No session is closed yet. A finding appears here when its session is closed.")
    following = pages.TASTINGS if planned else pages.NEW
    st.page_link(following.script, label=following.title, icon=":material/arrow_forward:")


access.require_host()
_show(page.engine())
