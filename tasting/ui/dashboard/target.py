"""The dashboard's aim: which acid and sugar to go to, and the tweak that gets there."""

from collections.abc import Sequence

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.drink import words
from tasting.drink.adjust import Adjustment, Change, Move
from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.drink.weighable import rounded
from tasting.insight.advice.target import Aim
from tasting.insight.noticing.drivers import DRIVERS
from tasting.insight.noticing.marks import noticed_by_triangle
from tasting.stats.results import Estimate
from tasting.store.scale import scale_step_g
from tasting.ui import pages
from tasting.ui.dashboard import cached
from tasting.ui.dashboard.cached import MODELLED_TOGETHER, DashboardModel
from tasting.ui.dashboard.make_plan import keep_child
from tasting.ui.page import escape_markdown, show_errors
from tasting.ui.tables import show_table
from tasting.ui.terms import explained
from tasting.wording import number, percent_with_interval, signed, with_interval

_LIKED = "what people like best"
# A change below this share of the batch is not worth a version.
_LEAST_G_PER_BATCH = 0.01


def show(engine: Engine, board: DashboardModel) -> None:
    """The section."""
    if not board.acid_and_sugar:
        st.write(MODELLED_TOGETHER)
        return
    left, right = st.columns(2)
    bottle = board.reference
    goals = [*([f"the closest match to {bottle.name}"] if bottle else []), _LIKED]
    goal = left.selectbox("Go to", goals, key=f"aim_goal-{len(goals)}")
    present = right.selectbox(
        "From",
        list(reversed(board.formula.versions)),
        format_func=lambda version: version.label,
        key=f"aim_from-{len(board.formula.versions)}",
    )
    with show_errors():
        aim = cached.aim(board, present, None if goal == _LIKED else bottle)
        said = in_words(aim)
        listed = "\n".join(f"- {escape_markdown(line)}" for line in said)
        st.markdown(listed, help=explained(" ".join(said)))
        for caution in aim.cautions:
            st.warning(escape_markdown(caution), icon=":material/warning:")
        if aim.stay:
            st.write(escape_markdown(aim.stay))
        else:
            _show_move(engine, board, present, _weighable(engine, present, aim), goal)


def in_words(aim: Aim) -> list[str]:
    """Where to go, and what will be left."""
    found = [_towards(key, level, there=key in aim.there) for key, level in aim.target.items()]
    if aim.left:
        share = percent_with_interval(noticed_by_triangle(aim.left))
        found.append(
            f"Expected there: d′ {with_interval(aim.left)}; {share} of assessors would notice in a "
            "triangle test."
        )
    return found


def _towards(key: str, level: Estimate, *, there: bool) -> str:
    name, amount = DRIVERS[key].name, with_interval(level, DRIVERS[key].unit)
    if there:
        return f"{amount} of {name}: already there, as far as is known."
    return f"Go to {amount} of {name}."


def _weighable(engine: Engine, present: Version, aim: Aim) -> Move:
    """The tweak in amounts that the host's scale shows."""
    goals = {DRIVERS[key].figure: level.value for key, level in aim.target.items()}
    exact = Adjustment(compose(present), goals, (), aim.move)
    return rounded(present, exact, scale_step_g(engine)).combined


def _show_move(
    engine: Engine, board: DashboardModel, present: Version, move: Move, goal: str
) -> None:
    """The tweak, and the button that makes the child version."""
    changes = [one for one in move.changes if abs(one.grams_per_batch) > _LEAST_G_PER_BATCH]
    if move.why:
        st.warning(escape_markdown(move.why), icon=":material/warning:")
    if not changes:
        st.write(f"{escape_markdown(present.label)} is there already.")
        return
    show_table(table(changes), f"What to change in {present.label}")
    st.caption(escape_markdown(f"{words.taken_out(move)} {move.rounding}".strip()))
    if st.button("Make this version", key="make_version"):
        with show_errors():
            reason = f"Towards {goal}: {', '.join(map(change_in_words, changes))}"
            child = keep_child(engine, board.formula, present, move.parts, reason)
            st.success(escape_markdown(f"{child.label} is saved as a child of {present.label}."))
            st.page_link(pages.DRINKS.script, label="See the formula")


def table(changes: Sequence[Change]) -> pd.DataFrame:
    """What to add, and what to take less of."""
    rows = [
        (
            change.name,
            f"{signed(change.per_batch, number)} {change.unit}",
            f"{signed(change.per_serving, number)} {change.unit}",
        )
        for change in changes
    ]
    return pd.DataFrame(rows, columns=["Ingredient", "Per batch", "Per serving"])


def change_in_words(change: Change) -> str:
    """Such as +0.21 g citric acid."""
    return f"{signed(change.per_serving, number)} {change.unit} {change.name} per serving"
