"""For the invented workshop only: whether its stated truth lies within the intervals."""

import pandas as pd
import streamlit as st

from sample_sessions import documents
from sample_sessions.truth import truth
from sample_sessions.truth_check import Row, compared, within
from tasting.insight.noticing.drivers import DEFAULT_DRIVERS
from tasting.stats.results import Estimate
from tasting.store.documents import Document, read_document
from tasting.ui.dashboard.cached import DashboardModel
from tasting.ui.tables import show_table
from tasting.wording import short, with_interval

_COLUMNS = ["Quantity", "Truth", "Estimate (95 %)", "Within"]


@st.cache_resource(show_spinner=False)
def _sample() -> tuple[Document, ...]:
    return tuple(map(read_document, documents()))


def is_sample(board: DashboardModel) -> bool:
    """Whether formula and sessions are those of the invented workshop and no others, and the
    drivers those that its truth is stated for."""
    if not (board.formula.invented and board.index.count and board.keys == DEFAULT_DRIVERS):
        return False
    kept = _sample()
    known = {session.id for document in kept for session in document.sessions}
    own = set(board.thresholds.session_ids)
    return own <= known and any(
        board.formula.versions[: len(formula.versions)] == formula.versions
        for document in kept
        for formula in document.formulas
    )


def show(board: DashboardModel) -> None:
    """How the estimates stand beside the truth that the answers were drawn from."""
    if not is_sample(board):
        return
    rows = list(compared(board.thresholds, truth()))
    inside = sum(within(estimate, true) for _, true, estimate in rows)
    said = f"{inside} of {len(rows)} stated truths lie within their 95 % intervals"
    with st.expander(f"Invented workshop: {said}"):
        st.write(
            "A program drew this workshop's answers from the numbers below. About one interval in "
            "twenty should miss."
        )
        show_table(table(rows), said)


def table(rows: list[Row]) -> pd.DataFrame:
    """The rows as they are shown."""
    lines = [
        (name, short(true), with_interval(estimate), _yes(estimate, true))
        for name, true, estimate in rows
    ]
    return pd.DataFrame(lines, columns=_COLUMNS)


def _yes(estimate: Estimate, true: float) -> str:
    return "yes" if within(estimate, true) else "no"
