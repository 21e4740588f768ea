"""Sentences that several kinds of question say alike. None may ever call two samples the same."""

from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import Verdict
from tasting.stats.replicates import Replicates
from tasting.stats.results import Estimate
from tasting.stats.tables import CriticalNumber
from tasting.wording import decimals, p_value, percent

SIDES = {1: "one-sided", 2: "two-sided"}
RUN_AGAIN = "Next: run it again with all the tastings that were planned."
SMALLER_P_D = "Next: if a smaller difference matters, plan a session with a smaller p_d."


def headline(tally: Tally, verdict: Verdict) -> str:
    """A finding on a difference or a direction in one line."""
    if verdict is Verdict.SMALL:
        return (
            f"A difference between {tally.a} and {tally.b} was shown, and that fewer than "
            f"{percent(tally.design.p_d)} notice it: small but real"
        )
    if verdict is Verdict.SIMILARITY:
        return (
            f"Similarity was shown: fewer than {percent(tally.design.p_d)} notice a difference "
            f"between {tally.a} and {tally.b}"
        )
    return _directed(tally, verdict) if tally.attribute else _different(tally, verdict)


def _different(tally: Tally, verdict: Verdict) -> str:
    if verdict.difference:
        return f"A difference was shown between {tally.a} and {tally.b}"
    return f"{tally.a} and {tally.b} were not shown to differ"


def _directed(tally: Tally, verdict: Verdict) -> str:
    chosen, other = tally.favoured
    if verdict.difference:
        return f"{chosen} was found {tally.attribute} than {other}"
    if tally.design.expected:
        return f"{chosen} was not shown to be {tally.attribute} than {other}"
    return f"Neither {tally.a} nor {tally.b} was shown to be {tally.attribute}"


def exact_test(tally: Tally, counts: str, needed: str, p: float) -> str:
    """The counts and their exact test."""
    return f"{counts}; {needed} (exact {SIDES[tally.design.sides]} p {p_value(p)})."


def needed(tally: Tally, critical: CriticalNumber) -> str:
    """The number that shows a difference, and where it stands."""
    alpha = f"α = {tally.design.alpha:g}"
    if critical.value > tally.n:
        return f"with n = {tally.n} no score could show a difference at {alpha}"
    source, row = "by the exact binomial", critical.row
    if row:
        source = f"{row.source}, row n = {row.n}, α = {row.alpha:g}"
    return f"at least {critical.value} were needed at {alpha}, n = {tally.n} [{source}]"


def noticed(found: Estimate) -> str:
    """How many notice the difference."""
    return (
        f"The difference was noticed in about {percent(found.value)} of tastings ({_ends(found)})."
    )


def lead(found: Estimate) -> str:
    """How far one sample leads."""
    value = percent(found.value)
    return f"The lead of one sample over the other was {value} of answers ({_ends(found)})."


def _ends(found: Estimate) -> str:
    return f"two-sided 95 % interval {percent(found.low)} to {percent(found.high)}"


def distance(
    tally: Tally, found: Estimate, kind: str = "exact", what: str = "Sensory distance"
) -> str:
    """The distance; two-sided, it is counted towards the sample that was chosen more often."""
    ends = (found.value, found.low, found.high)
    towards = ""
    if tally.design.sides == 2:
        chosen, _ = tally.favoured
        towards = f", counted towards {chosen}"
        ends = ends if chosen == tally.b else (-ends[0], -ends[2], -ends[1])
    value, low, high = (decimals(end, 2) for end in ends)
    return f"{what} d′ = {value}{towards} (95 % {kind} interval {low} to {high})."


def left_open(of: str, missed: str = "") -> str:
    """What is not shown, and what may have been missed."""
    return f"That is not evidence of {of}{missed and ': ' + missed}."


def spread(found: Replicates | None) -> str:
    """How much the assessors differ; empty without replicates."""
    if found is None:
        return ""
    value, low, high = (
        decimals(part, 2) for part in (found.gamma.value, found.gamma.low, found.gamma.high)
    )
    return (
        f"How much the assessors differ among themselves: γ = {value} (0 none, 1 all; 95 % "
        f"interval {low} to {high})."
    )


def next_step(tally: Tally, verdict: Verdict, if_shown: str, if_not: str = SMALLER_P_D) -> str:
    """One thing to do next."""
    if verdict is Verdict.SIMILARITY:
        return "Next: keep this version, and write down for which p_d it was shown to be similar."
    if verdict.difference:
        return if_shown
    return RUN_AGAIN if len(tally.given) < tally.planned else if_not


def after_difference(tally: Tally) -> str:
    """What to do once a difference, or a direction, is shown."""
    if tally.attribute:
        return "Next: move the formula towards the reference by less than this step; taste again."
    return "Next: ask in which direction with a paired comparison: which one is more sour?"
