"""The dashboard's first section: what people notice, in words, in curves and on a map."""

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
from tasting.insight.noticing.steps import Noticed, StepBound, StepSize
from tasting.ui import pages
from tasting.ui.dashboard import cached, sample_truth
from tasting.ui.dashboard.cached import MODELLED_TOGETHER, DashboardModel
from tasting.ui.dashboard.cached_charts import (
    Picture,
    curve_picture,
    map_picture,
    show_numbers,
    show_picture,
)
from tasting.ui.dashboard.noticed_chart import CHOSEN, SESSION
from tasting.ui.dashboard.noticed_table import UNBROKEN
from tasting.ui.page import escape_markdown
from tasting.ui.tables import show_table
from tasting.wording import (
    decimals,
    interval,
    number,
    p_cell,
    percent,
    with_interval,
)

# The usual level at which a fit is called poor.
_POOR_FIT = 0.05


def show(engine: Engine, board: DashboardModel) -> None:
    """The section."""
    _show_headlines(board.thresholds)
    _show_sentences(board.thresholds)
    _show_details(board)
    _show_refusals(board.thresholds.refusals)
    _show_fit(board)
    sample_truth.show(board)
    _show_curves(engine, board)
    _show_map(board)


def _show_headlines(thresholds: ThresholdModel) -> None:
    """The three numbers that people come for."""
    half = _half_explained(thresholds)
    cards = [(*_card(one), half) for one in thresholds.noticed]
    if thresholds.character_gap:
        gap = thresholds.character_gap.estimate
        ends = f"95 %: {interval(gap.low, gap.high)}"
        told = "What is left of the distance with all of these drivers alike."
        cards.append(("Distance from the reference (d′)", number(gap.value), ends, told))
    if not cards:
        return
    with st.container(horizontal=True, key="headlines"):
        for label, value, ends, told in cards:
            st.metric(
                label, value, ends, delta_color="off", delta_arrow="off", help=told, border=True
            )


def _half_explained(thresholds: ThresholdModel) -> str:
    """What is meant by half of assessors, and in which test."""
    return f"In a {thresholds.half_by} test half of assessors detect the step, the others guess."


def _card(one: Noticed) -> tuple[str, str, str]:
    """A label, a number, and what it is worth; without a known step, the bound alone."""
    label = f"Half of assessors notice: {one.driver.short}"
    if isinstance(one, StepBound):
        # A phone has room for a dozen signs; the sentence below says it in full.
        smallest = words.amount_in(one.driver, one.difference_threshold.amount)
        tasted = words.amount_in(one.driver, one.largest_tasted)
        return label, f"> {smallest}", f"if at all; largest step tasted: {tasted}"
    half = one.difference_threshold
    value = words.amount_in(one.driver, half.amount.value)
    ends = f"95 %: {interval(half.amount.low, half.amount.high)}"
    return label, value, f"{ends}{_extrapolated(half)}"


def _extrapolated(size: StepSize) -> str:
    if not size.extrapolated["high"]:
        return ""
    return ", extrapolated" if size.extrapolated["value"] else ", upper end extrapolated"


def _show_sentences(thresholds: ThresholdModel) -> None:
    """The same and more, in words."""
    said = words.sentences(thresholds)
    if said:
        st.markdown("\n".join(f"- {escape_markdown(sentence)}" for sentence in said))
        st.caption(
            "In brackets: 95 % intervals. They include the uncertainty of the answers and of both "
            f"compositions. {_half_explained(thresholds)} "
            "Extrapolated: beyond the largest step that was tasted; only the model speaks for it. "
            f"{words.assumptions(thresholds)}"
        )


def _show_details(board: DashboardModel) -> None:
    """How acid and sugar act together, or that this was not asked."""
    said = words.details(board.thresholds)
    if said:
        with st.expander("Acid and sugar together; more sour, sweeter"):
            st.markdown("\n".join(f"- {escape_markdown(sentence)}" for sentence in said))
            if not board.acid_and_sugar:
                st.caption(MODELLED_TOGETHER)


