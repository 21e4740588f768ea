"""The share who notice against the size of the step, with or without the fitted curve.

One chart for every section: its height is the share of assessors who notice in a triangle test at
the same sensory distance, whatever the method was.
"""

from collections.abc import Mapping, Sequence
from typing import Final

import altair as alt
import numpy as np
import pandas as pd

from tasting.insight.advice.forecast import Curve
from tasting.insight.noticing.drivers import Driver
from tasting.insight.noticing.marks import SessionShare
from tasting.insight.noticing.steps import beyond
from tasting.insight.noticing.words import amount_in
from tasting.panel.methods import METHODS
from tasting.stats.results import Estimate
from tasting.ui.dashboard.noticed_table import (
    ALONE,
    AS_TRIANGLE,
    DIFFERS,
    METHOD,
    MORE,
    NOTHING_ELSE,
    PANEL,
    TASTED_BY,
    TASTINGS,
    in_unit,
    line,
)
from tasting.ui.dashboard.palette import LIGHT

CHOSEN = "session"
"""Name of the selection; what is selected has the session's id under SESSION."""

SESSION = "id"
COLOUR, GREY = LIGHT.mark, LIGHT.soft
HEIGHT_PX, LINE_PX = 270, 30
"""Height of the chart without the methods' legend, and of a line of that legend."""

CLOSEST, WIDEST = 0.02, 0.06
SMALLEST_PX, LARGEST_PX = 50, 400
_SIDES = ("triangle-up", "circle", "triangle-left", "square", "triangle-right", "diamond")
_COUNTED = (
    key for key, method in METHODS.items() if method.psychometric and method.measures_distance
)
SHAPES: Final[Mapping[str, str]] = dict(
    zip(_COUNTED, (*_SIDES, "cross", "triangle-down"), strict=False)
)
"""The shape of each method that has a share who notice, the same in every chart."""

Drawn = tuple[SessionShare, Estimate, float]
"""A session, its share as a triangle test, and the size of its step."""


def noticed_against(
    shares: Sequence[SessionShare],
    driver: Driver,
    curve: Curve | None = None,
    least: float = 0.0,
) -> tuple[alt.LayerChart, str]:
    """Share who notice, as a triangle test, against the size of the step; the curve is the model's.
    The axis reaches to `least` at the least, so that nothing unnoticed looks large.

    Show it with on_select="rerun" and selection_mode=CHOSEN: a mark can then be selected.
    """
    found = drawn(shares, driver)
    last = float(curve.delta[-1]) if curve else 0.0
    longest = max([last, least, *(1.08 * size for *_, size in found)])
    x = alt.X(
        "drawn:Q",
        title=in_unit(f"Difference in {driver.name}", driver),
        scale=alt.Scale(domain=[0, longest or 1.0]),
        axis=alt.Axis(tickCount=6),
    )
    layers = [*_curve(curve, x), *_marks(found, driver, x)]
    methods = len({one.method.key for one, *_ in found})
    legend = LINE_PX * (methods + 2) if methods > 1 else 0
    return alt.LayerChart(layer=layers, height=HEIGHT_PX + legend), _alt(found, driver, curve)


def drawn(shares: Sequence[SessionShare], driver: Driver) -> list[Drawn]:
    """The sessions whose step in this driver is known, and whose method has a share who notice."""
    found = [(one, one.as_triangle, one.steps.get(driver.key)) for one in shares]
    return [(one, share, abs(step)) for one, share, step in found if share and step is not None]


def _y(column: str) -> alt.Y:
    return alt.Y(f"{column}:Q", title=AS_TRIANGLE, scale=alt.Scale(domain=[0, 100]))


def _curve(curve: Curve | None, x: alt.X) -> list[alt.Chart]:
    if curve is None:
        return []
    value, low, high = (100 * curve.p_d).clip(0, 100).round(2).T
    data = pd.DataFrame({"drawn": curve.delta, "value": value, "low": low, "high": high})
    inside = int(np.searchsorted(curve.delta, curve.largest_tasted, side="right"))
    # Both parts hold the point where they meet, so that the line has no hole.
    rest = data[max(inside - 1, 0) :] if inside < len(data) else data[:0]
    return [*_piece(data[:inside], x), *_piece(rest, x, extrapolated=True)]


def _piece(data: pd.DataFrame, x: alt.X, *, extrapolated: bool = False) -> list[alt.Chart]:
    """Band and line; paler and dashed where nobody tasted."""
    if len(data) < 2:
        return []
    base, dash = alt.Chart(data), [6, 5] if extrapolated else [1, 0]
    band = base.mark_area(color=COLOUR, opacity=0.09 if extrapolated else 0.18, aria=False)
    line = base.mark_line(color=COLOUR, strokeWidth=2.5, strokeDash=dash, aria=False)
    return [
        band.encode(x=x, y=_y("low"), y2="high:Q"),
        line.encode(x=x, y=_y("value")),
    ]


