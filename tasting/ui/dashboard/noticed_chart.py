"""How noticeable a difference is, against its size: curve, band and sessions; chart and alt."""

from collections.abc import Sequence

import altair as alt
import pandas as pd

from tasting.insight.advice.forecast import Curve
from tasting.insight.noticing.drivers import Driver
from tasting.insight.noticing.words import number
from tasting.panel.methods import METHODS
from tasting.ui.dashboard.marks import (
    ALONE,
    INTERVAL,
    MORE,
    PANEL,
    PlottedTest,
    apart,
    differs,
    interval,
    only_words,
    said,
    tasters,
)

CHOSEN = "session"
"""Name of the selection; what is selected has the session's id under SESSION."""

SESSION = "id"
COLOUR = "#3b7dbf"
"""One colour throughout; stands out on a light and on a dark page."""

GREY = "#808080"
HEIGHT_PX = 420
CLOSEST, WIDEST = 0.02, 0.06
SMALLEST_PX, LARGEST_PX = 50, 400
SHAPES = (
    "circle",
    "triangle-up",
    "diamond",
    "square",
    "cross",
    "triangle-down",
    "triangle-right",
    "triangle-left",
)
SHARE = "Noticed, % of tastings"


def noticed_against(
    found: Sequence[PlottedTest], driver: Driver, curve: Curve | None
) -> tuple[alt.LayerChart, str]:
    """Share of tastings that notice, against the size of the step; the curve is the model's.

    Show it with on_select="rerun" and selection_mode=CHOSEN: a mark can then be selected.
    """
    x = alt.X(
        "drawn:Q",
        title=f"Difference in {driver.name}, {driver.unit}",
        scale=alt.Scale(domain=[0, _end(found, curve)], nice=False),
        axis=alt.Axis(tickCount=6),
    )
    layers = [*_curve(curve, x), *_marks(found, driver, x)]
    return alt.LayerChart(layer=layers, height=HEIGHT_PX), _alt(found, driver, curve)


def _end(found: Sequence[PlottedTest], curve: Curve | None) -> float:
    ends = [1.08 * one.mark.step for one in found]
    return max([*ends, float(curve.delta[-1]) if curve else 0.0]) or 1.0


def _y(column: str) -> alt.Y:
    return alt.Y(f"{column}:Q", title=SHARE, scale=alt.Scale(domain=[0, 100]))


def _curve(curve: Curve | None, x: alt.X) -> list[alt.Chart]:
    if curve is None:
        return []
    value, low, high = (100 * curve.p_d).clip(0, 100).round(2).T
    data = pd.DataFrame({"drawn": curve.delta, "value": value, "low": low, "high": high})
    base = alt.Chart(data)
    band = base.mark_area(color=COLOUR, opacity=0.18, aria=False)
    line = base.mark_line(color=COLOUR, strokeWidth=2.5, aria=False)
    return [
        band.encode(x=x, y=_y("low"), y2="high:Q"),
        line.encode(x=x, y=_y("value")),
    ]


def _marks(found: Sequence[PlottedTest], driver: Driver, x: alt.X) -> list[alt.Chart]:
    if not found:
        return []
    base = alt.Chart(_points(found, driver))
    paler = alt.condition("datum.only", alt.value(0.7), alt.value(0.3))
    rules = base.mark_rule(color=GREY, strokeWidth=1.5, aria=False)
    picked = alt.selection_point(name=CHOSEN, fields=[SESSION], on="click", clear="dblclick")
    points = base.mark_point(stroke=COLOUR, strokeWidth=2, opacity=1, cursor="pointer")
    return [
        rules.encode(x=x, y=_y("low"), y2="high:Q", opacity=paler),
        points.encode(
            x=x,
            y=_y("share"),
            shape=_shapes(found),
            size=_sizes(found),
            fill=_fills(driver),
            strokeDash=_outlines(found),
            tooltip=_tooltip(driver),
            description="said:N",
        ).add_params(picked),
    ]


