"""Charts of drinks: data in; chart, alt text and table out."""

from typing import Any

import altair as alt
import pandas as pd

from tasting.drink import words
from tasting.drink.composition import Composition
from tasting.drink.declared import LabelInterval
from tasting.drink.formula import Formula
from tasting.drink.ice import ServedStyle, as_served
from tasting.drink.label import Reference, bands
from tasting.insight.advice.question import version_name
from tasting.wording import UNKNOWN, decimals

MEASURES = {
    "ta_g_per_l": ("TA, g/L", 2),
    "sugar_g_per_l": ("Sugar, g/L", 1),
    "alcohol_percent_vol": ("Alcohol, % vol", 2),
    "energy_kcal_per_l": ("Energy, kcal/L", 0),
}
"""What is charted: the title and the decimals of each."""

_LAST = [*MEASURES][-1]
_VERSION = "Version"
_PANEL_HEIGHT = 90
_NARROWEST_PLOT_PX = 280
_CHARACTER_PX = 7


def versions_against_label(
    formula: Formula, reference: Reference | None, style: ServedStyle | None = None
) -> tuple[alt.VConcatChart, str, pd.DataFrame]:
    """TA, sugar, alcohol and energy, version by version, beside what is known of a reference.

    A line runs from each parent to its child, an upright one over the likely interval of each. A
    dashed line is the reference, and the band around it what its rounded value can mean. The table
    has the same numbers, the reference in its last row. `style` counts the ice that melts into
    each. Show the chart with width="stretch".
    """
    made = {version.id: as_served(version, style)[1] for version in formula.versions}
    meant = bands(reference) if reference else {}
    points, edges = _points(formula, made), _edges(formula, made)
    panels = [
        alt.LayerChart(
            layer=[
                *_band(measure, _heading(measure, reference), meant.get(measure)),
                *_layers(points, edges, measure, _heading(measure, reference), measure == _LAST),
                *_reference(measure, getattr(reference, measure, None)),
            ],
            height=_PANEL_HEIGHT,
        )
        for measure in MEASURES
    ]
    # Without "fit-x" Streamlit lets stacked panels of layers run over the edge of a phone.
    chart = alt.vconcat(*panels, spacing=14).properties(
        autosize=alt.AutoSizeParams(type="fit-x", contains="padding")
    )
    return chart, _alt(formula, made, reference), _table(formula, made, reference)


def _heading(measure: str, reference: Reference | None) -> str:
    """The title of a panel: what it shows, and what the reference has of it."""
    title, known = MEASURES[measure][0], getattr(reference, measure, None)
    return title if known is None else f"{title}; dashed: reference {_said(known, measure)}"


def _names(formula: Formula) -> dict[str, str]:
    """What each version is called on the axis, by id: its number, if no two have the same."""
    short = {version.id: version_name(version.label) for version in formula.versions}
    if len(set(short.values())) == len(short):
        return short
    return {version.id: version.label for version in formula.versions}


def _points(formula: Formula, made: dict[str, Composition]) -> pd.DataFrame:
    rows, names = [], _names(formula)
    for version in formula.versions:
        drink = made[version.id]
        likely = {
            f"{measure}_{end}": round(getattr(drink.intervals[measure], end), digits)
            for measure, (_, digits) in MEASURES.items()
            for end in ("low", "high")
        }
        rows.append(_point(names[version.id], drink) | likely)
    return pd.DataFrame(rows)


def _edges(formula: Formula, made: dict[str, Composition]) -> pd.DataFrame:
    """Two rows for each child: its parent and itself."""
    names = _names(formula)
    rows = [
        {"edge": index, **_point(names[end], made[end])}
        for index, version in enumerate(formula.versions)
        for end in (version.parent, version.id)
        if version.parent is not None and end is not None
    ]
    return pd.DataFrame(rows, columns=["edge", _VERSION, *MEASURES])


def _point(label: str, drink: Composition) -> dict[str, Any]:
    """What is drawn of a drink, rounded as it is shown, so that noise does not stretch an axis."""
    rounded = {
        measure: None if measure in drink.unknown else round(drink.known(measure), digits)
        for measure, (_, digits) in MEASURES.items()
    }
    return {_VERSION: label} | rounded


