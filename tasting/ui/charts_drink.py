"""Charts of drinks: data in; chart, alt text and table out."""

from typing import Any

import altair as alt
import pandas as pd

from tasting.drink.formula import Formula
from tasting.drink.label import Reference
from tasting.insight.levels import Levels, levels
from tasting.ui.drink_tables import UNKNOWN

MEASURES = {
    "ta_g_per_l": ("TA, g/L", 2),
    "sugar_g_per_l": ("Sugar, g/L", 1),
    "alcohol_percent_vol": ("Alcohol, % vol", 1),
    "energy_kcal_per_l": ("Energy, kcal/L", 0),
}
"""What is charted: the title and the decimals of each."""

VERSION = "Version"
PANEL_HEIGHT = 90
NARROWEST_PLOT_PX = 280
CHARACTER_PX = 7


def versions_against_label(
    formula: Formula, reference: Reference | None
) -> tuple[alt.VConcatChart, str, pd.DataFrame]:
    """TA, sugar, alcohol and energy, version by version, beside what is known of a reference.

    A line runs from each parent to its child; a dashed line is the reference. The table has the
    same numbers, the reference in its last row. Show the chart with width="stretch".
    """
    made = {version.id: levels(version) for version in formula.versions}
    label = levels(reference) if reference else Levels(None, None, None, None)
    points, edges = _points(formula, made), _edges(formula, made)
    panels = [
        _panel(points, edges, measure, getattr(label, measure), last=measure == [*MEASURES][-1])
        for measure in MEASURES
    ]
    # Without "fit-x" Streamlit lets stacked panels of layers run over the edge of a phone.
    chart = alt.vconcat(*panels, spacing=14).properties(
        autosize=alt.AutoSizeParams(type="fit-x", contains="padding")
    )
    return chart, _alt(formula, made, reference), _table(formula, made, reference)


def _points(formula: Formula, made: dict[str, Levels]) -> pd.DataFrame:
    return pd.DataFrame([_point(version.label, made[version.id]) for version in formula.versions])


def _edges(formula: Formula, made: dict[str, Levels]) -> pd.DataFrame:
    """Two rows for each child: its parent and itself."""
    rows = [
        {"edge": place, **_point(formula.version(end).label, made[end])}
        for place, version in enumerate(formula.versions)
        for end in (version.parent, version.id)
        if version.parent is not None and end is not None
    ]
    return pd.DataFrame(rows, columns=["edge", VERSION, *MEASURES])


def _point(label: str, drink: Levels) -> dict[str, Any]:
    """What is drawn of a drink, rounded as it is shown, so that noise does not stretch an axis."""
    rounded = {
        measure: round(getattr(drink, measure), digits) for measure, (_, digits) in MEASURES.items()
    }
    return {VERSION: label} | rounded


def _panel(
    points: pd.DataFrame, edges: pd.DataFrame, measure: str, label: float | None, *, last: bool
) -> alt.LayerChart:
    """One measure; only the last panel names the versions below it."""
    title, digits = MEASURES[measure]
    against = "" if label is None else f"; dashed: reference {label:.{digits}f}"
    columns = [VERSION, measure]
    x = alt.X(
        f"{VERSION}:N", sort=points[VERSION].tolist(), title=VERSION, axis=_names(points, last)
    )
    y = alt.Y(f"{measure}:Q", title=title + against, axis=_above(digits)).scale(
        zero=False, nice=True, padding=8
    )
    tooltip = [VERSION, alt.Tooltip(f"{measure}:Q", title=title, format=f".{digits}f")]
    lines = alt.Chart(edges[["edge", *columns]]).mark_line(strokeWidth=1.5, opacity=0.6)
    dots = alt.Chart(points[columns]).mark_point(filled=True, size=55, opacity=1)
    layers = [
        lines.encode(x=x, y=y, detail=alt.Detail("edge:N", title="Step")),
        dots.encode(x=x, y=y, tooltip=tooltip),
    ]
    return alt.LayerChart(layer=[*layers, *_reference(measure, label)], height=PANEL_HEIGHT)


def _names(points: pd.DataFrame, shown: bool) -> alt.Axis:
    """The axis with the labels of the versions, upright only where they are too long to lie."""
    if not shown:
        return alt.Axis(labels=False, ticks=False, title=None)
    width = points[VERSION].str.len().max() * CHARACTER_PX * len(points)
    return alt.Axis(labelAngle=0 if width < NARROWEST_PLOT_PX else -90, labelLimit=90)


def _above(digits: int) -> alt.Axis:
    """A value axis whose title lies flat above it, where it can be read."""
    return alt.Axis(
        titleAngle=0,
        titleAlign="left",
        titleAnchor="end",
        titleX=0,
        titleY=-8,
        tickCount=4,
        tickMinStep=10.0**-digits,
        format=f".{digits}f",
    )


def _reference(measure: str, label: float | None) -> list[alt.Chart]:
    """A dashed line at what the reference has; grey, to be seen on a light and a dark page."""
    if label is None:
        return []
    rule = alt.Chart(pd.DataFrame({measure: [label]})).mark_rule(strokeDash=[5, 3], color="#888")
    return [rule.encode(y=alt.Y(f"{measure}:Q"))]


def _said(value: float | None, measure: str) -> str:
    return UNKNOWN if value is None else f"{value:.{MEASURES[measure][1]}f}"


def _table(formula: Formula, made: dict[str, Levels], reference: Reference | None) -> pd.DataFrame:
    drinks = [(version.label, made[version.id]) for version in formula.versions]
    if reference:
        drinks.append((reference.name, levels(reference)))
    rows = [
        (name, *[_said(getattr(drink, measure), measure) for measure in MEASURES])
        for name, drink in drinks
    ]
    return pd.DataFrame(rows, columns=[VERSION, *[title for title, _ in MEASURES.values()]])


def _alt(formula: Formula, made: dict[str, Levels], reference: Reference | None) -> str:
    """One sentence: where the newest version stands."""
    newest = formula.versions[-1]
    label = levels(reference) if reference else None
    found = []
    for measure, (title, _) in MEASURES.items():
        against = getattr(label, measure) if label else None
        beside = f" (reference {_said(against, measure)})" if against is not None else ""
        found.append(f"{title} {_said(getattr(made[newest.id], measure), measure)}{beside}")
    return f"{formula.name}, {len(made)} versions; the newest, {newest.label}: {'; '.join(found)}."
