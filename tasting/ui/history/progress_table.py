"""From one version to the next: is it closer to the reference? As sentences and a table."""

from collections.abc import Sequence
from os.path import commonprefix

import altair as alt
import pandas as pd

from tasting.insight.advice.question import version_name
from tasting.insight.findings.progress import Against, VersionProgress
from tasting.stats.agreed_distance import Comparison
from tasting.ui.dashboard.noticed_chart import COLOUR
from tasting.wording import decimals, interval, p_value

_TOP = 5.0
# A distance at which nearly every triangle test is right; what lies beyond is drawn there.
_DISTANCE = "Sensory distance d′"
INDEPENDENT = "answers taken as independent"
# Columns of closed sessions tell who is the same in one session, not in several.


def step_sentence(step: VersionProgress) -> str:
    """Both distances with the sessions they rest on, how they differ, and whether it was shown."""
    before, after = step.earlier, step.later
    said = f"From {after.reference.name} ({after.question}): {_of(before)}, then {_of(after)}."
    if step.comparison is None:
        return f"{said} All answers were correct, so neither distance can be measured."
    return f"{said} The later version {_claim(step, step.comparison)}"


def _of(one: Against) -> str:
    sessions = len(one.sessions)
    said = f"d′ = {decimals(one.distance.value, 2)} for {one.version.name}"
    if sessions == 1:
        return said
    p = p_value(one.distance.p_value)
    agree = f"which disagree, p {p}" if one.distance.disagree else f"not shown to disagree, p {p}"
    return f"{said} ({sessions} sessions together, {agree}; {INDEPENDENT})"


def _claim(step: VersionProgress, found: Comparison) -> str:
    ends = found.difference, found.interval.low, found.interval.high
    if not step.shown:
        claim = "was not shown to be closer or farther: difference in d′"
    elif found.interval.low > 0:
        claim = "was shown to be closer, by"
    else:
        claim, ends = "was shown to be farther, by", (-ends[0], -ends[2], -ends[1])
    value, low, high = ends
    ends_said = f"95 % interval {interval(low, high, 2)}; {INDEPENDENT}"
    return f"{claim} {decimals(value, 2)} ({ends_said})."


def latest_sentence(found: Sequence[VersionProgress]) -> str:
    """What is shown of the version that was tasted last and the one before it, then how far both
    are from their reference."""
    step = max(found, key=lambda step: step.later.sessions[-1].closed_at)
    later, earlier = step.later, step.earlier
    after, before = map(version_name, _names([later, earlier]))
    return (
        f"{_headline(step, after, before)} Distance from {later.reference.name}: "
        f"{after} d′ {_estimate(later)}, {before} {_estimate(earlier)}."
    )


def _headline(step: VersionProgress, after: str, before: str) -> str:
    """Closer, farther, or not shown."""
    if not step.shown or step.comparison is None:
        return f"Not shown that {after} is closer than {before}."
    closer = "closer" if step.comparison.interval.low > 0 else "farther away"
    return f"Shown: {after} is {closer} than {before}."


def _names(shown: Sequence[Against]) -> list[str]:
    """The versions without the name of the formula, where it is the same for all of them."""
    names = [one.version.name for one in shown]
    formula, comma, _ = commonprefix(names).rpartition(", ")
    return [name.removeprefix(formula + comma) for name in names]


def _estimate(one: Against) -> str:
    ends = one.distance.interval
    how = f"; {INDEPENDENT}" if len(one.sessions) > 1 else ""
    return f"{decimals(one.distance.value, 2)} ({interval(ends.low, ends.high, 2)}{how})"


def steps_chart(found: Sequence[VersionProgress]) -> tuple[alt.LayerChart, str]:
    """Distance from the reference by version, in the order of first tasting, with its interval.

    found: the steps towards one reference; the text says the same
    """
    shown = list({_key(one): one for one in _both(found)}.values())
    rows = [_point(one, name) for one, name in zip(shown, _names(shown), strict=True)]
    x = alt.X("version:N", title="Version", sort=None, axis=alt.Axis(labelAngle=0, labelLimit=150))
    scale = alt.Scale(domain=[0, _TOP])
    base = alt.Chart(pd.DataFrame(rows)).encode(x=x)
    rules = base.mark_rule(color=COLOUR, strokeWidth=2, aria=False).encode(
        y=alt.Y("low:Q", title=_DISTANCE, scale=scale), y2="high:Q"
    )
    marks = base.mark_point(color=COLOUR, filled=True, size=90, opacity=1).encode(
        y=alt.Y("value:Q", title=_DISTANCE, scale=scale), description="said:N"
    )
    text = "; ".join(str(row["said"]) for row in rows)
    chart = alt.LayerChart(layer=[rules, marks], height=260)
    return chart, f"Sensory distance d′ from the reference with 95 % intervals: {text}."


def _key(one: Against) -> tuple[str, str, str]:
    return one.version.id, one.question, one.reference.id


def _point(one: Against, name: str) -> dict[str, object]:
    ends = one.distance.interval
    return {
        "version": name,
        "value": min(one.distance.value, _TOP),
        "low": min(ends.low, _TOP),
        "high": min(ends.high, _TOP),
        "said": f"{name} {_estimate(one)}",
    }


def by_reference(found: Sequence[VersionProgress]) -> list[list[VersionProgress]]:
    """The steps apart by reference and question."""
    groups: dict[tuple[str, str], list[VersionProgress]] = {}
    for step in found:
        groups.setdefault((step.later.reference.id, step.later.question), []).append(step)
    return list(groups.values())


def steps_table(found: Sequence[VersionProgress]) -> pd.DataFrame:
    """One row for each session that was used, the earlier version first."""
    versions = {_key(one): one for one in _both(found)}
    return pd.DataFrame(
        {
            "Version": one.version.name,
            "Reference": one.reference.name,
            "d′": decimals(score.d_prime, 2),
            "Correct": f"{score.correct} of {score.n}",
            "Method": session.tally.method.name,
            "Session": session.name,
        }
        for one in versions.values()
        for session, score in zip(one.sessions, one.scores, strict=True)
    )


def _both(found: Sequence[VersionProgress]) -> list[Against]:
    return [one for step in found for one in (step.earlier, step.later)]
