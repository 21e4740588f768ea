"""The dashboard's pictures, drawn once: describing a chart takes Altair longer than all the rest.

Like everything in `dashboard_data` they come from closed sessions only.
"""

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

import pandas as pd
import streamlit as st
from streamlit.elements.vega_charts import VegaLiteState

from tasting.errors import InputError
from tasting.insight.advice.forecast import curve
from tasting.insight.noticing.drivers import Driver
from tasting.insight.noticing.marks import marks
from tasting.ui.dashboard import cached
from tasting.ui.dashboard import marks as noticing_marks
from tasting.ui.dashboard.cached import KEPT, DashboardModel
from tasting.ui.dashboard.map_chart import Goal, versions_map
from tasting.ui.dashboard.noticed_chart import CHOSEN, noticed_against
from tasting.ui.tables import show_table

MOST_ROWS = 60


@dataclass(frozen=True, slots=True)
class Picture:
    """A chart as its specification, what it says, and the numbers in it.

    selectable: whether it has marks that open a session; fitted: whether it has a fitted curve, or
    contours; note: what could not be drawn, and why
    """

    spec: dict[str, Any]
    text: str
    table: pd.DataFrame
    selectable: bool = False
    fitted: bool = False
    note: str = ""


def show_picture(picture: Picture, key: str) -> VegaLiteState | None:
    """Shows the chart; returns what is selected in it."""
    spec = deepcopy(picture.spec)
    if not picture.selectable:
        st.vega_lite_chart(spec, alt=picture.text, key=key)
        return None
    state = st.vega_lite_chart(
        spec, alt=picture.text, key=key, on_select="rerun", selection_mode=CHOSEN
    )
    return state if isinstance(state, dict) else None


def show_numbers(picture: Picture, key: str, unbroken: Sequence[str] = ()) -> None:
    """The numbers of a chart; the rest of a long table on demand."""
    with st.expander("The same numbers as a table"):
        rest = len(picture.table) - MOST_ROWS
        everything = rest > 0 and st.toggle(f"Also show the other {rest} rows", key=key)
        shown = picture.table if everything else picture.table[:MOST_ROWS]
        show_table(shown, picture.text, unbroken)


def curve_picture(seen: DashboardModel, driver: Driver) -> Picture | None:
    """Noticed against the size of the step; None where nothing is known of this driver."""
    return _curve(seen.key, driver.key, seen, driver)


@st.cache_resource(max_entries=KEPT, show_spinner=False)
def _curve(
    key: tuple[str, ...], driver_key: str, _seen: DashboardModel, _driver: Driver
) -> Picture | None:
    noticing = _seen.noticing
    found = noticing_marks.plotted(marks(noticing, _driver.key))
    fitted = curve(noticing, _driver.key) if noticing.step(_driver.key) else None
    if not found and fitted is None:
        return None
    chart, text = noticed_against(found, _driver, fitted)
    table = noticing_marks.table(found, _driver)
    return Picture(chart.to_dict(), text, table, bool(found), fitted is not None)


def map_picture(seen: DashboardModel) -> Picture:
    """Where the versions stand, and how far from the reference people notice it."""
    drinks = (seen.reference.id if seen.reference else "", *(v.id for v in seen.formula.versions))
    return _map(seen.key, drinks, seen)


@st.cache_resource(max_entries=KEPT, show_spinner=False)
def _map(key: tuple[str, ...], drinks: tuple[str, ...], _seen: DashboardModel) -> Picture:
    goal, note = _goal(_seen)
    ideal = {one.driver.key: one.level for one in _seen.noticing.ideals}
    chart, text, table = versions_map(_seen.formula, _seen.reference, goal, ideal)
    fitted = goal is not None and goal.room is not None
    return Picture(chart.to_dict(), text, table, False, fitted, note)


def _goal(seen: DashboardModel) -> tuple[Goal | None, str]:
    """What is drawn around the reference, or why nothing is."""
    if seen.reference is None:
        return None, ""
    try:
        aim = cached.aim(seen, seen.latest, seen.reference)
    except InputError as error:
        return None, f"Nothing can be drawn around the reference: {error}."
    gap = seen.noticing.character_gap
    centre = (aim.target["ta"].value, aim.target["sugar"].value)
    return Goal(centre, aim.room, aim.region, gap.estimate.value if gap else 0.0), ""
