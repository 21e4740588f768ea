"""An assessor's record as a sentence, a chart and a table."""

from collections.abc import Sequence

import altair as alt
import pandas as pd

from tasting.insight.findings.assessor_record import AssessorRecord, Period
from tasting.store.assessors import LeftOut
from tasting.ui.dashboard.noticed_chart import COLOUR, GREY
from tasting.wording import UNKNOWN, day, decimals, interval

_TOP = 5.0
# A distance at which nearly every triangle test is right; what lies beyond is drawn there.
_DATE, _DISTANCE = "Last session of the period", "Sensory distance d′"


def record_sentence(name: str, found: AssessorRecord) -> str:
    """What was tasted, and right answers beside what guessing gives."""
    said = f"{name}: {_count(found.sessions, 'session')}, {_count(found.tastings, 'tasting')}."
    if not found.n:
        return f"{said} None of them had a correct answer to guess."
    low, high = found.guessing
    return (
        f"{said} {found.correct} of {found.n} correct; guessing gives "
        f"{decimals(found.expected, 1)} on average and {low}–{high} in 95 % of cases."
    )


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"


def record_chart(name: str, periods: Sequence[Period]) -> tuple[alt.LayerChart, str, pd.DataFrame]:
    """d′ of each period with its 95 % interval, and that of the others in the same sessions."""
    points = pd.DataFrame([_point(period) for period in periods])
    days = alt.Axis(tickCount="month", labelOverlap=True)
    x = alt.X("at:T", title=_DATE, axis=days, scale=alt.Scale(padding=20))
    scale = alt.Scale(domain=[0, _TOP])
    base = alt.Chart(points).encode(x=x)
    rules = base.mark_rule(color=COLOUR, strokeWidth=2, aria=False).encode(
        y=alt.Y("low:Q", title=_DISTANCE, scale=scale), y2="high:Q"
    )
    own = base.mark_point(color=COLOUR, filled=True, size=90, opacity=1).encode(
        y=alt.Y("own:Q", title=_DISTANCE, scale=scale), description="said:N"
    )
    others = base.mark_tick(color=GREY, thickness=3, size=24, aria=False).encode(
        y=alt.Y("others:Q", title=_DISTANCE, scale=scale)
    )
    return (
        alt.LayerChart(layer=[rules, others, own], height=240),
        _alt(name, periods),
        _record_table(periods),
    )


def _point(period: Period) -> dict[str, object]:
    found = period.own
    return {
        "at": period.last,
        "own": min(found.value, _TOP),
        "low": min(found.interval.low, _TOP),
        "high": min(found.interval.high, _TOP),
        "others": None if period.others is None else min(period.others.value, _TOP),
        "said": f"{day(period.last)}: d′ {_estimate(period)}",
    }


def _estimate(period: Period) -> str:
    ends = period.own.interval
    return f"{decimals(period.own.value, 2)} ({interval(ends.low, ends.high, 2)})"


def _alt(name: str, periods: Sequence[Period]) -> str:
    told = "; ".join(
        f"until {day(period.last)} {_estimate(period)}, the others {_others(period)}"
        for period in periods
    )
    return f"Sensory distance d′ of {name} over time with 95 % intervals: {told}."


def _others(period: Period) -> str:
    return UNKNOWN if period.others is None else decimals(period.others.value, 2)


def _record_table(periods: Sequence[Period]) -> pd.DataFrame:
    """One row for each period, oldest first."""
    return pd.DataFrame(
        {
            "Sessions closed": _from_to(period),
            "Sessions": str(period.sessions),
            "Correct": f"{period.correct} of {period.n}",
            "d′ (95 % interval)": _estimate(period),
            "d′ of the others there": _others(period),
        }
        for period in periods
    )


def _from_to(period: Period) -> str:
    first, last = day(period.first), day(period.last)
    return first if first == last else f"{first} – {last}"


def left_out_table(found: Sequence[LeftOut]) -> pd.DataFrame:
    """One row for each session in which the answers are left out."""
    return pd.DataFrame(
        {"Date": day(one.closed_at), "Session": one.session, "Left out because": one.reason}
        for one in found
    )


def beyond(periods: Sequence[Period]) -> bool:
    """Whether a period reaches beyond the top of the chart."""
    return any(max(period.own.interval.high, period.own.value) > _TOP for period in periods)
