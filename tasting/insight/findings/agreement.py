"""Where a headline and the 95 % interval beside it seem to disagree, one sentence says why not."""

from math import floor

from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import Verdict
from tasting.stats.results import Estimate
from tasting.wording import percent, share


def agreement(tally: Tally, verdict: Verdict, estimate: Estimate, least: float | None) -> str:
    """Why a difference is shown though the interval begins at 0, or not shown though it does not.

    estimate: share who notice, or lead, with its two-sided 95 % interval
    least: its lower limit, one-sided at the planned α; None where no such limit goes with the test
    """
    alpha = f"α = {tally.design.alpha:g}"
    if verdict.difference and percent(estimate.low) == percent(0):
        if estimate.low > 0:
            return "The interval's lower end is just above 0."
        if tally.design.sides == 2:
            return f"The interval is at 95 %; the plan allowed {alpha}."
        if least is None:
            return f"The test asks at {alpha} whether anyone notices; the interval, how many do."
        at_least = share(floor(1000 * least) / 1000) if least >= 0.001 else "more than 0 %"
        return f"One-sided at {alpha} the limit is {at_least}; the interval is two-sided."
    if not verdict.difference and estimate.low > 0:
        why = (
            "the test had not decided" if tally.design.sequential else f"the plan asked for {alpha}"
        )
        return f"The interval excludes 0, but {why}."
    return ""


def above_limit(tally: Tally, estimate: Estimate) -> str:
    """Why similarity is shown though the interval reaches beyond the planned share."""
    if estimate.high < tally.design.p_d:
        return ""
    return (
        f"The 95 % interval ends at {percent(estimate.high)}, not below "
        f"{percent(tally.design.p_d)}: the claim rests on β = {tally.design.beta:g}."
    )
