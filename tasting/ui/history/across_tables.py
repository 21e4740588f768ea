"""Many sessions together, as sentences, tables and a chart."""

from collections.abc import Sequence

import altair as alt
import numpy as np
import pandas as pd
from scipy import special

from tasting.insight.findings.pooling import Adjusted, Repeated
from tasting.insight.findings.ranking import Preferred
from tasting.insight.findings.words import two_decimals
from tasting.stats.many import FalseAlarms
from tasting.ui.dashboard.noticed_chart import COLOUR, GREY
from tasting.wording import share

OVER = "Preferred to an average one, %"
NONE = "–"


def alarms_sentence(found: FalseAlarms) -> str:
    """What chance alone brings."""
    return (
        f"If none of the differences were real, {found.expected:.1f} of these {found.tests} tests "
        "would still be expected to show one, and at least one with a probability of "
        f"{100 * found.at_least_one:.0f} %."
    )


def adjusted_table(rows: Sequence[Adjusted]) -> pd.DataFrame:
    """The smallest p first."""
    ordered = sorted(rows, key=lambda row: row.p_value)
    return pd.DataFrame(
        {
            "Session": row.session.name,
            "p": _p(row.p_value),
            "Holm": _p(row.holm),
            "Benjamini-Hochberg": _p(row.benjamini_hochberg),
            "Shown at its α": "yes" if row.finding.shown else "no",
            "Still so by Holm": "yes" if row.holm <= row.finding.tally.design.alpha else "no",
        }
        for row in ordered
    )


def repeated_table(groups: Sequence[Repeated]) -> pd.DataFrame:
    """One row for each method that a comparison was made by."""
    return pd.DataFrame(
        {
            "Samples": f"{group.samples[0]} and {group.samples[1]}",
            "Counted": f"{found.correct} of {found.n}",
            "p": _p(found.p_value),
            "p_d": _estimate(
                found.distinguishers.value, found.distinguishers.low, found.distinguishers.high
            ),
            "Sessions agree, p": _p(found.homogeneity_p_value),
            "Method": method.name,
            "Asked for": group.question,
        }
        for group in groups
        for method, found in group.by_method
    )


def _estimate(value: float, low: float, high: float) -> str:
    return f"{share(value)} ({100 * low:.0f} to {100 * high:.0f} %)"


def pooled_sentence(group: Repeated) -> str:
    """One d-prime for all sessions of a comparison."""
    found = group.pooled
    value, low, high = (
        two_decimals(end) for end in (found.value, found.interval.low, found.interval.high)
    )
    agree = (
        "The sessions do not agree with one distance"
        if found.p_value <= 0.05
        else "The sessions were not shown to disagree"
    )
    return (
        f"{group.samples[0]} and {group.samples[1]} ({group.question}), {len(group.sessions)} "
        f"sessions together: d′ = {value} (95 % likelihood interval {low} to {high}). {agree} "
        f"(p = {found.p_value:.3f})."
    )


def preferred_chart(found: Preferred) -> tuple[alt.LayerChart, str, pd.DataFrame]:
    """Each sample's chance of being preferred to an average one, with its 95 % interval."""
    points = pd.DataFrame([_point(found, place) for place in found.worths.ranking])
    y = alt.Y("sample:N", sort=None, axis=None)
    scale = alt.Scale(domain=[0, 100])
    base = alt.Chart(points)
    rules = base.mark_rule(color=COLOUR, opacity=0.6, strokeWidth=2, aria=False).encode(
        y=y, x=alt.X("low:Q", title=OVER, scale=scale), x2="high:Q"
    )
    marks = base.mark_point(stroke=COLOUR, fill=COLOUR, size=90, opacity=1).encode(
        y=y, x=alt.X("over:Q", title=OVER, scale=scale), description="said:N"
    )
    half = (
        alt.Chart(pd.DataFrame({"over": [50.0]}))
        .mark_rule(color=GREY, strokeDash=[4, 3], aria=False)
        .encode(x=alt.X("over:Q", title=OVER, scale=scale))
    )
    # Names stand above their marks: beside them they would take a phone's whole width.
    names = base.mark_text(align="left", dy=-15, fontSize=13, color=GREY, aria=False).encode(
        y=y, x=alt.value(0), text="sample:N"
    )
    chart = alt.LayerChart(layer=[half, rules, marks, names], height=60 + 50 * len(points))
    return chart, _preferred_alt(found), _preferred_table(found)


def _point(found: Preferred, place: int) -> dict[str, object]:
    worth = found.worths.log_worths[place]
    over, low, high = (100 * special.expit(end) for end in (worth.value, worth.low, worth.high))
    name = found.samples[place].name
    said = f"{name}: {over:.0f} % (95 % interval {low:.0f} to {high:.0f} %)"
    return {"sample": name, "over": over, "low": low, "high": high, "said": said}


def _preferred_alt(found: Preferred) -> str:
    names = [found.samples[place].name for place in found.worths.ranking]
    return f"Versions by how often they are preferred, first to last: {'; '.join(names)}."


def _preferred_table(found: Preferred) -> pd.DataFrame:
    points = [_point(found, place) for place in found.worths.ranking]
    return pd.DataFrame(
        {
            "Rank": str(rank),
            "Version": str(point["sample"]),
            OVER: f"{point['over']:.0f}",
            "95 % interval, %": f"{point['low']:.0f} to {point['high']:.0f}",
            "Worth, of 1 in all": f"{found.worths.worths[place]:.2f}",
        }
        for rank, (place, point) in enumerate(
            zip(found.worths.ranking, points, strict=True), start=1
        )
    )


def preferred_sentence(found: Preferred) -> str:
    """The overall test in words."""
    worths = found.worths
    shown = (
        "were shown to be liked unequally"
        if worths.p_value <= 0.05
        else ("were not shown to be liked unequally")
    )
    model = "Bradley and Terry 1952" if worths.tie_weight is None else "Davidson 1970, with ties"
    undecided = f", {found.undecided} of them undecided" if found.undecided else ""
    return (
        f"{len(found.samples)} versions in {found.sessions} sessions, {found.votes} votes"
        f"{undecided}: they {shown} (likelihood ratio {worths.statistic:.1f}, {worths.degrees} "
        f"degrees of freedom, p = {worths.p_value:.4f}; {model})."
    )


def differences_table(found: Preferred) -> pd.DataFrame:
    """Neighbours in the ranking: is the better one really better?"""
    ranking = found.worths.ranking
    rows = []
    for better, other in zip(ranking, ranking[1:], strict=False):
        apart = found.worths.differences[better][other]
        low, value, high = 100 * special.expit(np.array([apart.low, apart.value, apart.high]))
        rows.append(
            {
                "Preferred": found.samples[better].name,
                "To": found.samples[other].name,
                "In % of choices": f"{value:.0f}",
                "95 % interval, %": f"{low:.0f} to {high:.0f}",
                "Shown": "yes" if apart.low > 0 else "no",
            }
        )
    return pd.DataFrame(rows)


def _p(value: float) -> str:
    return f"{value:.4f}" if value >= 0.0001 else "<\N{NO-BREAK SPACE}0.0001"
