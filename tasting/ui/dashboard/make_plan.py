"""From the dashboard to a plan: the version is made if it is not there yet, and the plan page opens
filled in."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil
from typing import Any

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula, Part, Version
from tasting.drink.label import Reference
from tasting.insight.advice.answers import PlanComparison
from tasting.insight.noticing.drivers import Drink
from tasting.panel.methods import METHODS
from tasting.panel.plan import Sample
from tasting.records import now
from tasting.store import formulas
from tasting.ui import page, pages
from tasting.ui.dashboard.cached import DashboardModel
from tasting.ui.drinks.draft import next_label

_PEOPLE = 8
"""Assessors that the plan page begins with."""


def offer_plan(engine: Engine, board: DashboardModel, wish: PlanComparison, key: str) -> None:
    """A button that makes what is missing and opens the plan page."""
    if st.button(wish.label, key=key):
        with page.show_errors():
            ready = with_version(engine, board, wish)
            st.session_state.update(filled_in(formulas.samples(engine), ready))
            st.switch_page(pages.NEW.script)


def with_version(engine: Engine, board: DashboardModel, wish: PlanComparison) -> PlanComparison:
    """The wish with B kept as a child of the version it is made from, if it was not there yet."""
    if not (wish.made and isinstance(wish.b, Version)):
        return wish
    parent = board.formula.version(wish.b.id)
    reason = f"{wish.purpose} {wish.made}".strip()
    child = keep_child(engine, board.formula, parent, wish.b.parts, reason)
    return replace(wish, b=child, made="")


def keep_child(
    engine: Engine, formula: Formula, parent: Version, parts: Sequence[Part], reason: str
) -> Version:
    """A new version of a formula, under the next label. Raises InputError."""
    child = parent.child(
        id=formulas.new_id(),
        label=next_label([version.label for version in formula.versions]),
        reason=reason[:500],
        created_at=now(),
        parts=tuple(parts),
    )
    formulas.add_version(engine, formula.id, child)
    return child


def filled_in(known: Sequence[Sample], wish: PlanComparison) -> dict[str, Any]:
    """The widgets of the plan page, by key."""
    a, b = (_sample(known, drink) for drink in (wish.a, wish.b))
    question = METHODS[wish.method].name
    return {
        "name": f"{question}: {_name(wish.a)} and {_name(wish.b)}"[:120],
        "purpose": wish.purpose[:500],
        "method": wish.method,
        "a": a,
        "b": b,
        "replicates": str(max(1, ceil(wish.n / _PEOPLE))),
    }


def _sample(known: Sequence[Sample], drink: Drink) -> Sample:
    kind = "reference" if isinstance(drink, Reference) else "version"
    return next(one for one in known if (one.kind, one.id) == (kind, drink.id))


def _name(drink: Drink) -> str:
    return drink.name if isinstance(drink, Reference) else drink.label
