"""The dashboard's noticeable steps in words: levels, intervals, what is not known, how it fits."""

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd
import streamlit as st
from sqlalchemy import Engine
from streamlit.elements.vega_charts import VegaLiteState

from tasting.insight.noticing import words
from tasting.insight.noticing.distance_model import AgainstZero
from tasting.insight.noticing.fit_check import FitCheck
from tasting.insight.noticing.identifiability import NotIdentified
from tasting.insight.noticing.model import ThresholdModel
from tasting.insight.noticing.steps import Noticed, StepBound
from tasting.ui import pages
from tasting.ui.dashboard import cached, sample_truth
from tasting.ui.dashboard.cached import MODELLED_TOGETHER, DashboardModel
from tasting.ui.dashboard.cached_charts import Picture, show_numbers, show_picture
from tasting.ui.dashboard.noticed_chart import CHOSEN, SESSION
from tasting.ui.dashboard.noticed_table import UNBROKEN
from tasting.ui.page import escape_markdown
from tasting.ui.tables import show_table
from tasting.ui.terms import explained
from tasting.wording import (
    decimals,
    number,
    p_cell,
    percent,
    with_interval,
)

# The usual level at which a fit is called poor.
_POOR_FIT = 0.05


def show(engine: Engine, board: DashboardModel) -> None:
    """The section."""
    _show_sentences(board.thresholds)
    _show_details(board)
    _show_refusals(board.thresholds.refusals)
    _show_fit(board)
    sample_truth.show(board)


def _half_explained(thresholds: ThresholdModel) -> str:
    """What is meant by half of assessors, and in which test."""
    return f"In a {thresholds.half_by} test half of assessors detect the step, the others guess."


def _show_sentences(thresholds: ThresholdModel) -> None:
    """The same and more, in words."""
    said = words.sentences(thresholds)
    if said:
        listed = "\n".join(f"- {escape_markdown(sentence)}" for sentence in said)
        st.markdown(listed, help=explained(" ".join(said)))
        st.caption(
            "In brackets: 95 % intervals. They include the uncertainty of the answers and of both "
            f"compositions. {_half_explained(thresholds)} "
            "Extrapolated: beyond the largest step tasted, so it rests on the model alone. "
            f"{words.assumptions(thresholds)}"
        )


def _show_details(board: DashboardModel) -> None:
    """How acid and sugar act together, or that this was not asked."""
    said = words.details(board.thresholds)
    if said:
        with st.expander("Acid and sugar together; more sour, sweeter"):
            listed = "\n".join(f"- {escape_markdown(sentence)}" for sentence in said)
            st.markdown(listed, help=explained(" ".join(said)))
            if not board.acid_and_sugar:
                st.caption(MODELLED_TOGETHER)


def _show_refusals(refused: Sequence[NotIdentified]) -> None:
    """What the sessions cannot tell, and the session that would."""
    if refused:
        with st.expander(f"Not known yet ({len(refused)}), and which session would tell"):
            for one in refused:
                st.markdown(f"- {escape_markdown(one.sentence)} **{escape_markdown(one.remedy)}**")


def _show_fit(board: DashboardModel) -> None:
    """How well the model fits, by its deviance and by draws from it."""
    fit = board.thresholds.fit
    if fit is None:
        return
    with st.expander("How well the model fits"):
        st.write(escape_markdown(words.fit_in_words(fit)))
        noticed = board.thresholds.noticed
        tests: list[tuple[str, str, AgainstZero]] = [
            (one.driver.name, _weight(one), one.weight) for one in noticed
        ]
        gap = board.thresholds.character_gap
        if gap:
            tests.append(
                (f"not explained by {board.drivers_listed}", with_interval(gap.estimate), gap)
            )
        rows = [
            (name, said, decimals(one.statistic, 2), p_cell(one.p_value))
            for name, said, one in tests
        ]
        columns = ["Driver", "d′ per unit", "Likelihood ratio", "p (no effect)"]
        show_table(pd.DataFrame(rows, columns=columns), "Tests of each driver")
        st.write(_check_in_words(cached.check(board), board))


def _check_in_words(found: FitCheck, board: DashboardModel) -> str:
    """Whether data drawn from the model deviate from it as much as the answers do."""
    gap = ", which includes what they do not explain" if board.thresholds.character_gap else ""
    verdict = (
        f"Something other than {board.drivers_listed} is at work, or d′ grows with the step in "
        "another way."
        if found.p_value < _POOR_FIT
        else f"The fit shows no misfit of this model of {board.drivers_listed}{gap}; it rarely "
        "detects curvature."
    )
    return (
        f"Fit check: deviance {decimals(found.deviance, 2)}; {percent(found.p_value)} of "
        f"{found.draws} data sets simulated from the model deviate at least as much (median "
        f"{decimals(found.usual, 2)}). {verdict}"
    )


def _weight(one: Noticed) -> str:
    estimate = one.weight.estimate
    known = not isinstance(one, StepBound)
    return with_interval(estimate) if known else f"at most {number(estimate.high)}"


MARKS = "Filled: no other figure differs. Hollow: another one does. Dotted outline: one person."


def how_to_read() -> str:
    """What the marks of every chart of the share who notice are."""
    return (
        "Each mark is a closed session, or all of one pair and method, with its 95 % interval; "
        "larger marks have more tastings. Select one to read its (last) finding. Height: the share "
        "of assessors who would notice in a triangle test at the same sensory distance, whatever "
        "the session's own method. Hollow marks: another driver differs, or one of the two is "
        "a reference. The table says whether a difference was shown; “not shown” is not evidence "
        "of no difference. "
        "Marks that would overlap are moved apart slightly."
    )


def show_noticed(picture: Picture, key: str, explained: str) -> None:
    """The chart, how to read it and its table; a selected mark opens its session."""
    if picture.selectable or picture.fitted:
        _open_selected(show_picture(picture, key))
    if picture.note:
        st.caption(escape_markdown(picture.note))
    with st.expander("How to read it, and the numbers"):
        st.caption(explained)
        show_numbers(picture, f"all-{key}", UNBROKEN)


def _open_selected(state: VegaLiteState | None) -> None:
    """Leaves for the finding of the session whose mark was selected."""
    picked = session_picked(state)
    if picked:
        st.switch_page(pages.TASTING.script, query_params={"id": picked})


def session_picked(state: Mapping[str, Any] | None) -> str:
    """The id of the session whose mark is selected, or nothing."""
    marks = (state or {}).get("selection", {}).get(CHOSEN) or [{}]
    return str(marks[0].get(SESSION, ""))
