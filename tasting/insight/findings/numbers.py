"""Numbers that several kinds of question show alike."""

from collections.abc import Iterator

from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import Number
from tasting.insight.findings.words import SIDES
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
    sides = SIDES[tally.design.sides]
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
    of = f"choices of {tally.b}" if tally.design.sides == 2 else "answers that count"
    value = f"{tally.count} of {tally.n}, {share(tally.count / tally.n)}"
    if not with_interval:
        return Number(f"Share of {of}", value, how)
    ends = proportion_interval(tally.count, tally.n)
    how = "exact (Clopper and Pearson 1934)"
    if tally.clustered:
        how += "; treats answers by one person as independent"
    return Number(f"Share of {of}", value, how, percents(ends.low, ends.high))


def distances(
    distance: Estimate, likelihood: Interval, what: str = "Sensory distance d′"
) -> Iterator[Number]:
    """d-prime with its exact interval, and the likelihood interval beside it."""
    yield estimate(what, distance, "exact: coverage is never below 95 %")
    how = "for comparison: narrower, and its coverage is never below 95 % either"
    yield estimate(f"{what}, by likelihood", Estimate(distance.value, likelihood), how)


def detectable(tally: Tally, p_d: float | None) -> Iterator[Number]:
    """The smallest share that such a panel shows, whatever the answers."""
    if p_d is not None:
        how = f"smallest p_d that this many tastings detect at {share(tally.design.power)} power"
        yield Number(
            "Smallest difference this plan detects",
            share(p_d),
            f"{how}; it does not depend on the answers",
        )


def spread(replicates: Replicates | None) -> Iterator[Number]:
    """The mean of the assessors and how much they differ."""
    if replicates is None:
        return
    model = "chance-corrected beta-binomial" if replicates.chance else "beta-binomial"
    yield estimate("Mean of all assessors, μ", replicates.mu, f"{model}, likelihood")
    how = f"0 = alike, 1 = all or nothing; p of γ = 0: {p_cell(replicates.p_value)}"
    yield estimate("Variation between assessors, γ", replicates.gamma, how)
