"""The page for planning a session: everything that is fixed before the first answer."""

from collections.abc import Sequence
from math import isnan

import streamlit as st
from sqlalchemy import Engine

from tasting.panel import care
from tasting.panel.design import Letter, TestDesign
from tasting.panel.methods import METHODS, Method
from tasting.panel.plan import Plan, Sample
from tasting.panel.session import Session
from tasting.records import checked, now
from tasting.store import formulas
from tasting.store.sessions import plan_session
from tasting.ui import access, fields, page, pages
from tasting.ui.tastings.planning import care as plan_care
from tasting.ui.tastings.planning import size

_EITHER = "Either sample: two-sided"
_COUNT = "people-shown"


def _samples(known: tuple[Sample, ...]) -> tuple[Sample, Sample]:
    """The two samples to compare."""
    left, right = st.columns(2)
    a = left.selectbox("Sample A", known, format_func=lambda sample: sample.name, key="a")
    # Not by its index: the dashboard may have chosen it before the page opens.
    st.session_state.setdefault("b", known[1])
    b = right.selectbox("Sample B", known, format_func=lambda sample: sample.name, key="b")
    return a, b


def _question(method: Method, a: Sample, b: Sample) -> tuple[str, Letter | None]:
    """For a paired comparison: the attribute, and the sample that is expected to have more."""
    if not method.names_attribute:
        st.write(f"The ballot asks: *{method.question}*")
        return "", None
    attribute = st.text_input("Which sample is …", value="more sour", key="attribute", max_chars=40)
    if method.directional_b:
        st.write("Sample B has to be the one that is expected to be chosen: one-sided.")
        return attribute, "B"
    directions: dict[str, Letter | None] = {_EITHER: None}
    directions |= {f"A, {a.name}: one-sided": "A", f"B, {b.name}: one-sided": "B"}
    expected = st.radio(
        "Which sample do you expect to be chosen?",
        list(directions),
        format_func=page.escape_markdown,
        key="expected",
        help="Expect one sample only if a choice of the other would mean nothing to you.",
    )
    return attribute, directions[expected]


def _panel(alone: bool) -> tuple[Sequence[str], float, float]:
    """Pseudonyms, replicates and the volume of a cup."""
    people, times, volume = st.columns(3)
    serving_ml = fields.number("mL in a cup", "serving_ml", 5, 250, 30, place=volume)
    if alone:
        return *plan_care.one_person(people, times), serving_ml
    count = fields.number("Assessors", "people", 1, 60, 8, whole=True, place=people)
    replicates = fields.number("Sets for each", "replicates", 1, 20, 1, whole=True, place=times)
    # While the count cannot be read, the names that were typed stay.
    shown = st.session_state.get(_COUNT, 8) if isnan(count) else int(count)
    st.session_state[_COUNT] = shown
    names = st.text_area(
        "Their pseudonyms, one a line; real names are not needed",
        value="\n".join(f"P{number:02d}" for number in range(1, shown + 1)),
        key=f"names-{shown}",
    )
    if isnan(count):
        replicates = fields.NOT_READ
    return [name.strip() for name in names.splitlines() if name.strip()], replicates, serving_ml


def _outlook(engine: Engine, plan: Plan, design: TestDesign) -> bool:
    """What the plan can show, and what it asks of each assessor.

    Returns whether the host confirmed a plan that is above the limit.
    """
    with page.show_errors():
        size.outlook(plan, design)
    for notice in care.notices(plan.allergens, plan.alcohol_percent_vol):
        st.caption(page.escape_markdown(notice))
    return plan_care.outlook(engine, plan)


def _draft(engine: Engine, known: tuple[Sample, ...]) -> tuple[Plan, TestDesign] | None:
    """The plan as it stands in the widgets; None after saying what is wrong with it."""
    key = st.selectbox(
        "Method", list(METHODS), format_func=lambda key: METHODS[key].name, key="method"
    )
    a, b = _samples(known)
    attribute, expected = _question(METHODS[key], a, b)
    undecided = size.no_preference(METHODS[key])
    design = size.ask(METHODS[key], expected)
    if design:
        size.needed(design)
    alone = plan_care.alone()
    assessors, replicates, serving_ml = _panel(alone)
    served = {**plan_care.serving(), "conduct": plan_care.conduct()}
    drinks = [formulas.drink(engine, sample) for sample in (a, b)]
    with page.show_errors():
        fields.require_read(replicates, serving_ml, *plan_care.numbers(served))
        if design is None:
            fields.require_read(fields.NOT_READ)
            return None
        plan = checked(
            Plan,
            {
                "method": key,
                "a": a,
                "b": b,
                "attribute": attribute,
                "expected": expected,
                "no_preference": undecided,
                **design.fields,
                "assessors": assessors,
                "replicates": replicates,
                "serving_ml": serving_ml,
                "alone": alone,
                **served,
                "allergens": care.allergens(drinks),
                "alcohol_percent_vol": care.alcohol_percent_vol(drinks),
            },
        )
        return plan, design
    return None


def _show(engine: Engine) -> None:
    """The page."""
    page.title("Plan a session")
    known = formulas.samples(engine)
    if len(known) < 2:
        st.write(
            "A session compares two drinks. Keep a formula and a reference, or two versions, first."
        )
        return
    name = st.text_input("Name of the session", key="name", max_chars=120)
    purpose = st.text_input("What is to be decided?", key="purpose", max_chars=500)
    drafted = _draft(engine, known)
    if drafted is None:
        return
    plan, design = drafted
    confirmed = _outlook(engine, plan, design)
    if st.button("Keep this plan", type="primary", key="keep"):
        with page.show_errors():
            values = {"id": formulas.new_id(), "name": name, "purpose": purpose, "plan": plan}
            events = plan_care.events(engine, plan, confirmed)
            planned = {**values, "events": events, "planned_at": now()}
            plan_session(engine, checked(Session, planned))
            st.success("The plan is kept. Open the session when the panel is ready.")
            st.page_link(pages.TASTINGS.script, label="Run a session")


access.require_host()
_show(page.engine())