def _points(found: Sequence[PlottedTest], driver: Driver) -> pd.DataFrame:
    """What is drawn, and no more: every column goes to the browser."""
    rows = pd.DataFrame([_point(one, driver) for one in found])
    steps = [one.mark.step for one in found]
    top = max(steps) or 1.0
    return rows.assign(drawn=apart(steps, CLOSEST * top, WIDEST * top))


def _point(one: PlottedTest, driver: Driver) -> dict[str, object]:
    mark = one.mark
    return {
        SESSION: mark.session_id,
        "session": mark.name,
        "method": METHODS[mark.method].name,
        "n": mark.n,
        "by": tasters(one),
        "only": one.only,
        "differs": differs(one, driver),
        "share": round(one.share, 2),
        "low": round(one.low, 2),
        "high": round(one.high, 2),
        "interval": interval(one),
        "step": f"{number(mark.step)} {driver.unit}",
        "said": said(one, driver),
    }


def _shapes(found: Sequence[PlottedTest]) -> alt.Shape:
    """A shape for each method that is drawn, named only where there are several."""
    drawn = {one.mark.method for one in found}
    names = [method.name for key, method in METHODS.items() if key in drawn]
    scale = alt.Scale(domain=names, range=list(SHAPES[: len(names)]))
    legend = _legend() if len(names) > 1 else None
    return alt.Shape("method:N", title="Method", scale=scale, legend=legend)


def _sizes(found: Sequence[PlottedTest]) -> alt.Size:
    most = max(one.mark.n for one in found)
    scale = alt.Scale(domain=[0, most], range=[SMALLEST_PX, LARGEST_PX])
    return alt.Size("n:Q", title="Tastings n", scale=scale, legend=None)


def _fills(driver: Driver) -> alt.Fill:
    """Filled where nothing else differs: only these marks belong on the curve."""
    scale = alt.Scale(domain=[only_words(driver), MORE], range=[COLOUR, "transparent"])
    legend = alt.Legend(orient="top", direction="vertical", symbolStrokeColor=COLOUR, symbolSize=90)
    return alt.Fill("differs:N", title="What differs", scale=scale, legend=legend)


def _outlines(found: Sequence[PlottedTest]) -> alt.StrokeDash:
    """A dashed outline for one person's sessions, named only where there are some."""
    scale = alt.Scale(domain=[PANEL, ALONE], range=[[1, 0], [3, 2]])
    some = any(one.mark.alone for one in found)
    legend = _legend(COLOUR) if some else None
    return alt.StrokeDash("by:N", title="Tasted by", scale=scale, legend=legend)


def _legend(stroke: str = GREY) -> alt.Legend:
    return alt.Legend(
        orient="top",
        direction="vertical",
        symbolStrokeColor=stroke,
        symbolSize=90,
        symbolFillColor="transparent",
    )


def _tooltip(driver: Driver) -> list[alt.Tooltip]:
    return [
        alt.Tooltip("session:N", title="Session"),
        alt.Tooltip("method:N", title="Method"),
        alt.Tooltip("n:Q", title="Tastings n"),
        alt.Tooltip("by:N", title="Tasted by"),
        alt.Tooltip("step:N", title=f"Difference in {driver.name}"),
        alt.Tooltip("differs:N", title="What differs"),
        alt.Tooltip("share:Q", title=SHARE, format=".0f"),
        alt.Tooltip("interval:N", title=INTERVAL),
    ]


def _alt(found: Sequence[PlottedTest], driver: Driver, curve: Curve | None) -> str:
    text = f"Share of tastings that notice a difference, against its size in {driver.name}. "
    text += f"{len(found)} difference tests are drawn"
    if curve is None:
        return f"{text}; no curve is fitted yet."
    half = next((x for x, y in zip(curve.delta, curve.p_d[:, 0], strict=True) if y >= 0.5), None)
    if half is None:
        return f"{text}; the fitted curve stays below half of the tastings."
    return f"{text}; the fitted curve reaches half of the tastings at {number(half)} {driver.unit}."
