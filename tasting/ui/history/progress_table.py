"""From one version to the next: is it closer to the reference? As sentences and a table."""

from collections.abc import Sequence

import pandas as pd

from tasting.insight.findings.progress import VersionProgress
from tasting.stats.dprime import Comparison
from tasting.wording import decimals, interval


def step_sentence(step: VersionProgress) -> str:
    """Both distances, how they differ, and whether that was shown."""
    before, after = step.earlier, step.later
    first, second = (decimals(one.score.d_prime, 2) for one in (before, after))
    said = (
        f"From {after.reference.name} ({after.question}): d′ = {first} for "
        f"{before.version.name}, then {second} for {after.version.name}."
    )
    if step.comparison is None:
        return f"{said} All answers were right in both sessions, so neither can be measured."
    return f"{said} The later version {_claim(step, step.comparison)}"


def _claim(step: VersionProgress, found: Comparison) -> str:
    ends = found.difference, found.interval.low, found.interval.high
    if not step.shown:
        claim = "was not shown to be closer or farther: closer by"
    elif found.interval.low > 0:
        claim = "was shown to be closer, by"
    else:
        claim, ends = "was shown to be farther, by", (-ends[0], -ends[2], -ends[1])
    value, low, high = ends
    shown = interval(low, high, 2)
    return f"{claim} {decimals(value, 2)} (95 % likelihood interval {shown})."


def steps_table(found: Sequence[VersionProgress]) -> pd.DataFrame:
    """One row for each session, the earlier version first."""
    rows = {one.session.id: one for step in found for one in (step.earlier, step.later)}
    return pd.DataFrame(
        {
            "Version": one.version.name,
            "Reference": one.reference.name,
            "d′": decimals(one.score.d_prime, 2),
            "Correct": f"{one.score.correct} of {one.score.n}",
            "Method": one.session.plan.procedure.name,
            "Session": one.session.name,
        }
        for one in rows.values()
    )
