"""New tasting: which two, what to find out, who, when, and its name; the rest is folded away.

With `?edit=` the page changes a session that is planned and not opened yet; with `?a=…&b=…` it
begins with these drinks (`asked_for`).
"""

from dataclasses import dataclass
from typing import Any

import streamlit as st
from sqlalchemy import Engine
from streamlit.delta_generator import DeltaGenerator

from tasting.panel import care
from tasting.panel.design import TestDesign
from tasting.panel.plan import Plan, Sample
from tasting.panel.session import Session
from tasting.records import checked, now
from tasting.store import formulas
from tasting.store.sessions import Summary, plan_session
from tasting.ui import access, fields, page, pages
from tasting.ui.tastings.planning import asked_for, question, refill, size, who
from tasting.ui.tastings.planning import care as plan_care
from tasting.ui.tastings.planning.question import Kind

Drafted = tuple[Plan, TestDesign]


@dataclass(frozen=True, slots=True)
class _Places:
    """Where things stand on the page: the card, and two folds, of which one holds the depth."""

    card: DeltaGenerator
    method: DeltaGenerator
    depth: DeltaGenerator
    serving: DeltaGenerator


def _samples(known: tuple[Sample, ...]) -> tuple[Sample, Sample]:
    """The two samples to compare."""
    st.header("Which two?")
    left, right = st.columns(2)
    a = left.selectbox("Sample A", known, format_func=lambda sample: sample.name, key="a")
    # Not by its index: the dashboard may have chosen it before the page opens.
    st.session_state.setdefault("b", known[1])
    b = right.selectbox("Sample B", known, format_func=lambda sample: sample.name, key="b")
    return a, b


def _name(asked: Kind, attribute: str, a: Sample, b: Sample) -> str:
    """The name of the session; one is proposed."""
    said = asked.name.format(a=a.name, b=b.name, attribute=attribute)
    who.propose("name", said[:120])
    return st.text_input("Name", key="name", max_chars=120)


def _method(asked: Kind, a: Sample, b: Sample) -> tuple[dict[str, object], TestDesign | None]:
    """Method and risks: the fields of the plan, and the design."""
    method = question.method(asked)
    expected = question.expected(method, a, b)
    undecided = size.no_preference(method)
    with page.show_errors():
        design = size.ask(method, expected, asked.aim)
        if design:
            size.needed(design)
        values: dict[str, object] = {
            "method": method.key,
            "expected": expected,
            "no_preference": undecided,
        }
        return values, design
    return {}, None


def _serving(engine: Engine, alcohol: bool) -> dict[str, Any]:
    """How it is served, and what a report names beside that: fields of the plan."""
    served = plan_care.serving()
    if alcohol:
        plan_care.limits(engine)
    return {**served, "conduct": plan_care.conduct()}


def _draft(
    engine: Engine, known: tuple[Sample, ...], places: _Places
) -> tuple[str, str, Drafted | None]:
    """Name, purpose and plan as they stand in the fields; no plan after saying on the card what
    is wrong."""
    a, b = _samples(known)
    page.show_invented(formulas.invented(engine, {a.id, b.id}))
    st.header("What do you want to find out?")
    asked = question.kind()
    attribute = question.attribute(asked)
    purpose = st.text_input("Purpose: what will you decide?", key="purpose", max_chars=500)
    st.header("Who tastes, and when?")
    panel = st.container()
    name = _name(asked, attribute, a, b)
    with places.method:
        chosen, design = _method(asked, a, b)
    with panel:
        people = who.ask(design)
    drinks = [formulas.drink(engine, sample) for sample in (a, b)]
    with places.serving:
        served = _serving(engine, care.alcohol_percent_vol(drinks) > 0)
    with places.card, page.show_errors():
        fields.require_read(people["replicates"], *plan_care.numbers(served))
        if design is None:
            fields.require_read(fields.NOT_READ)
            return name, purpose, None
        values = {
            **chosen,
            "a": a,
            "b": b,
            "attribute": attribute,
            **design.fields,
            **people,
            **served,
            "allergens": care.allergens(drinks),
            "alcohol_percent_vol": care.alcohol_percent_vol(drinks),
        }
        return name, purpose, (checked(Plan, values), design)
    return name, purpose, None


def _save(engine: Engine, name: str, purpose: str, plan: Plan, confirmed: bool) -> None:
    """Keeps the plan, in place of the one that was edited, and goes to its page."""
    values = {"id": formulas.new_id(), "name": name, "purpose": purpose, "plan": plan}
    events = plan_care.events(engine, plan, confirmed)
    planned = checked(Session, {**values, "events": events, "planned_at": now()})
    edited = refill.edited(engine)
    plan_session(engine, planned)
    if edited:
        refill.replace(engine, edited.id)
    st.switch_page(pages.TASTING.script, query_params={"id": planned.id})


def _show(engine: Engine) -> None:
    """The page."""
    if "question" not in st.session_state:  # the page was not open before
        refill.begin_afresh()
    editing = refill.edited(engine)
    page.title("Edit the plan" if editing else "New tasting")
    known = formulas.offered(engine, _asked(editing))
    if len(known) < 2:
        st.write("A tasting compares two drinks. Save a formula and a reference, or two versions.")
        st.page_link(pages.DRINKS.script, label="Go to Drinks", icon=":material/arrow_forward:")
        return
    if editing:
        refill.fill_in(editing, known)
    else:
        asked_for.fill_in(known)
    asked, answer = st.columns([3, 2], gap="large")
    method = st.expander("Method and risks")
    places = _Places(
        card=answer.container(border=True),
        method=method.container(),
        depth=method.container(),
        serving=st.expander("Serving"),
    )
    with asked:
        name, purpose, drafted = _draft(engine, known, places)
    if drafted:
        with places.depth, page.show_errors():
            size.depth(*drafted)
        with places.card:
            _offer(engine, name, purpose, drafted)


def _asked(editing: Summary | None) -> tuple[str, ...]:
    """The drinks that are offered even if they were put away."""
    return (editing.plan.a.id, editing.plan.b.id) if editing else asked_for.ids()


def _offer(engine: Engine, name: str, purpose: str, drafted: Drafted) -> None:
    """What the plan can show and asks of assessors, and the button that saves it."""
    plan, design = drafted
    with page.show_errors():
        size.outlook(plan, design)
    confirmed = plan_care.outlook(engine, plan)
    if st.button("Save the plan", type="primary", key="keep"):
        with page.show_errors():
            _save(engine, name, purpose, plan, confirmed)
    st.caption("You can edit a saved plan until you open the session.")


access.require_host()
_show(page.engine())
