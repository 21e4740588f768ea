"""Charts of the evidence: data in; chart, text for those who cannot see it, and table out."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import altair as alt
import pandas as pd

from tasting.insight.noticing.noticed import Noticed
from tasting.panel.methods import METHODS
from tasting.stats.results import Estimate
from tasting.ui.dashboard.marks import apart
from tasting.ui.dashboard.noticed_chart import CLOSEST, COLOUR, GREY, WIDEST

HEIGHT_PX = 440
SHAPES = (
    "triangle-up",
    "circle",
    "diamond",
    "square",
    "cross",
    "triangle-down",
    "triangle-right",
    "triangle-left",
)
SHOWN = ("shown", "not shown")
UNKNOWN = "unknown"
SAMPLES = "B against A"
INTERVAL = "95 % interval, %"


@dataclass(frozen=True, slots=True)
class Quantity:
    """What the noticed share is drawn against: its name, a short one, and its level in g/L."""

    name: str
    short: str
    level: Literal["ta_g_per_l", "sugar_g_per_l"]

    def step(self, row: Noticed) -> float | None:
        """B minus A in g/L, or None where it is unknown."""
        return getattr(row.step, self.level)  # type: ignore[no-any-return]


TA = Quantity("titratable acidity", "TA", "ta_g_per_l")
SUGAR = Quantity("sugar", "Sugar", "sugar_g_per_l")


def noticed_against(
    rows: Sequence[Noticed], quantity: Quantity
) -> tuple[alt.LayerChart, str, pd.DataFrame]:
    """Share of tastings in which a difference was noticed, against its size in the glass.

    Sessions whose step is unknown, and those by a method that has no share of tastings that
    noticed (same-different, A-not-A), are in the table only.
    """
    steps = [(row, row.finding.evidence.noticed, quantity.step(row)) for row in rows]
    drawn = [
        (row, noticed, step)
        for row, noticed, step in steps
        if step is not None and noticed is not None
    ]
    points = pd.DataFrame([_point(*one, quantity) for one in drawn])
    chart = _chart(points, quantity, [abs(step) for _, _, step in drawn])
    return chart, _alt(drawn, quantity), _table(rows, quantity)


def _point(row: Noticed, noticed: Estimate, step: float, quantity: Quantity) -> dict[str, object]:
    return {
        "session": session_name(row),
        "samples": _samples(row),
        "method": row.finding.tally.method.name,
        "n": row.finding.tally.n,
        "finding": _shown(row),
        "noticed": 100 * noticed.value,
        "interval": _interval(noticed),
        "low": 100 * noticed.low,
        "high": 100 * noticed.high,
        "step": signed(step),
        "said": _said(row, noticed, step, quantity),
    }


def _said(row: Noticed, noticed: Estimate, step: float, quantity: Quantity) -> str:
    """One mark in words."""
    tally, share = row.finding.tally, 100 * noticed.value
    return (
        f"{session_name(row)}: {_samples(row)}, {signed(step)} g/L in {quantity.name}; "
        f"{tally.method.name}, n = {tally.n}; noticed in {share:.0f} % of tastings "
        f"(95 % interval {_interval(noticed)} %); difference {_shown(row)}"
    )


def session_name(row: Noticed) -> str:
    """The session's name, marked where its data are made up."""
    return f"{row.session.name} (invented)" if row.session.invented else row.session.name


def _samples(row: Noticed) -> str:
    return f"{row.session.plan.b.name} against {row.session.plan.a.name}"


def _shown(row: Noticed) -> str:
    return SHOWN[0] if row.finding.shown else SHOWN[1]


def _interval(noticed: Estimate | None) -> str:
    return f"{100 * noticed.low:.0f} to {100 * noticed.high:.0f}" if noticed else UNKNOWN


def _percent(noticed: Estimate | None) -> str:
    return f"{100 * noticed.value:.0f}" if noticed else UNKNOWN


def _distance(distance: Estimate | None) -> str:
    return f"{distance.value:.2f}" if distance else UNKNOWN


def signed(step: float | None) -> str:
    """A difference in g/L with its sign; two decimals below 10."""
    if step is None:
        return UNKNOWN
    text = f"{step:+.2f}" if abs(step) < 9.995 else f"{step:+.1f}"
    return text.replace("-", "\N{MINUS SIGN}") if float(text) else text[1:]


