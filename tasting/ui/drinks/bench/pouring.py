"""Before the glass: how much is poured, and the glasses that were poured before."""

from collections.abc import Mapping
from datetime import timedelta
from typing import Final

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.bench import LEAST_POURED_ML, MOST_POURED_ML
from tasting.drink.composition import compose
from tasting.drink.formula import Formula, Version
from tasting.insight.advice.question import version_name
from tasting.records import now
from tasting.store import bench
from tasting.store.bench import Poured
from tasting.ui import fields, page, pages
from tasting.ui.dashboard.choice import versions_of
from tasting.ui.linked_table import LinkedRow, show_linked
from tasting.wording import clock, day, millilitres

EVENING: Final = timedelta(hours=12)
# So long a glass is gone on with, and what is tasted adds up; a judgement.
_LISTED: Final = 8


def glass_of(engine: Engine, version: Version) -> Mapping[str, str]:
    """The address of this evening's glass of a version; where there is none, of pouring one."""
    for glass in bench.poured(engine, [version.id]):
        if now() - glass.poured_at < EVENING:
            return {"id": glass.id}
    return {"version": version.id}


def show(engine: Engine, formula: Formula, version: Version) -> None:
    """The form that pours a glass, and earlier glasses."""
    serving_ml = compose(version).serving().volume_ml
    usual = max(round(serving_ml), LEAST_POURED_ML)
    with st.form("pour", border=False, width=420):
        poured_ml = fields.number(
            "Poured, mL", "bench-poured", LEAST_POURED_ML, MOST_POURED_ML, usual
        )
        sent = st.form_submit_button("Pour", type="primary", width="stretch")
    if sent:
        with page.show_errors():
            fields.require_read(poured_ml)
            # Who pours a serving pours all of it, so that its pinches are those of a serving.
            exact_ml = serving_ml if poured_ml == round(serving_ml) else poured_ml
            made = bench.pour(engine, version.id, exact_ml)
            st.query_params.from_dict({"id": made})
            st.rerun()
    show_earlier(engine, formula)


def show_earlier(engine: Engine, formula: Formula, without: str = "") -> None:
    """Earlier glasses of all versions, the newest first; `without` the one of this id."""
    known = [one for one in bench.poured(engine, versions_of(formula)) if one.id != without]
    if known:
        rows = [_row(formula, one) for one in known[:_LISTED]]
        st.html('<h2 class="asks">Earlier glasses</h2>')
        show_linked(f"Glasses of {formula.name}", ["Poured", "Glass", "Steps"], rows)


def _row(formula: Formula, one: Poured) -> LinkedRow:
    label = version_name(formula.version(one.version_id).label)
    return LinkedRow(
        before=(f"{day(one.poured_at)}, {clock(one.poured_at)}",),
        name=f"{millilitres(one.poured_ml)} of {label}",
        page=pages.BENCH,
        id=one.id,
        told=f"{one.steps} {'step' if one.steps == 1 else 'steps'}",
    )
