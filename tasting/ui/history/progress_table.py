"""From one version to the next: is it closer to the reference? As sentences and a table."""

from collections.abc import Sequence

import pandas as pd

from tasting.insight.findings.progress import Against, VersionProgress
from tasting.stats.agreed_distance import Comparison
from tasting.wording import decimals, interval, p_value


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
    return f"{said} ({sessions} sessions together, {agree})"


def _claim(step: VersionProgress, found: Comparison) -> str:
    ends = found.difference, found.interval.low, found.interval.high
    if not step.shown:
        claim = "was not shown to be closer or farther: closer by"
    elif found.interval.low > 0:
        claim = "was shown to be closer, by"
    else:
        claim, ends = "was shown to be farther, by", (-ends[0], -ends[2], -ends[1])
    value, low, high = ends
    return f"{claim} {decimals(value, 2)} (95 % likelihood interval {interval(low, high, 2)})."


def steps_table(found: Sequence[VersionProgress]) -> pd.DataFrame:
    """One row for each session that was used, the earlier version first."""
    versions = {(one.version.id, one.question, one.reference.id): one for one in _both(found)}
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
