"""The versions of a formula in acid and sugar, around the reference; chart, alt text and table."""

from collections.abc import Mapping
from dataclasses import dataclass

import altair as alt
import numpy as np
import pandas as pd

from tasting.drink.composition import compose
from tasting.drink.declared import LabelInterval
from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference, bands
from tasting.drink.uncertainty import Spread
from tasting.insight.noticing.drivers import SUGAR, TA, Driver
from tasting.insight.noticing.steps import beyond
from tasting.stats.checks import Floats
from tasting.stats.psychometric import TRIANGLE
from tasting.stats.results import Estimate
from tasting.ui.dashboard.noticed_chart import COLOUR, GREY
from tasting.wording import decimals, number, percent

_GREEN = "#2e8b57"
_HEIGHT_PX = 440
LEVELS = (0.25, 0.5, 0.75)
"""Shares of tastings at which a contour is drawn."""

_DIGITS = ((TA, 2), (SUGAR, 1))
TA_TITLE, SUGAR_TITLE = "Titratable acidity, g/L", "Sugar, g/L"


@dataclass(frozen=True, slots=True)
class Goal:
    """What is drawn around the reference.

    centre: its acid and sugar, g/L; room: outline where acid and sugar alone add d-prime 1
    region: outline in which the version is truly like it, the two compositions being uncertain
    gap: character gap, d-prime, which is noticed even where acid and sugar are alike
    largest: the largest steps in acid and in sugar that were tasted, g/L
    power: of a step that distance grows with
    """

    centre: tuple[float, float]
    room: Floats | None
    region: Floats | None
    gap: float
    largest: tuple[float, float]
    power: float = 1.0

    def beyond(self, share: float) -> bool:
        """Whether the contour of this share goes beyond every step that was tasted."""
        outline = contour(self, share)
        if outline is None:
            return False
        reach = np.abs(outline - np.array(self.centre)).max(axis=0)
        return any(map(beyond, reach.tolist(), self.largest))


def contour(goal: Goal, share: float) -> Floats | None:
    """Outline of the versions that this share of tastings, by a triangle test, tells from the
    reference; None where even the reference's acid and sugar are told apart as often."""
    if goal.room is None:
        return None
    distance = float(TRIANGLE.d_prime(TRIANGLE.chance + (1 - TRIANGLE.chance) * share))
    further = distance**2 - goal.gap**2
    if further <= 0:
        return None
    centre = np.array(goal.centre)
    return np.asarray(centre + further ** (0.5 / goal.power) * (goal.room - centre))


def versions_map(
    formula: Formula,
    reference: Reference | None,
    goal: Goal | None,
    ideal: Mapping[str, Estimate],
) -> tuple[alt.LayerChart, str, pd.DataFrame]:
    """Every version at its acid and sugar, from parent to child, with the reference's box, contours
    of expected noticeability around it, and what is liked best."""
    points = _points(formula)
    layers = [
        *_liked(ideal),
        *_contours(goal),
        *_region(goal),
        *_box(reference, goal),
        *_path(formula, points),
        *_dots(points),
    ]
    chart = alt.LayerChart(layer=layers, height=_HEIGHT_PX)
    return chart, _alt(formula, reference, goal, points), _table(formula, reference)


def _x(column: str = "x") -> alt.X:
    return alt.X(f"{column}:Q", title=TA_TITLE, scale=alt.Scale(zero=False, padding=20))


def _y(column: str = "y") -> alt.Y:
    return alt.Y(f"{column}:Q", title=SUGAR_TITLE, scale=alt.Scale(zero=False, padding=20))


def _points(formula: Formula) -> pd.DataFrame:
    rows = []
    for version in formula.versions:
        made = compose(version)
        ta, sugar = (_rounded(getattr(made, driver.figure), digits) for driver, digits in _DIGITS)
        rows.append(
            {"id": version.id, "version": version.label, "short": short(version.label)}
            | {"x": ta, "y": sugar, "latest": version is formula.versions[-1]}
        )
    return pd.DataFrame(rows)