def _chart(points: pd.DataFrame, quantity: Quantity, sizes: Sequence[float]) -> alt.LayerChart:
    top = max(sizes, default=0.0) or 1.0
    x = alt.X(
        "drawn:Q",
        title=f"Difference in {quantity.name}, g/L",
        scale=alt.Scale(domain=[0, 1.05 * top], nice=True),
        axis=alt.Axis(tickCount=6),
    )
    noticed = "Noticed in % of tastings"
    percent = alt.Scale(domain=[0, 100])
    base = alt.Chart(points.assign(drawn=apart(sizes, CLOSEST * top, WIDEST * top)))
    rules = base.mark_rule(color=COLOUR, opacity=0.6, strokeWidth=1.5, aria=False).encode(
        x=x, y=alt.Y("low:Q", title=noticed, scale=percent), y2="high:Q"
    )
    marks = base.mark_point(stroke=COLOUR, strokeWidth=2, size=110, opacity=1).encode(
        x=x,
        y=alt.Y("noticed:Q", title=noticed, scale=percent),
        shape=_shapes(points),
        fill=_filling(),
        tooltip=_tooltip(quantity),
        description="said:N",
    )
    return alt.LayerChart(layer=[rules, marks], height=HEIGHT_PX)


def _shapes(points: pd.DataFrame) -> alt.Shape:
    """A shape for each method that is drawn, the order being that of all methods."""
    drawn = set(points["method"]) if len(points) else set()
    names = [method.name for method in METHODS.values() if method.name in drawn]
    scale = alt.Scale(domain=names, range=list(SHAPES[: len(names)]))
    legend = alt.Legend(
        orient="top", direction="vertical", symbolFillColor=GREY, symbolStrokeColor=GREY
    )
    return alt.Shape("method:N", title="Method", scale=scale, legend=legend)


def _filling() -> alt.Fill:
    scale = alt.Scale(domain=list(SHOWN), range=[COLOUR, "transparent"])
    legend = alt.Legend(orient="top", direction="vertical", symbolStrokeColor=COLOUR)
    return alt.Fill("finding:N", title="Difference", scale=scale, legend=legend)


def _tooltip(quantity: Quantity) -> list[alt.Tooltip]:
    return [
        alt.Tooltip("session:N", title="Session"),
        alt.Tooltip("samples:N", title=SAMPLES),
        alt.Tooltip("method:N", title="Method"),
        alt.Tooltip("n:Q", title="Tastings n"),
        alt.Tooltip("noticed:Q", title="Noticed, % of tastings", format=".0f"),
        alt.Tooltip("interval:N", title=INTERVAL),
        alt.Tooltip("step:N", title=f"{quantity.short}, B minus A, g/L"),
        alt.Tooltip("finding:N", title="Difference"),
    ]


def _alt(drawn: Sequence[tuple[Noticed, Estimate, float]], quantity: Quantity) -> str:
    if not drawn:
        return f"No session has a known difference in {quantity.name}."
    shown = [abs(step) for row, _, step in drawn if row.finding.shown]
    hidden = [abs(step) for row, _, step in drawn if not row.finding.shown]
    parts = [
        f"shown in {len(shown)}, from {min(shown):.2f} g/L upwards" if shown else "",
        f"not shown in {len(hidden)}, up to {max(hidden):.2f} g/L" if hidden else "",
    ]
    return (
        f"How often a difference was noticed, against its size in {quantity.name}. "
        f"In {len(drawn)} sessions a difference was {' and '.join(filter(None, parts))}."
    )


def _table(rows: Sequence[Noticed], quantity: Quantity) -> pd.DataFrame:
    """The same numbers, by size of the step; what a phone shows without scrolling comes first."""
    ordered = sorted(rows, key=lambda row: _size(quantity.step(row)))
    lines = [
        {
            "Session": session_name(row),
            f"{quantity.short}, B − A, g/L": signed(quantity.step(row)),
            "Noticed, %": _percent(row.finding.evidence.noticed),
            INTERVAL: _interval(row.finding.evidence.noticed),
            "Difference": _shown(row),
            "d′": _distance(row.finding.evidence.distance),
            "Method": row.finding.tally.method.name,
            "n": row.finding.tally.n,
            SAMPLES: _samples(row),
        }
        for row in ordered
    ]
    return pd.DataFrame(lines)


def _size(step: float | None) -> float:
    return float("inf") if step is None else abs(step)
