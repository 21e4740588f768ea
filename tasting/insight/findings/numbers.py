"""Numbers that several kinds of question show alike."""

from collections.abc import Iterator

from tasting.insight.findings import words
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import Number
from tasting.stats.binomial import p_value, proportion_interval
from tasting.stats.replicates import Replicates, variance_inflation
from tasting.stats.results import Estimate, Interval
from tasting.stats.tables import CriticalNumber
from tasting.wording import decimals, interval, p_cell, percents, share


def estimate(quantity: str, estimate: Estimate, how: str) -> Number:
    """A number with two decimals and its interval."""
    ends = interval(estimate.low, estimate.high, 2)
    return Number(quantity, decimals(estimate.value, 2), how, ends)


def share_estimate(quantity: str, part: Estimate, how: str) -> Number:
    """A share in per cent with its interval."""
    return Number(quantity, share(part.value), how, percents(part.low, part.high))


def p_values(tally: Tally, p: float, lower_tail: float | None, how: str) -> Iterator[Number]:
    """The p of the test, and of a score as low as this one."""
    sides = words.SIDES[tally.design.sides]
    said = f"{how}, {sides}"
    if tally.clustered and not tally.method.two_choices:
        said += (
            "; answers by one person are pooled, which is allowed: with no difference each is a "
            "guess, whoever gives it"
        )
    yield Number("p", p_cell(p), said)
    if lower_tail is not None:
        yield Number("p of a score this low", p_cell(lower_tail), f"{how}, if nobody notices")


def needed(tally: Tally, critical: CriticalNumber) -> Iterator[Number]:
    """The number that shows a difference, and where it stands."""
    if critical.value > tally.n:
        return
    row = critical.row
    how = "by the exact binomial"
    if row:
        how = f"{row.source}, row n = {row.n}, α = {row.alpha:g}"
    yield Number(f"Needed at α = {tally.design.alpha:g}", str(critical.value), how)


def pooled(tally: Tally, fit: Replicates | None) -> Iterator[Number]:
    """What a test of all answers would say that takes them for independent."""
    if fit is None:
        return
    inflation = variance_inflation(fit.replicates, fit.gamma.value)
    how = f"not valid: the variance is {inflation:.1f} times what it assumes"
    p = p_value(tally.count, tally.n, 0.5, tally.design.sides)
    yield Number("p if all answers were pooled", p_cell(p), how)


def counted_share(tally: Tally, *, how: str = "", with_interval: bool = True) -> Number:
    """The share of answers that count; two-sided, of those that chose B."""
    of, count = "answers that count", tally.count
    if tally.design.sides == 2:
        of, count = f"choices of {tally.favoured[0]}", tally.extreme
    value = f"{count} of {tally.n}, {share(count / tally.n)}"
    if not with_interval:
        return Number(f"Share of {of}", value, how)
    ends = proportion_interval(count, tally.n)
    how = f"{exact(tally)} (Clopper and Pearson 1934)"
    return Number(f"Share of {of}", value, how, percents(ends.low, ends.high))


def exact(tally: Tally) -> str:
    """What an exact interval rests on where somebody answered more than once."""
    return "exact if answers are independent" if tally.replicated else "exact"


def share_name(tally: Tally) -> str:
    """What a share corrected for guessing is; of two choices it is a lead."""
    return "Lead" if tally.method.two_choices else "Share who notice, p_d"


def distance(
    tally: Tally, estimated: Estimate, how: str, what: str = "Sensory distance d′"
) -> Number:
    """d-prime; two-sided, above 0 for the sample that was chosen more often."""
    if not tally.leading:
        return estimate(what, estimated, how)
    seen = words.mirrored(estimated, 0.0) if tally.leading == tally.a else estimated
    return estimate(f"{what}, in favour of {tally.leading}", seen, how)


def distances(
    tally: Tally, estimated: Estimate, likelihood: Interval, what: str = "Sensory distance d′"
) -> Iterator[Number]:
    """d-prime with its exact interval, and the likelihood interval beside it."""
    yield distance(tally, estimated, f"{exact(tally)}: coverage is never below 95 %", what)
    how = "for comparison: narrower, and its coverage is never below 95 % either"
    yield distance(tally, Estimate(estimated.value, likelihood), how, f"{what}, by likelihood")


def detectable(tally: Tally, p_d: float | None) -> Iterator[Number]:
    """The smallest share that such a panel shows, whatever the answers."""
    if p_d is not None:
        what = "lead" if tally.method.two_choices else "p_d"
        how = f"smallest {what} that this many tastings detect at {share(tally.design.power)} power"
        yield Number(
            "Smallest difference this plan detects",
            share(p_d),
            f"{how}; it does not depend on the answers",
        )


def spread(tally: Tally, replicates: Replicates | None) -> Iterator[Number]:
    """The mean of the assessors and how much they differ."""
    if replicates is None:
        return
    model = "chance-corrected beta-binomial" if replicates.chance else "beta-binomial"
    mean, mu = "Mean of all assessors, μ", replicates.mu
    if tally.leading:
        mean = f"Mean share of choices of {tally.leading}, μ"
        mu = words.mirrored(mu) if tally.leading == tally.a else mu
    yield estimate(mean, mu, f"{model}, likelihood")
    how = f"0 = alike, 1 = all or nothing; p of γ = 0: {p_cell(replicates.p_value)}"
    yield estimate("Variation between assessors, γ", replicates.gamma, how)