def _rounded(level: float | None, digits: int) -> float | None:
    """None, which is not drawn, where the level cannot be computed."""
    return None if level is None else round(level, digits)


def short(label: str) -> str:
    """The first word of a label, at most six signs.

    >>> short("v10 towards bottle R")
    'v10'
    """
    return label.split()[0][:6]


def _path(formula: Formula, points: pd.DataFrame) -> list[alt.Chart]:
    """A thin line from each parent to its child."""
    at = points.set_index("id")[["x", "y"]]
    rows = [
        {"edge": index, "order": order, "x": at.x[end], "y": at.y[end]}
        for index, version in enumerate(formula.versions)
        if version.parent is not None
        for order, end in enumerate((version.parent, version.id))
    ]
    if not rows:
        return []
    lines = alt.Chart(pd.DataFrame(rows)).mark_line(
        color=GREY, strokeWidth=1, opacity=0.6, aria=False
    )
    return [
        lines.encode(
            x=_x(),
            y=_y(),
            detail=alt.Detail("edge:N", title="Step"),
            order=alt.Order("order:Q", title="Order"),
        )
    ]


def _dots(points: pd.DataFrame) -> list[alt.Chart]:
    """Versions at one place share a label; the latest one is filled."""
    places = points.groupby(["x", "y"], as_index=False, sort=False).agg(
        version=("version", "; ".join), short=("short", ", ".join), latest=("latest", "any")
    )
    base = alt.Chart(places)
    dots = base.mark_point(size=90, stroke=COLOUR, strokeWidth=2, opacity=1).encode(
        x=_x(),
        y=_y(),
        fill=alt.condition("datum.latest", alt.value(COLOUR), alt.value("white")),
        tooltip=[
            alt.Tooltip("version:N", title="Version"),
            alt.Tooltip("x:Q", title=TA_TITLE, format=".2f"),
            alt.Tooltip("y:Q", title=SUGAR_TITLE, format=".1f"),
        ],
    )
    # Neighbours are named above and below in turn, so that their names do not meet.
    return [dots, *(_names(places, order, dy) for order, dy in ((0, -14), (1, 15)))]


def _names(places: pd.DataFrame, order: int, dy: int) -> alt.Chart:
    names = places.sort_values("x")[order::2]
    text: alt.Chart = alt.Chart(names).mark_text(dy=dy, fontSize=12, color=GREY, aria=False)
    return text.encode(x=_x(), y=_y(), text="short:N")


def _box(reference: Reference | None, goal: Goal | None) -> list[alt.Chart]:
    """What the reference's declared sugar and measured acidity can mean; named above all of it."""
    meant = bands(reference) if reference else {}
    if reference is None or not {TA.figure, SUGAR.figure} <= set(meant):
        return []
    ta, sugar = meant[TA.figure][0], meant[SUGAR.figure][0]
    region = goal.region if goal else None
    top = sugar.high if region is None else float(region[:, 1].max())
    row = {"x": ta.low, "x2": ta.high, "y": sugar.low, "y2": sugar.high}
    middle = {"middle": (ta.low + ta.high) / 2, "name": reference.name, "top": top}
    base = alt.Chart(pd.DataFrame([row | middle]))
    box = base.mark_rect(color=GREY, opacity=0.55, stroke=GREY, strokeWidth=2)
    name = base.mark_text(baseline="bottom", dy=-5, fontSize=13, fontWeight="bold", color=GREY)
    return [
        box.encode(
            x=_x(),
            x2="x2:Q",
            y=_y(),
            y2="y2:Q",
        ),
        name.encode(x=_x("middle"), y=_y("top"), text="name:N"),
    ]