def _show_refusals(refused: Sequence[NotIdentified]) -> None:
    """What the sessions cannot tell, and the session that would."""
    if refused:
        with st.expander(f"Not known yet ({len(refused)}), and the session that would tell"):
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
        tests += [("character gap", with_interval(gap.estimate), gap)] if gap else []
        rows = [
            (name, said, decimals(one.statistic, 2), p_cell(one.p_value))
            for name, said, one in tests
        ]
        columns = ["Driver", "Weight: d′ a unit", "Likelihood ratio", "p, against 0"]
        show_table(pd.DataFrame(rows, columns=columns), "Tests of each driver")
        st.write(_check_in_words(cached.check(board), board))


def _check_in_words(found: FitCheck, board: DashboardModel) -> str:
    """Whether data drawn from the model deviate from it as much as the answers do."""
    drivers = words.listed([driver.short for driver in board.thresholds.drivers])
    verdict = (
        f"Something else than {drivers} is at work, or d′ grows with the step in another way."
        if found.p_value < _POOR_FIT
        else f"No sign of more than {drivers} at work; the check seldom finds a bent response."
    )
    return (
        f"Fit check: deviance {decimals(found.deviance, 2)}; {percent(found.p_value)} of "
        f"{found.draws} data sets drawn from the model deviate at least as much (half of them by "
        f"{decimals(found.usual, 2)}). {verdict}"
    )


def _weight(one: Noticed) -> str:
    estimate = one.weight.estimate
    known = not isinstance(one, StepBound)
    return with_interval(estimate) if known else f"at most {number(estimate.high)}"


def _show_curves(engine: Engine, board: DashboardModel) -> None:
    """The share who notice against the size of the step in each driver, beside the curve."""
    drivers = board.thresholds.drivers
    pictures = [curve_picture(engine, board, driver) for driver in drivers]
    line = (
        " The line is what the model expects where nothing else differs, the band its 95 % "
        "interval; hollow marks may lie above it. Dashed and paler: extrapolated, beyond the "
        "largest step tasted."
    )
    if any(pictures):
        fitted = any(picture.fitted for picture in pictures if picture)
        st.caption(f"{how_to_read()}{line if fitted else ''}")
    for driver, picture in zip(drivers, pictures, strict=True):
        st.subheader(f"How much {driver.name} is noticed")
        if picture is None:
            st.write(f"No closed difference test says anything about {driver.name} yet.")
        else:
            show_noticed(picture, f"chart-{driver.key}")


def how_to_read() -> str:
    """What the marks of every chart of the share who notice are."""
    return (
        "Each mark is a closed session with its 95 % interval, larger with more tastings; select "
        "it to read its finding. Its height is the share of triangle tests that would notice at "
        "the same sensory distance, whatever its own method was. Filled: nothing else is known to "
        "differ. Hollow: something else differs, another driver or the character of a reference. "
        "Whether a difference was shown stands in the table; “not shown” is no evidence of no "
        "difference. Marks at nearly one place are moved apart a little."
    )


def show_noticed(picture: Picture, key: str) -> None:
    """The chart and its table; a selected mark opens its session."""
    if picture.selectable or picture.fitted:
        _open_selected(show_picture(picture, key))
    if picture.note:
        st.caption(escape_markdown(picture.note))
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


def _show_map(board: DashboardModel) -> None:
    """Where the versions stand, and how far from the reference people notice it."""
    names = [kept.name for kept in (board.formula, board.reference) if kept]
    st.subheader(escape_markdown(" against ".join(names)))
    picture = map_picture(board)
    if picture.note:
        st.write(escape_markdown(picture.note))
    show_picture(picture, "chart-map")
    st.caption(_map_explained(board, picture))
    show_numbers(picture, "all-map")


def _map_explained(board: DashboardModel, picture: Picture) -> str:
    """The legend of the map, in words."""
    parts = ["Each circle is a version, filled the latest; lines lead from parent to child."]
    if board.reference and not picture.note:
        parts.append("The grey box is what the reference's label and measurements can mean.")
        parts.append("Dashed: where the reference truly lies beside the latest version, 95 %.")
    if picture.fitted:
        parts.append("Contours: share of tastings in which a version is noticed as different.")
    if picture.extrapolated:
        parts.append("Dotted contours are extrapolated: they go beyond the largest step tasted.")
    if board.thresholds.ideals:
        parts.append("Green: what is liked best, with its 95 % interval.")
    return " ".join(parts)