def _layers(
    points: pd.DataFrame, edges: pd.DataFrame, measure: str, head: str, last: bool
) -> list[alt.Chart]:
    """Steps, intervals and points of one measure; only the last panel names the versions below."""
    title, digits = MEASURES[measure]
    columns, ends = [_VERSION, measure], [f"{measure}_low", f"{measure}_high"]
    x = alt.X(
        f"{_VERSION}:N", sort=points[_VERSION].tolist(), title=_VERSION, axis=_below(points, last)
    )
    axis = _above(digits)
    scale = alt.Scale(zero=False, nice=True, padding=8)
    y = alt.Y(f"{measure}:Q", title=head, axis=axis, scale=scale)
    low = alt.Y(f"{ends[0]}:Q", title=head, axis=axis, scale=scale)
    # Vega writes the titles of all layers beside each other, unless they are the same.
    high = alt.Y2(f"{ends[1]}:Q", title=head)
    tooltip = [_VERSION, alt.Tooltip(f"{measure}:Q", title=title, format=f".{digits}f")]
    lines = alt.Chart(edges[["edge", *columns]]).mark_line(strokeWidth=1.5, opacity=0.6)
    spans = alt.Chart(points[[_VERSION, *ends]]).mark_rule(strokeWidth=2, opacity=0.6)
    dots = alt.Chart(points[columns]).mark_point(filled=True, size=55, opacity=1)
    return [
        lines.encode(x=x, y=y, detail=alt.Detail("edge:N", title="Step")),
        spans.encode(x=x, y=low, y2=high),
        dots.encode(x=x, y=y, tooltip=tooltip),
    ]


def _band(
    measure: str, title: str, meant: tuple[LabelInterval, LabelInterval | None] | None
) -> list[alt.Chart]:
    """What the rounded value of the reference can mean, behind everything else."""
    if meant is None:
        return []
    rounding, _ = meant
    data = pd.DataFrame({measure: [rounding.low], "up to": [rounding.high]})
    band = alt.Chart(data).mark_rect(color="#808080", opacity=0.35)
    return [band.encode(y=alt.Y(f"{measure}:Q", title=title), y2=alt.Y2("up to:Q", title=title))]


def _below(points: pd.DataFrame, shown: bool) -> alt.Axis:
    """The axis with the labels of the versions, upright only where they are too long to lie."""
    if not shown:
        return alt.Axis(labels=False, ticks=False, title=None)
    width = points[_VERSION].str.len().max() * _CHARACTER_PX * len(points)
    return alt.Axis(labelAngle=0 if width < _NARROWEST_PLOT_PX else -90, labelLimit=90)


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
    return decimals(value, MEASURES[measure][1])


def _table(
    formula: Formula, made: dict[str, Composition], reference: Reference | None
) -> pd.DataFrame:
    drinks = [(version.label, made[version.id]) for version in formula.versions]
    rows = [
        (name, *[_with_likely(drink, measure) for measure in MEASURES]) for name, drink in drinks
    ]
    if reference:
        known = [_said(getattr(reference, measure), measure) for measure in MEASURES]
        rows.append((reference.name, *known))
    return pd.DataFrame(rows, columns=[_VERSION, *[title for title, _ in MEASURES.values()]])


def _with_likely(drink: Composition, measure: str) -> str:
    """The figure, and its likely interval in brackets where one is known."""
    likely = words.likely(measure, drink.intervals[measure])
    value = _said(getattr(drink, measure), measure)
    return value if likely == UNKNOWN else f"{value} ({likely})"


def _alt(formula: Formula, made: dict[str, Composition], reference: Reference | None) -> str:
    """One sentence: where the newest version stands."""
    newest = formula.versions[-1]
    result = []
    for measure, (title, _) in MEASURES.items():
        against = getattr(reference, measure, None)
        beside = f" (reference {_said(against, measure)})" if against is not None else ""
        result.append(f"{title} {_said(getattr(made[newest.id], measure), measure)}{beside}")
    return f"{formula.name}, {len(made)} versions; the newest, {newest.label}: {'; '.join(result)}."
