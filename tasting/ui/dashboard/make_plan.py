"""From the dashboard to a plan: the version is made if it is not there yet, and the plan page opens
filled in."""

from collections.abc import Sequence
from dataclasses import replace

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula, Part, Version
from tasting.drink.label import Reference
from tasting.insight.advice.question import PlanComparison
from tasting.insight.noticing.drivers import Drink
from tasting.panel.methods import METHODS
from tasting.records import now
from tasting.store import formulas
from tasting.ui import page, pages
from tasting.ui.dashboard.cached import DashboardModel
from tasting.ui.drinks.draft import next_label
from tasting.ui.tastings.planning import asked_for


def offer_plan(engine: Engine, board: DashboardModel, wish: PlanComparison, key: str) -> None:
    """A button that makes what is missing and opens the plan page."""
    if st.button(wish.label, key=key):
        with page.show_errors():
            ready = with_version(engine, board, wish)
            st.switch_page(pages.NEW.script, query_params=asked_for_by(ready))


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


def asked_for_by(wish: PlanComparison) -> dict[str, str]:
    """The query of the address under which the new tasting begins with the wish."""
    name = f"{METHODS[wish.method].name}: {_name(wish.a)} and {_name(wish.b)}"
    told = {"name": name, "purpose": wish.purpose}
    return asked_for.address(wish.a.id, wish.b.id, wish.method, wish.n, **told)


def _name(drink: Drink) -> str:
    return drink.name if isinstance(drink, Reference) else drink.label
