"""The dashboard's pictures, drawn once: describing a chart takes Altair longer than all the rest.

Like everything in `cached` they come from closed sessions only.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import altair as alt
import pandas as pd
import streamlit as st
from sqlalchemy import Engine
from streamlit.elements.vega_charts import VegaLiteState

from tasting.drink.composition import compose
from tasting.errors import InputError
from tasting.insight.advice.forecast import Curve, curve
from tasting.insight.noticing.drivers import SUGAR, TA, Driver
from tasting.insight.noticing.marks import SessionShare, beside_curve
from tasting.insight.noticing.words import bound_in_words, listed
from tasting.store.session_index import Index
from tasting.ui.dashboard import cached
from tasting.ui.dashboard.cached import (
    HASHED,
    KEPT,
    MODELLED_TOGETHER,
    MOST_APART,
    MOST_MARKS,
    DashboardModel,
)
from tasting.ui.dashboard.map_chart import MapData, versions_map
from tasting.ui.dashboard.map_contours import LEVELS, Goal
from tasting.ui.dashboard.noticed_chart import CHOSEN, drawn, noticed_against
from tasting.ui.dashboard.noticed_table import table
from tasting.ui.dashboard.palette import in_this_mode
from tasting.ui.tables import show_table

_MOST_ROWS = 60
_POINTS = 31
"""Of a curve; more of them look the same, and each takes two intervals."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A chart as its specification, what it says, and the numbers in it.

    selectable: whether it has marks that open a session; fitted: whether it has a fitted curve, or
    contours; extrapolated: whether a contour goes beyond what was tasted
    note: what could not be drawn, and why
    """

    spec: dict[str, Any]
    text: str
    table: pd.DataFrame
    selectable: bool = False
    fitted: bool = False
    note: str = ""
    extrapolated: bool = False


def show_picture(picture: Picture, key: str) -> VegaLiteState | None:
    """Shows the chart; returns what is selected in it."""
    spec = in_this_mode(picture.spec)
    if not picture.selectable:
        st.vega_lite_chart(spec, alt=picture.text, key=key)
        return None
    state = st.vega_lite_chart(
        spec, alt=picture.text, key=key, on_select="rerun", selection_mode=CHOSEN
    )
    return state if isinstance(state, dict) else None


def show_numbers(picture: Picture, key: str, unbroken: Sequence[str] = ()) -> None:
    """The numbers of a chart; the rest of a long table on demand."""
    rest = len(picture.table) - _MOST_ROWS
    everything = rest > 0 and st.toggle(f"Also show the other {rest} rows", key=key)
    shown = picture.table if everything else picture.table[:_MOST_ROWS]
    show_table(shown, picture.text, unbroken)


def _described(chart: alt.LayerChart) -> dict[str, Any]:
    """The specification; that it is one by Vega-Lite's schema is for the tests to see, as checking
    takes half of the time."""
    return dict(chart.to_dict(validate=False))


@st.cache_resource(max_entries=KEPT, show_spinner=False, hash_funcs=HASHED)
def curve_picture(engine: Engine, board: DashboardModel, driver: Driver) -> Picture | None:
    """Share who notice beside the fitted curve; None where nothing is known of this driver."""
    found = beside_curve(cached.shares(engine, board.index, board.keys), driver)
    known = board.thresholds.step(driver.key)
    fitted = curve(board.thresholds, driver.key, points=_POINTS) if known else None
    least = _half_noticed(board, driver)
    picture = _noticed_picture(found, driver, fitted, least) if found or fitted else None
    picture = _of_all(picture, found, board.index) if picture else None
    bound = board.thresholds.bound(driver.key)
    if picture is None or bound is None:
        return picture
    said = f"No curve: {bound_in_words(board.thresholds, bound)}"
    return replace(picture, note=f"{said} {picture.note}".strip(), text=f"{picture.text} {said}")


@st.cache_resource(max_entries=KEPT, show_spinner=False, hash_funcs=HASHED)
def sessions_picture(
    engine: Engine, index: Index, keys: tuple[str, ...], driver: Driver
) -> Picture:
    """Share who notice in all of these sessions."""
    found = cached.shares(engine, index, keys)
    return _of_all(_noticed_picture(found, driver), found, index, _OTHERS)


def _of_all(
    picture: Picture, shares: Sequence[SessionShare], index: Index, others: str = ""
) -> Picture:
    """Says so where equal pairs share a mark; `others`: which sessions have none."""
    if index.count <= MOST_APART:
        return picture
    inside = sum(one.sessions for one in shares)
    said = f"Equal pairs share a mark: {inside} of {index.count} sessions in {len(shares)} marks."
    said += f" No more than the {MOST_MARKS} pairs tasted most." * (len(shares) == MOST_MARKS)
    said += others * (inside < index.count)
    return replace(picture, note=f"{said} {picture.note}".strip(), text=f"{picture.text} {said}")


_OTHERS: Final = (
    " Preferences, sequential tests and methods without a fixed chance of guessing do not add up; "
    "History lists them."
)


def _noticed_picture(
    shares: Sequence[SessionShare], driver: Driver, fitted: Curve | None = None, least: float = 0.0
) -> Picture:
    chart, text = noticed_against(shares, driver, fitted, least)
    numbers = table(shares, driver)
    marks = sum(one.sessions for one, *_ in drawn(shares, driver))
    every = sum(one.sessions for one in shares)
    note = (
        f"{every - marks} of {every} sessions are in the table only: their step in "
        f"{driver.name} is not known, or their method gives no share who notice. A preference "
        "gives a lead instead: assessors may notice and still be divided."
    )
    note = note if marks < every else ""
    return Picture(_described(chart), text, numbers, marks > 0, fitted is not None, note)


@st.cache_resource(max_entries=KEPT, show_spinner=False, hash_funcs=HASHED)
def map_picture(board: DashboardModel) -> Picture:
    """Where the versions stand, and how far from the reference people notice it."""
    goal, note = _goal(board)
    ideal = {one.driver.key: one.level for one in board.thresholds.ideals}
    least = _half_noticed(board, TA), _half_noticed(board, SUGAR)
    drawn_from = MapData(board.formula, board.reference, goal, ideal, least)
    chart, text, numbers = versions_map(drawn_from)
    fitted = goal is not None and goal.room is not None
    beyond = goal is not None and any(goal.beyond(share) for share in LEVELS)
    return Picture(_described(chart), text, numbers, False, fitted, note, beyond)


def _half_noticed(board: DashboardModel, driver: Driver) -> float:
    """The step that half of assessors notice, or what it is larger than; a tenth of the level,
    which is usual, where no answer says."""
    step, bound = board.thresholds.step(driver.key), board.thresholds.bound(driver.key)
    if step:
        return step.difference_threshold.amount.value
    if bound:
        return bound.difference_threshold.amount
    return 0.1 * (getattr(compose(board.latest), driver.figure) or 0.0)


def _goal(board: DashboardModel) -> tuple[Goal | None, str]:
    """What is drawn around the reference, or why something is not."""
    if board.reference is None:
        return None, ""
    try:
        aim = cached.aim(board, board.latest, board.reference)
    except InputError as error:
        return None, f"Nothing can be drawn around the reference: {error}."
    gap = board.thresholds.character_gap
    centre = (aim.target[TA.key].value, aim.target[SUGAR.key].value)
    tasted = {one.driver.key: one.largest_tasted for one in board.thresholds.noticed}
    largest = (tasted.get(TA.key, 0.0), tasted.get(SUGAR.key, 0.0))
    distance, left = board.thresholds.distance, gap.estimate.value if gap else 0.0
    power = distance.layout.power if distance else 1.0
    goal = Goal(centre, aim.room, aim.region, left, largest, power)
    return goal, _without_contours(board)


def _without_contours(board: DashboardModel) -> str:
    """Why no contour is drawn, if none is."""
    if not board.acid_and_sugar:
        return MODELLED_TOGETHER
    bounds = [one.driver.name for one in board.thresholds.bounds if one.driver in (TA, SUGAR)]
    if not bounds:
        return ""
    return f"No contours: it is not shown yet that {listed(bounds, 'or')} is noticed at all."
