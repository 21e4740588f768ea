"""The dashboard's forecast: what a comparison that nobody has tasted would show."""

from collections.abc import Sequence
from math import isnan

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.drink.label import Reference
from tasting.insight.advice.forecast import Forecast, Outlook, forecast
from tasting.insight.advice.question import PlanComparison
from tasting.insight.noticing.drivers import Drink
from tasting.insight.noticing.marks import noticed_by_triangle
from tasting.ui import fields
from tasting.ui.dashboard.cached import DashboardModel
from tasting.ui.dashboard.make_plan import offer_plan
from tasting.ui.page import escape_markdown, show_errors
from tasting.ui.tables import show_table
from tasting.ui.terms import explained
from tasting.wording import (
    percent_with_interval,
    with_interval,
)

_COLUMNS = ["Method", "Correct, %", "Chance to show it, %", "Needed"]


def show(engine: Engine, board: DashboardModel) -> None:
    """The section."""
    st.write("Choose two drinks. The model predicts what a blind tasting would show.")
    drinks: list[Drink] = [*reversed(board.formula.versions)]
    drinks += [board.reference] if board.reference else []
    if len(drinks) < 2:
        st.write("There is only one drink. Save a second version or a reference first.")
        return
    left, middle, right = st.columns([2, 2, 1])
    a = left.selectbox("First", drinks, format_func=name, key="forecast_a")
    b = middle.selectbox(
        "Second", drinks, index=len(drinks) - 1, format_func=name, key="forecast_b"
    )
    typed = fields.number("Tastings", "forecast_n", 2, 1000, 24, whole=True, place=right)
    if a.id == b.id:
        st.write("Choose two different drinks.")
        return
    if isnan(typed):
        return
    n = int(typed)
    with show_errors():
        _show_forecast(forecast(board.thresholds, a, b, n=n), n, (a, b))
        wish = PlanComparison("Plan this session", "triangle", a, b, n)
        offer_plan(engine, board, wish, "plan_forecast")


def name(drink: Drink) -> str:
    """What a drink is called in a list."""
    return drink.name if isinstance(drink, Reference) else drink.label


def _show_forecast(found: Forecast, n: int, pair: Sequence[Drink]) -> None:
    """In a sentence and, method by method, in a table."""
    share = percent_with_interval(noticed_by_triangle(found.d_prime))
    both = escape_markdown(" and ".join(map(name, pair)))
    said = (
        f"expected d′ {with_interval(found.d_prime)}; {share} of assessors would notice in a "
        "triangle test."
    )
    st.markdown(f"**{both}:** {escape_markdown(said)}", help=explained(said))
    for caution in found.cautions:
        st.caption(escape_markdown(caution))
    text = f"What {n} tastings by each method would show"
    show_table(table(found.outlooks), text)
    st.caption(
        f"Correct: correct answers, guesses included. Chance to show it: the chance that {n} "
        "independent tastings show a difference at α = 0.05, at the estimate and at the ends of "
        "its interval, which includes the uncertainty of both compositions. "
        "Needed: correct answers."
    )


def table(outlooks: Sequence[Outlook]) -> pd.DataFrame:
    """One row for each method."""
    rows = [
        (
            one.method.name,
            percent_with_interval(one.p_c).replace(" %", ""),
            percent_with_interval(one.shown).replace(" %", ""),
            f"{one.critical_number} of {one.n}",
        )
        for one in outlooks
    ]
    return pd.DataFrame(rows, columns=_COLUMNS)
