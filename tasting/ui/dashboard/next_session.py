"""The dashboard's next test: which comparison would tell most about what is asked."""

from math import isnan

import streamlit as st
from sqlalchemy import Engine

from tasting.insight.advice.next_session import NextSession, questions
from tasting.insight.advice.question import PlanComparison
from tasting.panel.methods import METHODS
from tasting.ui import fields
from tasting.ui.dashboard import cached
from tasting.ui.dashboard.cached import DashboardModel
from tasting.ui.dashboard.forecast import name
from tasting.ui.dashboard.make_plan import offer_plan
from tasting.ui.page import escape_markdown, show_errors
from tasting.ui.terms import explained
from tasting.wording import decimals

_RANKS = {"tasting": False, "mL poured": True}


def show(engine: Engine, board: DashboardModel) -> None:
    """The section."""
    asked = questions(board.thresholds.drivers)
    left, middle, right = st.columns([2, 1, 1])
    about = left.selectbox(
        "What do you want to know?",
        list(asked),
        format_func=lambda key: asked[key],
        key=f"next_about-{'-'.join(board.keys)}",
    )
    n = fields.number("Tastings", "next_n", 6, 200, 24, whole=True, place=middle)
    per = right.selectbox("Most informative per", list(_RANKS), key="next_per")
    if isnan(n):
        return
    with show_errors():
        found = cached.worth_running(board, about, int(n), _RANKS[per])
        for place, test in enumerate(found, start=1):
            _show_test(engine, board, place, test)
        st.caption(
            "Chosen from all pairs of versions and the reference, and from new versions that the "
            "pantry can make of the latest one."
        )


def _show_test(engine: Engine, board: DashboardModel, place: int, test: NextSession) -> None:
    """One comparison, why, and the button that plans it."""
    with st.container(border=True, gap="small"):
        st.markdown(f"**{place}. {escape_markdown(title(test))}**")
        st.write(escape_markdown(" ".join(test.reasons)))
        said = f"Expected distance d′ {decimals(test.d_prime, 1)}; {test.n} tastings."
        st.caption(said, help=explained(said))
        purpose = f"To find {questions(board.thresholds.drivers)[test.about]}."
        label = "Make the version and plan the session" if test.made else "Plan this session"
        wish = PlanComparison(label, test.method, test.a, test.b, test.n, test.made, purpose)
        offer_plan(engine, board, wish, f"plan-{place}")


def title(test: NextSession) -> str:
    """What is compared, and how."""
    second = test.made or name(test.b)
    return f"{METHODS[test.method].name}: {name(test.a)} and {second}"