def _contours(goal: Goal | None) -> list[alt.Chart]:
    result = [(share, contour(goal, share), goal.beyond(share)) for share in LEVELS] if goal else []
    rows = [
        {
            "share": f"{percent(share)}{', extrapolated' if untasted else ''}",
            "beyond": untasted,
            "order": index,
            "x": float(ta),
            "y": float(sugar),
        }
        for share, outline, untasted in result
        if outline is not None
        for index, (ta, sugar) in enumerate(outline.round(3))
    ]
    if not rows:
        return []
    data = pd.DataFrame(rows)
    tops = data.loc[data.groupby("share")["y"].idxmin()]
    lines = alt.Chart(data).mark_line(color=COLOUR, strokeWidth=1.5, opacity=0.7, aria=False)
    names = alt.Chart(tops).mark_text(color=COLOUR, dy=9, fontSize=11)
    return [
        lines.encode(
            x=_x(),
            y=_y(),
            detail=alt.Detail("share:N", title="Share who notice"),
            strokeDash=alt.condition("datum.beyond", alt.value([2, 4]), alt.value([1, 0])),
            order=alt.Order("order:Q", title="Order"),
        ),
        names.encode(x=_x(), y=_y(), text="share:N"),
    ]


def _region(goal: Goal | None) -> list[alt.Chart]:
    if goal is None or goal.region is None:
        return []
    data = pd.DataFrame(goal.region.round(3), columns=["x", "y"]).reset_index(names="order")
    line = alt.Chart(data).mark_line(color=GREY, strokeDash=[4, 3], strokeWidth=1.5, aria=False)
    order = alt.Order("order:Q", title="Order")
    return [line.encode(x=_x(), y=_y(), order=order)]


def _liked(ideal: Mapping[str, Estimate]) -> list[alt.Chart]:
    """The region that is liked best: a band across, or a box where both are known."""
    row: dict[str, float] = {}
    channels: dict[str, alt.X | alt.Y | str] = {}
    if TA.key in ideal:
        row |= {"x": ideal[TA.key].low, "x2": ideal[TA.key].high}
        channels |= {"x": _x(), "x2": "x2:Q"}
    if SUGAR.key in ideal:
        row |= {"y": ideal[SUGAR.key].low, "y2": ideal[SUGAR.key].high}
        channels |= {"y": _y(), "y2": "y2:Q"}
    if not row:
        return []
    base = alt.Chart(pd.DataFrame([row]))
    return [base.mark_rect(color=_GREEN, opacity=0.15).encode(**channels)]


def _alt(
    formula: Formula, reference: Reference | None, goal: Goal | None, points: pd.DataFrame
) -> str:
    latest = points.iloc[-1]
    text = (
        f"Acid and sugar of {len(points)} versions of {formula.name}; the latest, "
        f"{latest.version}, has {latest.x:.2f} g/L and {latest.y:.1f} g/L"
    )
    if reference is None or goal is None:
        return f"{text}."
    ta, sugar = goal.centre
    text += f"; {reference.name} has {number(ta)} g/L and {number(sugar)} g/L"
    untasted = [percent(share) for share in LEVELS if goal.beyond(share)]
    text += f"; extrapolated beyond what was tasted: contour {', '.join(untasted)}" * bool(untasted)
    return f"{text}."


def _table(formula: Formula, reference: Reference | None) -> pd.DataFrame:
    """Every drink that is drawn, with what its figures most probably are."""
    rows = [_row(version) for version in formula.versions]
    if reference:
        meant = bands(reference)
        levels = [_read(driver, reference, meant, digits) for driver, digits in _DIGITS]
        rows.append((reference.name, *levels))
    return pd.DataFrame(rows, columns=["Drink", TA_TITLE, SUGAR_TITLE])


def _row(version: Version) -> tuple[str, ...]:
    made = compose(version)
    levels = [
        _likely(getattr(made, driver.figure), made.intervals[driver.figure], digits)
        for driver, digits in _DIGITS
    ]
    return version.label, *levels


def _read(
    driver: Driver,
    reference: Reference,
    meant: Mapping[str, tuple[LabelInterval, object]],
    digits: int,
) -> str:
    known = driver.declared(reference)
    return _likely(known[0], meant[driver.figure][0], digits) if known else "unknown"


def _likely(value: float | None, ends: LabelInterval | Spread, digits: int) -> str:
    return f"{decimals(value, digits)} ({ends.low:.{digits}f} to {ends.high:.{digits}f})"
