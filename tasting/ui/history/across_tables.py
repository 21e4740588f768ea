"""Many sessions together, as sentences, tables and a chart."""

from collections.abc import Sequence

import altair as alt
import pandas as pd
from scipy import special

from tasting.insight.findings.pooling import Adjusted, Repeated
from tasting.insight.findings.ranking import Preferred
from tasting.stats.agreed_distance import AgreedDistance
from tasting.stats.many import FalseAlarms
from tasting.stats.results import Estimate
from tasting.ui.dashboard.noticed_chart import COLOUR, GREY
from tasting.ui.history.progress_table import INDEPENDENT
from tasting.wording import decimals, interval, p_cell, p_value, percent, percents, share

_OVER = "Preferred to an average one, %"


def alarms_sentence(found: FalseAlarms) -> str:
    """What chance alone brings."""
    return (
        f"If none of the differences were real, {decimals(found.expected, 1)} of these "
        f"{found.tests} tests would still be expected to show one, and at least one with a "
        f"probability of {percent(found.at_least_one)}."
    )


def adjusted_table(rows: Sequence[Adjusted]) -> pd.DataFrame:
    """The smallest p first."""
    ordered = sorted(rows, key=lambda row: row.p_value)
    return pd.DataFrame(
        {
            "Session": row.session.name,
            "p": p_cell(row.p_value),
            "Holm": p_cell(row.holm),
            "Benjamini-Hochberg": p_cell(row.benjamini_hochberg),
            "Shown at its α": "yes" if row.shown else "no",
            "Shown after Holm": "yes" if row.holm <= row.session.tally.design.alpha else "no",
        }
        for row in ordered
    )


def repeated_table(groups: Sequence[Repeated]) -> pd.DataFrame:
    """One row for each method that a comparison was made by."""
    return pd.DataFrame(
        {
            "Samples": f"{group.samples[0]} and {group.samples[1]}",
            "Counted": f"{found.correct} of {found.n}",
            "p": p_cell(found.p_value),
            "p_d": _estimate(found.distinguishers),
            "Method": method.name,
            "Asked for": group.question,
        }
        for group in groups
        for method, found in group.by_method
    )


def _estimate(found: Estimate) -> str:
    return f"{share(found.value)} ({percents(found.low, found.high)})"


def pooled_sentence(group: Repeated) -> str:
    """One d-prime for all sessions of a comparison."""
    found = group.pooled
    value, ends = decimals(found.value, 2), interval(found.interval.low, found.interval.high, 2)
    return (
        f"{group.samples[0]} and {group.samples[1]} ({group.question}), {len(group.sessions)} "
        f"sessions together: d′ = {value} (95 % interval {ends}; {INDEPENDENT}). "
        f"{_agreement(found)}"
    )


def _agreement(found: AgreedDistance) -> str:
    """Whether sessions agree, by one test, and what the interval then stands for."""
    p = f"p {p_value(found.p_value)}"
    if found.disagree:
        return (
            f"The sessions disagree ({p}): this is the mean of sessions that differ, and its "
            "interval allows for that."
        )
    told = f"The sessions were not shown to disagree ({p})"
    if found.spread_allowed:
        return f"{told}, but they may: the interval allows for that."
    return f"{told}."


def preferred_chart(found: Preferred) -> tuple[alt.LayerChart, str, pd.DataFrame]:
    """Each sample's chance of being preferred to an average one, with its 95 % interval."""
    points = pd.DataFrame([_point(found, place) for place in found.worths.ranking])
    y = alt.Y("sample:N", sort=None, axis=None)
    scale = alt.Scale(domain=[0, 100])
    base = alt.Chart(points)
    rules = base.mark_rule(color=COLOUR, opacity=0.6, strokeWidth=2, aria=False).encode(
        y=y, x=alt.X("low:Q", title=_OVER, scale=scale), x2="high:Q"
    )
    marks = base.mark_point(stroke=COLOUR, fill=COLOUR, size=90, opacity=1).encode(
        y=y, x=alt.X("over:Q", title=_OVER, scale=scale), description="said:N"
    )
    half = (
        alt.Chart(pd.DataFrame({"over": [50.0]}))
        .mark_rule(color=GREY, strokeDash=[4, 3], aria=False)
        .encode(x=alt.X("over:Q", title=_OVER, scale=scale))
    )
    # Names stand above their marks: beside them they would take a phone's whole width.
    names = base.mark_text(align="left", dy=-15, fontSize=13, color=GREY, aria=False).encode(
        y=y, x=alt.value(0), text="sample:N"
    )
    chart = alt.LayerChart(layer=[half, rules, marks, names], height=60 + 50 * len(points))
    return chart, _preferred_alt(found), _preferred_table(found)


def _point(found: Preferred, place: int) -> dict[str, object]:
    name = found.samples[place].name
    part = found.worths.log_worths[place].through(special.expit)  # logarithms of odds
    return {
        "sample": name,
        "over": 100 * part.value,
        "low": 100 * part.low,
        "high": 100 * part.high,
        "said": f"{name}: {percent(part.value)} (95 % interval {percents(part.low, part.high)})",
    }


def _share_cells(odds: Estimate) -> tuple[str, str]:
    part = odds.through(special.expit)
    return decimals(100 * part.value, 0), interval(100 * part.low, 100 * part.high, 0)


def _preferred_alt(found: Preferred) -> str:
    names = [found.samples[place].name for place in found.worths.ranking]
    return f"Versions by how often they are preferred, first to last: {'; '.join(names)}."


def _preferred_table(found: Preferred) -> pd.DataFrame:
    rows = []
    for rank, place in enumerate(found.worths.ranking, start=1):
        over, ends = _share_cells(found.worths.log_worths[place])
        worth = decimals(found.worths.worths[place], 2)
        rows.append((str(rank), found.samples[place].name, over, ends, worth))
    names = ["Rank", "Version", _OVER, "95 % interval, %", "Worth, 1 in all"]
    return pd.DataFrame(rows, columns=names)


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
        f"degrees of freedom, p {p_value(worths.p_value)}; {model})."
    )


def differences_table(found: Preferred) -> pd.DataFrame:
    """Neighbours in the ranking: is the better one really better?"""
    ranking = found.worths.ranking
    rows = []
    for better, other in zip(ranking, ranking[1:], strict=False):
        apart = found.worths.difference(better, other)
        names = found.samples[better].name, found.samples[other].name
        rows.append((*names, *_share_cells(apart), "yes" if apart.low > 0 else "no"))
    titles = ["Preferred", "To", "In % of choices", "95 % interval, %", "Shown"]
    return pd.DataFrame(rows, columns=titles)
