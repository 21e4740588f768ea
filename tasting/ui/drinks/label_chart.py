"""A version against the label of a reference: data in; chart, alt text and table out."""

from collections.abc import Sequence

import altair as alt
import pandas as pd

from tasting.drink import words
from tasting.drink.label import Match
from tasting.ui.drinks.tables import matches_table

COLOUR, BAND = "#3b7dbf", "#808080"
_ROW_PX = 30


def label_bands(
    found: Sequence[Match], version: str, reference: str
) -> tuple[alt.VConcatChart, str, pd.DataFrame]:
    """One strip for each value of the label: its bands, and the version with its likely interval.

    The dark band holds all values that print as the label does, the pale one what the tolerance
    allows. Show the chart with width="stretch".
    """
    chart = alt.vconcat(*[_strip(match) for match in found], spacing=10).properties(
        autosize=alt.AutoSizeParams(type="fit-x", contains="padding")
    )
    return chart, _alt(found, version, reference), matches_table(tuple(found))


def _strip(match: Match) -> alt.LayerChart:
    title = words.value_name(match)
    x = alt.X("low:Q", title=title, scale=alt.Scale(zero=False, nice=True), axis=_below())
    x2 = alt.X2("high:Q", title=title)
    layers = [
        _bar(match.rounding.low, match.rounding.high, 20, 0.75).encode(x=x, x2=x2),
        alt.Chart(_span(match.likely.low, match.likely.high))
        .mark_rule(strokeWidth=3, color=COLOUR)
        .encode(x=x, x2=x2),
    ]
    if match.computed is not None:
        point = alt.Chart(_span(match.computed, match.computed))
        layers.append(point.mark_point(filled=True, size=90, opacity=1, color=COLOUR).encode(x=x))
    if match.tolerance:
        pale = _bar(match.tolerance.low, match.tolerance.high, 28, 0.3)
        layers.insert(0, pale.encode(x=x, x2=x2))
    verdict = f"{words.LABELLED[match.figure]}: {words.verdict(match)}"
    heading = alt.TitleParams(verdict, anchor="start", fontSize=13, fontWeight="normal", offset=4)
    return alt.LayerChart(layer=layers, height=_ROW_PX, title=heading)


def _below() -> alt.Axis:
    return alt.Axis(tickCount=5, titlePadding=2)


def _bar(low: float, high: float, thick: int, opacity: float) -> alt.Chart:
    chart: alt.Chart = alt.Chart(_span(low, high)).mark_bar(size=thick, color=BAND, opacity=opacity)
    return chart


def _span(low: float, high: float) -> pd.DataFrame:
    return pd.DataFrame({"low": [low], "high": [high]})


def _alt(found: Sequence[Match], version: str, reference: str) -> str:
    """One sentence with all verdicts."""
    said = [f"{words.LABELLED[match.figure]} {words.verdict(match)}" for match in found]
    return f"{version} against the label of {reference}: {'; '.join(said)}."
