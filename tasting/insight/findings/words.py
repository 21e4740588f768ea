"""Sentences that several kinds of question say alike. None may ever call two samples the same."""

from math import ceil

from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import Verdict
from tasting.stats.replicates import Replicates
from tasting.stats.results import Estimate
from tasting.stats.tables import CriticalNumber
from tasting.wording import decimals, interval, p_value, percent, percents, share

SIDES = {1: "one-sided", 2: "two-sided"}
WHOLE = "tested by assessor, not by answer"


def headline(tally: Tally, verdict: Verdict) -> str:
    """A finding on a difference or a direction in one line; similarity names its risk."""
    if verdict is Verdict.SMALL:
        return f"{_shown(tally)} (α = {tally.design.alpha:g}), but {_few(tally)}: small but real"
    if verdict is Verdict.SIMILARITY:
        return f"Similarity was shown: {_few(tally)}"
    if verdict.difference:
        return _shown(tally)
    return _unshown(tally)


def _few(tally: Tally) -> str:
    """Similarity with the risk that it is wrong; of a direction, what it leaves out."""
    risk = f"at a risk of β = {tally.design.beta:g}"
    most = f"fewer than {percent(tally.design.p_d)}"
    if not tally.attribute:
        return f"{most} notice a difference between {tally.a} and {tally.b}, {risk}"
    chosen, other = tally.favoured
    return f"{most} find {chosen} {tally.attribute} than {other} beyond guessing, {risk}"


def _shown(tally: Tally) -> str:
    if not tally.attribute:
        return f"A difference was shown between {tally.a} and {tally.b}"
    chosen, other = tally.favoured
    return f"{chosen} was found {tally.attribute} than {other}"


def _unshown(tally: Tally) -> str:
    if not tally.attribute:
        return f"{tally.a} and {tally.b} were not shown to differ"
    if tally.design.expected:
        chosen, other = tally.favoured
        return f"{chosen} was not shown to be {tally.attribute} than {other}"
    return f"Neither {tally.a} nor {tally.b} was shown to be {tally.attribute}"


def noticed_by_asking(tally: Tally, verdict: Verdict) -> str:
    """The narrower claim: people notice something, but may disagree on its direction."""
    said = (
        f"A difference was shown between {tally.a} and {tally.b} when asked which is "
        f"{tally.attribute}, but no common direction"
    )
    return f"{said}; {_few(tally)}" if verdict.similarity else said


def exact_test(tally: Tally, counts: str, needed: str, p: float) -> str:
    """The counts and their exact test."""
    return f"{counts}; {needed}; {SIDES[tally.design.sides]} p {p_value(p)}."


def needed(tally: Tally, critical: CriticalNumber) -> str:
    """The number that shows a difference; where it stands in print is one of the numbers."""
    alpha = f"(α = {tally.design.alpha:g}, n = {tally.n})"
    if critical.value > tally.n:
        return f"no score could show a difference {alpha}"
    return f"{critical.value} needed {alpha}"


def chosen_in(tally: Tally, verb: str, of: str) -> str:
    """How often a sample was chosen: the expected one, or else the one chosen more often."""
    if tally.design.sides == 2 and 2 * tally.count == tally.n:
        return f"{tally.a} and {tally.b} were each {verb} in {tally.count} of {tally.n} {of}"
    chosen, _ = tally.favoured
    count = tally.count if tally.design.sides == 1 else tally.extreme
    return f"{chosen} was {verb} in {count} of {tally.n} {of}"


def noticed(tally: Tally, estimate: Estimate) -> str:
    """How many notice the difference; of a direction, how far one sample leads."""
    if tally.design.sides == 2:
        return lead(tally, estimate)
    if tally.attribute:
        chosen, other = tally.favoured
        return (
            f"About {percent(estimate.value)} find {chosen} {tally.attribute} ({_ends(estimate)})."
        )
    return f"About {percent(estimate.value)} notice the difference ({_ends(estimate)})."


def lead(tally: Tally, estimate: Estimate, of: str = "tastings") -> str:
    """How far the sample that was chosen more often leads."""
    who = "" if 2 * tally.count == tally.n else f" of {tally.favoured[0]}"
    return f"Lead{who}: {percent(estimate.value)} of {of} ({_ends(estimate)})."


def _ends(estimate: Estimate) -> str:
    return f"95 % interval {percents(estimate.low, estimate.high)}"


def distance(
    tally: Tally, estimate: Estimate, kind: str = "exact", what: str = "Sensory distance"
) -> str:
    """The distance; two-sided, it is counted towards the sample that was chosen more often."""
    ends = (estimate.value, estimate.low, estimate.high)
    towards = ""
    if tally.design.sides == 2 and 2 * tally.count != tally.n:
        chosen, _ = tally.favoured
        towards = f", counted towards {chosen}"
        ends = ends if chosen == tally.b else (-ends[0], -ends[2], -ends[1])
    value, span = decimals(ends[0], 2), interval(ends[1], ends[2], 2)
    return f"{what} d′ = {value}{towards} (95 % {kind} interval {span})."


def left_open(estimate: Estimate | None = None) -> str:
    """What is not shown, and what stays possible: the upper end of the interval beside it."""
    said = "That is not evidence of no difference"
    if estimate is None:
        return f"{said}."
    return f"{said}: one noticed by up to {percent(estimate.high)} could have been missed."


def similarity(tally: Tally, upper_limit: float, why: str) -> str:
    """How few notice at the planned β; why that is shown though the interval reaches beyond."""
    design, most = tally.design, ceil(1000 * upper_limit) / 1000  # it is never rounded down
    said = (
        f"At a risk of β = {design.beta:g} at most {share(most)} notice, fewer than the planned "
        f"{percent(design.p_d)}."
    )
    return f"{said} {why}".strip()


def spread(replicates: Replicates | None) -> str:
    """How much the assessors differ; empty without replicates."""
    if replicates is None:
        return ""
    value, ends = (
        decimals(replicates.gamma.value, 2),
        interval(replicates.gamma.low, replicates.gamma.high, 2),
    )
    return (
        f"Variation between assessors: γ = {value} (0 = alike, 1 = all or nothing; 95 % interval "
        f"{ends})."
    )


def low_score(tally: Tally, tail: float) -> str:
    """A score so far below guessing that something else than taste may be behind it."""
    chosen, other = tally.favoured
    if not tally.attribute:
        return (
            f"Fewer correct than guessing gives (P {p_value(tail)}): check the serving key and "
            "the cups."
        )
    if tally.method.chance == 0.5:
        return (
            f"The opposite direction was chosen: {other} was called {tally.attribute} in "
            f"{tally.n - tally.count} of {tally.n} tastings (P {p_value(tail)}). Check the serving "
            "key and the cups."
        )
    return (
        f"{chosen} was chosen less often than guessing gives (P {p_value(tail)}): the opposite "
        "direction, or mixed-up cups. Check the serving key and the cups."
    )