def _marks(found: Sequence[Drawn], driver: Driver, x: alt.X) -> list[alt.Chart]:
    if not found:
        return []
    lines = [line(one, driver) for one, *_ in found]
    base = alt.Chart(_points(found, lines))
    paler = alt.condition(
        f"datum['{DIFFERS}'] === '{NOTHING_ELSE}'", alt.value(0.9), alt.value(0.6)
    )
    rules = base.mark_rule(color=GREY, strokeWidth=2, aria=False)
    picked = alt.selection_point(name=CHOSEN, fields=[SESSION], on="click", clear="dblclick")
    points = base.mark_point(
        stroke=COLOUR, strokeWidth=2, opacity=1, fillOpacity=0.9, cursor="pointer"
    )
    return [
        rules.encode(x=x, y=_y("low"), y2="high:Q", opacity=paler),
        points.encode(
            x=x,
            y=_y("share"),
            shape=_shapes(found),
            size=_sizes(found),
            fill=_fills(),
            strokeDash=_outlines(),
            tooltip=[alt.Tooltip(field=column, type="nominal") for column in lines[0]],
            description="said:N",
        ).add_params(picked),
    ]


def _points(found: Sequence[Drawn], lines: Sequence[Mapping[str, object]]) -> pd.DataFrame:
    """What is drawn, and no more: every column goes to the browser."""
    ends = [(share.value, share.low, share.high) for _, share, _ in found]
    numbers = pd.DataFrame(ends, columns=["share", "low", "high"]).mul(100).round(2)
    sizes = [size for *_, size in found]
    top = max(sizes) or 1.0
    numbers["drawn"] = apart(sizes, CLOSEST * top, WIDEST * top)
    numbers[SESSION] = [one.session_id for one, *_ in found]
    numbers["said"] = ["; ".join(f"{name}: {cell}" for name, cell in one.items()) for one in lines]
    return pd.concat([numbers, pd.DataFrame(lines)], axis=1)


def _shapes(found: Sequence[Drawn]) -> alt.Shape:
    """The method's own shape, named only where there are several."""
    methods = {one.method for one, *_ in found}
    names = {METHODS[key].name: shape for key, shape in SHAPES.items() if METHODS[key] in methods}
    scale = alt.Scale(domain=list(names), range=list(names.values()))
    legend = alt.Legend(
        orient="bottom",
        direction="vertical",
        symbolSize=90,
        labelLimit=300,
        symbolStrokeColor=GREY,
        symbolFillColor="transparent",
    )
    return alt.Shape(f"{METHOD}:N", scale=scale, legend=legend if len(names) > 1 else None)


def _sizes(found: Sequence[Drawn]) -> alt.Size:
    scale = alt.Scale(domain=[0, max(one.n for one, *_ in found)], range=[SMALLEST_PX, LARGEST_PX])
    return alt.Size(f"{TASTINGS}:Q", scale=scale, legend=None)


def _fills() -> alt.Fill:
    """Filled where nothing else is known to differ: only these marks belong on the curve. A line
    above the chart says so, for which a legend takes too much of a phone."""
    scale = alt.Scale(domain=[NOTHING_ELSE, MORE], range=[COLOUR, LIGHT.page])
    return alt.Fill(f"{DIFFERS}:N", scale=scale, legend=None)


def _outlines() -> alt.StrokeDash:
    """A dotted outline for one person's sessions."""
    scale = alt.Scale(domain=[PANEL, ALONE], range=[[1, 0], [3, 2]])
    return alt.StrokeDash(f"{TASTED_BY}:N", scale=scale, legend=None)


def apart(sizes: Sequence[float], closest: float, widest: float) -> list[float]:
    """The sizes as they are drawn: those nearer to each other than `closest` move apart.

    Without it the intervals of sessions on one pair of drinks would lie on each other. A group
    spreads over no more than `widest`, so that no mark stands far from its place.
    """
    groups: list[list[int]] = []
    for at in sorted(range(len(sizes)), key=sizes.__getitem__):
        if groups and sizes[at] - sizes[groups[-1][0]] < closest:
            groups[-1].append(at)
        else:
            groups.append([at])
    moved: dict[int, float] = {}
    for group in groups:
        width = min(closest * (len(group) - 1), widest)
        moved |= zip(group, _spread([sizes[at] for at in group], width), strict=True)
    return [moved[at] for at in range(len(sizes))]


def _spread(group: Sequence[float], width: float) -> list[float]:
    """Equal distances around the middle of a group; nothing below zero."""
    first = max(0.0, sum(group) / len(group) - width / 2)
    return [first + width * place / max(1, len(group) - 1) for place in range(len(group))]


def _alt(found: Sequence[Drawn], driver: Driver, curve: Curve | None) -> str:
    text = f"{AS_TRIANGLE}, against the size of the step in {driver.name}. "
    there = [(one.shown, size) for one, _, size in found if one.shown]
    not_there = [(one.sessions - one.shown, size) for one, _, size in found]
    text += f"{sum(one.sessions for one, *_ in found)} sessions are drawn"
    if there:
        often, least = sum(shown for shown, _ in there), min(size for _, size in there)
        text += f"; difference shown in {often}, from {least:.2f} upwards"
    if any(left for left, _ in not_there):
        often, most = sum(left for left, _ in not_there), max(s for left, s in not_there if left)
        text += f"; not shown in {often}, up to {most:.2f}"
    if curve is None:
        return f"{text}."
    half = next((x for x, y in zip(curve.delta, curve.p_d[:, 0], strict=True) if y >= 0.5), None)
    reach = "stays below half" if half is None else f"reaches half at {amount_in(driver, half)}"
    text += f"; the fitted curve {reach}"
    if not beyond(float(curve.delta[-1]), curve.largest_tasted):
        return f"{text}."
    last = amount_in(driver, curve.largest_tasted)
    return f"{text}; it is extrapolated, and dashed, beyond {last}, the largest step tasted."
