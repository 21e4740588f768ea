"""Editing a session that is planned and not opened yet.

A plan in the database never changes. An edited one is saved as a session of its own, and the one
before is given up, with that as its reason.
"""

from collections.abc import Mapping, Sequence

import streamlit as st
from sqlalchemy import Engine

from tasting.panel.design import USUAL_P_D
from tasting.panel.plan import Plan, Sample
from tasting.records import now
from tasting.store import sessions
from tasting.store.sessions import Summary
from tasting.ui import page
from tasting.ui.tastings.planning import who
from tasting.ui.tastings.planning.question import EITHER, KINDS, one_sided
from tasting.wording import exact

EDIT = "edit"
_REPLACED = "Replaced by an edited plan"
_FILLED = "filled-in-from"


def edited(engine: Engine) -> Summary | None:
    """The planned session that the address asks to edit."""
    asked = st.query_params.get(EDIT)
    if not asked:
        return None
    with page.show_errors():
        known = sessions.summary(engine, asked)
        if known.state == "planned":
            return known
        st.error(f"This session is {known.state}; its plan is fixed. Plan a new one below.")
    return None


def replace(engine: Engine, session_id: str) -> None:
    """Gives up the session that was edited. Raises InputError."""
    sessions.abandon_session(engine, session_id, now(), _REPLACED)


def fill_in(known: Summary, samples: Sequence[Sample]) -> None:
    """Puts the plan into the fields, once."""
    fill_once(known.id, _fields(known, samples))


def begin_afresh() -> None:
    """The page was not open before: whatever is asked for is filled in."""
    st.session_state.pop(_FILLED, None)
    who.forget_proposals()


def fill_once(mark: str, values: Mapping[str, object]) -> None:
    """Puts these values into the fields, by their keys, unless that was done under this mark."""
    if st.session_state.get(_FILLED) == mark:
        return
    st.session_state[_FILLED] = mark
    who.forget_proposals()
    st.session_state.update(values)


def _fields(known: Summary, samples: Sequence[Sample]) -> dict[str, object]:
    """The values of the fields, by their keys."""
    plan = known.plan
    kind = next(one for one in KINDS if one.aim == plan.aim and plan.method in one.methods)
    values = {
        "name": known.name,
        "purpose": known.purpose,
        "question": kind.asks,
        "method": plan.method,
        "attribute": plan.attribute or "more sour",
        "no_preference": plan.no_preference,
        "sequential": plan.sequential,
        "alone": plan.alone,
        "spit": plan.spit,
        "taste_on": plan.taste_on,
        "taste_at": plan.taste_at,
    }
    numbers = {
        "alpha": plan.alpha,
        "beta-similarity" if plan.aim == "similarity" else "beta": plan.beta,
        f"p_d-{USUAL_P_D[kind.aim]:g}": plan.p_d,
        "serving_ml": plan.serving_ml,
        "serving_celsius": plan.serving_celsius,
        "minutes_open": plan.minutes_open,
        "pause_seconds": plan.pause_seconds,
    }
    typed = {key: "" if value is None else exact(value) for key, value in numbers.items()}
    drinks = _drinks(plan, samples)
    return {
        **values,
        **typed,
        "expected": _expected(plan, drinks),
        **drinks,
        **_people(plan),
        **_conduct(plan),
    }


def _expected(plan: Plan, drinks: Mapping[str, Sample]) -> str:
    if plan.expected is None or plan.procedure.directional_b:
        return EITHER
    found = drinks.get(plan.expected.lower())
    return one_sided(plan.expected, found) if found else EITHER


def _drinks(plan: Plan, samples: Sequence[Sample]) -> dict[str, Sample]:
    """By their ids: a drink may have got another name since."""
    by_id = {(one.kind, one.id): one for one in samples}
    found = {
        letter: by_id.get((one.kind, one.id)) for letter, one in (("a", plan.a), ("b", plan.b))
    }
    return {letter: one for letter, one in found.items() if one}


def _people(plan: Plan) -> dict[str, object]:
    if plan.alone:
        return {"alone_name": plan.assessors[0], "alone_sets": str(plan.replicates)}
    count = len(plan.assessors)
    names = {f"names-{count}": "\n".join(plan.assessors)}
    return {"people": str(count), "replicates": str(plan.replicates), **names}


def _conduct(plan: Plan) -> dict[str, object]:
    if plan.conduct is None:
        return {}
    said = plan.conduct.model_dump()
    return {name if name == "led_by" else f"conduct_{name}": text for name, text in said.items()}
