"""Below the answers: where the versions lie, and one curve of what is noticed."""

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.drink.words import TA_MEANS
from tasting.ui import pages
from tasting.ui.dashboard import cards
from tasting.ui.dashboard.cached import DashboardModel
from tasting.ui.dashboard.cached_charts import (
    Picture,
    curve_picture,
    map_picture,
    show_numbers,
    show_picture,
)
from tasting.ui.dashboard.noticed import MARKS, how_to_read, show_noticed
from tasting.ui.page import escape_markdown


def show_map(board: DashboardModel) -> None:
    """Where the versions stand, beside what half of assessors notice."""
    st.html('<h2 class="unseen">Map of acid and sugar</h2>')
    left, right = st.columns([3, 2])
    with left:
        if not any(map(_on_the_map, board.formula.versions)):
            _offer_to_complete(board)
            return
        picture = map_picture(board)
        if picture.note:
            st.caption(escape_markdown(picture.note))
        show_picture(picture, "chart-map")
        with st.expander("How to read it, and the numbers"):
            st.caption(_explained(board, picture))
            show_numbers(picture, "all-map")
    with right:
        cards.show(board.thresholds, board.reference)


def _on_the_map(version: Version) -> bool:
    made = compose(version)
    return made.ta_g_per_l is not None and made.sugar_g_per_l is not None


def _offer_to_complete(board: DashboardModel) -> None:
    """Instead of an empty map."""
    st.write(
        "No map yet: acid or sugar cannot be computed for any version. Complete the figures of "
        "the ingredients that lack them."
    )
    st.page_link(
        pages.DRINK.script,
        label=f"Go to {escape_markdown(board.formula.name)}",
        query_params={"id": board.formula.id},
    )


def _explained(board: DashboardModel, picture: Picture) -> str:
    """The legend of the map, in words."""
    parts = ["Circle: a version (filled: the latest); dotted lines lead from parent to child."]
    if board.reference and not picture.note:
        name = escape_markdown(board.reference.name)
        parts.append(f"Filled box: {name} as its label and measurements have it.")
        parts.append(f"Dashed: where {name} lies relative to your computed versions (95 %).")
    if picture.fitted:
        parts.append(
            "Contours: share of assessors who would notice a version as different, in a triangle "
            "test."
        )
    if picture.extrapolated:
        parts.append("Dotted contours are extrapolated: they go beyond the largest step tasted.")
    if board.thresholds.ideals:
        parts.append("Green: what is liked best, with its 95 % interval.")
    parts.append(TA_MEANS)
    return " ".join(parts)


def show_curve(engine: Engine, board: DashboardModel) -> None:
    """The share who notice against the size of a step, one driver at a time."""
    drivers = {driver.key: driver for driver in board.thresholds.drivers}
    with st.container(horizontal=True, vertical_alignment="center", key="curve-head"):
        chosen = st.segmented_control(
            "Step in",
            list(drivers),
            default=next(iter(drivers)),
            format_func=lambda key: drivers[key].short,
            key=f"curve-{'-'.join(drivers)}",
            label_visibility="collapsed",
            width="content",
        )
        st.caption(MARKS)
    driver = drivers[chosen or next(iter(drivers))]
    picture = curve_picture(engine, board, driver)
    if picture is None:
        st.write(f"No closed difference test says anything about {driver.name} yet.")
        return
    show_noticed(picture, f"chart-{driver.key}", f"{how_to_read()}{_line(picture)}")


def _line(picture: Picture) -> str:
    if not picture.fitted:
        return ""
    return (
        " The line is what the model expects where no other modelled figure differs, the band its "
        "95 % "
        "interval; hollow marks may lie above it. Dashed and paler: extrapolated, beyond the "
        "largest step tasted."
    )
