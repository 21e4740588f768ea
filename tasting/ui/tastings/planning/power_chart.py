"""Chart of what a number of tastings can show: numbers in; chart, text and table out."""

from dataclasses import dataclass, replace

import altair as alt
import numpy as np
import pandas as pd

from tasting.panel import sizing
from tasting.panel.design import TestDesign
from tasting.panel.methods import Method
from tasting.stats import sequential
from tasting.stats.binomial import lower_tail
from tasting.stats.checks import Floats
from tasting.stats.power import power_curve
from tasting.stats.similarity import largest_similar
from tasting.ui.dashboard.palette import COLOUR, GREY
from tasting.wording import percent, short, thousands

_HEIGHT_PX = 300
_SHARES = np.linspace(0, 1, 101)
_DISTANCES = np.linspace(0, 4, 81)


@dataclass(frozen=True, slots=True)
class PowerCurve:
    """Probability of showing what is aimed at, in per cent, against the true difference.

    planned: the difference that matters; every: the table has each so-manieth point
    """

    x: Floats
    shown: Floats
    x_title: str
    y_title: str
    planned: float
    every: int


def curve_of(design: TestDesign, tastings: int) -> PowerCurve:
    """The curve of so many tastings."""
    if not design.has_chance:
        return _by_distance(design, tastings)
    if design.sequential:
        test = design.wald_test
        chances = [sequential.chance_of_decision(test, tastings, p)[0] for p in _SHARES[::5]]
        return _by_share(design, np.array(chances), "Difference shown, % of sessions", 5)
    if design.aim == "similarity":
        return _by_share(design, _similar(design, tastings), "Similarity shown, % of sessions", 1)
    shown = power_curve(tastings, design.chance, _SHARES, design.alpha, design.sides)
    return _by_share(design, shown, "Power: difference shown, % of sessions", 1)


def _by_share(design: TestDesign, shown: Floats, y_title: str, step: int) -> PowerCurve:
    measures = design.method.measures_distance
    x_title = "True share who notice, p_d, %" if measures else "True lead, % of answers"
    return PowerCurve(
        100 * _SHARES[::step], 100 * shown, x_title, y_title, 100 * design.p_d, 10 // step
    )


def _similar(design: TestDesign, tastings: int) -> Floats:
    """Scores from chance up to the largest that shows similarity."""
    chance = design.chance
    largest = largest_similar(tastings, chance, design.p_d, design.beta)
    below = int(np.ceil(tastings * chance * (1 - 1e-12))) - 1
    p_c = chance + (1 - chance) * _SHARES
    up_to = [lower_tail(np.array(x), np.int64(tastings), p_c) for x in (largest, below)]
    return np.maximum(0.0, up_to[0] - up_to[1])


def _by_distance(design: TestDesign, tastings: int) -> PowerCurve:
    at = [replace(design, d_prime=max(float(d_prime), 1e-6)) for d_prime in _DISTANCES]
    shown = np.array([sizing.power_of(one, tastings) for one in at])
    title = "Power: difference shown, % of sessions"
    planned = design.d_prime or 0.0
    return PowerCurve(_DISTANCES, 100 * shown, "True sensory distance d′", title, planned, 10)


def power_chart(curve: PowerCurve) -> tuple[alt.LayerChart, str, pd.DataFrame]:
    """The curve with a mark at the difference that was planned for."""
    points = pd.DataFrame({"x": curve.x, "shown": curve.shown})
    x = alt.X("x:Q", title=curve.x_title)
    y = alt.Y("shown:Q", title=curve.y_title, scale=alt.Scale(domain=[0, 100]))
    line = alt.Chart(points).mark_line(color=COLOUR, strokeWidth=2.5).encode(x=x, y=y)
    at = float(np.interp(curve.planned, curve.x, curve.shown))
    mark = pd.DataFrame(
        {"x": [curve.planned], "shown": [at], "said": [f"planned: {percent(at / 100)}"]}
    )
    base = alt.Chart(mark)
    rule = base.mark_rule(color=GREY, strokeDash=[4, 3]).encode(x=x)
    point = base.mark_point(
        stroke=COLOUR, fill="white", strokeWidth=2.5, size=110, opacity=1
    ).encode(x=x, y=y)
    left = curve.planned > 0.6 * curve.x[-1]
    label = base.mark_text(
        align="right" if left else "left",
        dx=-12 if left else 12,
        dy=14,
        fontSize=13,
        color=COLOUR,
    ).encode(x=x, y=y, text="said:N")
    chart = alt.LayerChart(layer=[rule, line, point, label], height=_HEIGHT_PX)
    return chart, _alt(curve, at), _table(curve)


def _alt(curve: PowerCurve, at: float) -> str:
    return (
        f"{curve.y_title}, against {curve.x_title[0].lower()}{curve.x_title[1:]}: "
        f"{percent(curve.shown[0] / 100)} at {curve.x[0]:.0f}, {percent(at / 100)} at the planned "
        f"{short(curve.planned, 3)}, {percent(curve.shown[-1] / 100)} at {curve.x[-1]:.0f}."
    )


def _table(curve: PowerCurve) -> pd.DataFrame:
    return pd.DataFrame(
        {
            curve.x_title: [f"{x:.3g}" for x in curve.x[:: curve.every]],
            curve.y_title: [f"{shown:.1f}" for shown in curve.shown[:: curve.every]],
        }
    )


def needs_table(method: Method, needs: tuple[sizing.Need, ...]) -> pd.DataFrame:
    """All methods beside each other, the chosen one marked by words."""
    return pd.DataFrame(
        [
            {
                "Method": need.method.name + (" (chosen)" if need.method.key == method.key else ""),
                "mL": thousands(need.ml),
                "Cups": thousands(need.cups),
                "Tastings": thousands(need.tastings),
            }
            for need in needs
        ]
    )
