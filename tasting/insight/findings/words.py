"""Sentences that several kinds of question say alike. None may ever call two samples the same."""

from math import ceil

from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import Verdict
from tasting.stats.replicates import Replicates
from tasting.stats.results import Estimate, Interval
from tasting.stats.tables import CriticalNumber
from tasting.wording import decimals, interval, p_value, percent, percents, share

SIDES = {1: "one-sided", 2: "two-sided"}
_MOST_SPREAD = 0.5
"""An interval of γ at least this wide says nothing, so it stands among the numbers only."""


def over_assessors(tally: Tally) -> str:
    """What was counted where an assessor has one vote, however many answers."""
    people = len(tally.scores)
    return f"tested over {people} {'assessor' if people == 1 else 'assessors'} ({tally.n} answers)"


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
    if _reads_nobody(estimate):
        return _as_zero(tally, estimate)
    about, ends, (chosen, _) = percent(estimate.value), _ends(estimate), tally.favoured
    if not tally.attribute:
        return f"About {about} notice the difference ({ends})."
    if tally.method.two_choices:
        called = percent(tally.count / tally.n)
        return f"{called} called {chosen} {tally.attribute}, a lead of {about} ({ends})."
    return f"Beyond guessing, about {about} find {chosen} {tally.attribute} ({ends})."


def _reads_nobody(estimate: Estimate) -> bool:
    """Whether the share reads 0 %, which is easily taken for nobody."""
    return percent(estimate.value) == percent(0)


def _as_zero(tally: Tally, estimate: Estimate) -> str:
    """A share of 0: what the answers leave possible comes with it."""
    more = "No" if tally.count <= tally.n * tally.design.chance else "Hardly any"
    most, ends, (chosen, _) = percent(estimate.high), _ends(estimate), tally.favoured
    if not tally.attribute:
        return f"{more} more correct answers than guessing gives; up to {most} may notice ({ends})."
    if tally.method.two_choices:
        often = f"{more} more often than by guessing was {chosen} called {tally.attribute}"
        return f"{often}; its lead may be up to {most} ({ends})."
    return (
        f"{more} more choices of {chosen} than guessing gives; up to {most} may find it "
        f"{tally.attribute} ({ends})."
    )


def lead(tally: Tally, estimate: Estimate, of: str = "tastings") -> str:
    """How far the sample that was chosen more often leads."""
    who = "" if 2 * tally.count == tally.n else f" of {tally.favoured[0]}"
    return f"Lead{who}: {percent(estimate.value)} of {of} ({_ends(estimate)})."


def _ends(estimate: Estimate) -> str:
    return f"95 % interval {percents(estimate.low, estimate.high)}"


def distance(tally: Tally, estimate: Estimate, what: str = "Sensory distance") -> str:
    """The distance; two-sided, above 0 for the sample that was chosen more often."""
    leading = tally.leading
    towards = f", in favour of {leading}" if leading else ""
    found = mirrored(estimate, 0.0) if leading == tally.a else estimate
    value, span = decimals(found.value, 2), interval(found.low, found.high, 2)
    return f"{what} d′ = {value}{towards} (95 % interval {span})."


def mirrored(estimate: Estimate, both: float = 1.0) -> Estimate:
    """The same as seen from the other sample: a share of choices, or a signed distance.

    both: what the two samples make together
    """
    ends = Interval(both - estimate.high, both - estimate.low, estimate.interval.confidence)
    return Estimate(both - estimate.value, ends)


def left_open(tally: Tally, estimate: Estimate | None = None) -> str:
    """What is not shown, and what stays possible: the interval beside it."""
    said = "That is not evidence of no difference"
    if estimate is None or (tally.design.sides == 1 and _reads_nobody(estimate)):
        return f"{said}."
    ends = f"{percent(estimate.low)} to {percent(estimate.high)}"
    if tally.attribute and tally.method.two_choices:
        return f"{said}: the answers fit any lead from {ends}."
    return f"{said}: the answers fit anything from {ends} noticing."


def similarity(tally: Tally, upper_limit: float, why: str) -> str:
    """How few notice at the planned β; why that is shown though the interval reaches beyond."""
    design, most = tally.design, ceil(1000 * upper_limit) / 1000  # it is never rounded down
    said = (
        f"At a risk of β = {design.beta:g} at most {share(most)} notice, fewer than the planned "
        f"{percent(design.p_d)}."
    )
    return f"{said} {why}".strip()


def spread(replicates: Replicates | None) -> str:
    """How much the assessors differ; empty without replicates, or where they leave it open."""
    if replicates is None or replicates.gamma.high - replicates.gamma.low >= _MOST_SPREAD:
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
