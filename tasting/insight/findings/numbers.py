"""Numbers that several kinds of question show alike."""

from collections.abc import Iterator

from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import Number
from tasting.stats.binomial import proportion_interval
from tasting.stats.replicates import Replicates
from tasting.stats.results import Estimate, Interval
from tasting.wording import decimals, interval, p_cell, percents, share


def estimate(quantity: str, found: Estimate, how: str) -> Number:
    """A number with two decimals and its interval."""
    ends = interval(found.low, found.high, 2)
    return Number(quantity, decimals(found.value, 2), how, ends)


def share_estimate(quantity: str, found: Estimate, how: str) -> Number:
    """A share in per cent with its interval."""
    return Number(quantity, share(found.value), how, percents(found.low, found.high))


def counted_share(tally: Tally, *, how: str = "", with_interval: bool = True) -> Number:
    """The share of answers that count; two-sided, of those that chose B."""
    of = f"choices of {tally.b}" if tally.design.sides == 2 else "answers that count"
    value = f"{tally.count} of {tally.n}, {share(tally.count / tally.n)}"
    if not with_interval:
        return Number(f"Share of {of}", value, how)
    ends = proportion_interval(tally.count, tally.n)
    how = "exact (Clopper and Pearson 1934)"
    return Number(f"Share of {of}", value, how, percents(ends.low, ends.high))


def distances(distance: Estimate, likelihood: Interval) -> Iterator[Number]:
    """d-prime with its exact interval, and the likelihood interval beside it."""
    yield estimate("Sensory distance d′", distance, "exact, never covers less than 95 %")
    how = "by likelihood, for comparison: narrower, and never covers less than 95 % either"
    yield estimate("The same", Estimate(distance.value, likelihood), how)


def detectable(tally: Tally, p_d: float | None) -> Iterator[Number]:
    """The smallest share that this panel would have shown."""
    if p_d is not None:
        how = f"smallest p_d shown with a power of {share(tally.design.power)}"
        yield Number("Could be detected", share(p_d), how)


def spread(found: Replicates | None) -> Iterator[Number]:
    """The mean of the assessors and how much they differ."""
    if found is None:
        return
    model = "chance-corrected beta-binomial" if found.chance else "beta-binomial"
    yield estimate("Mean of the assessors, μ", found.mu, f"{model}, likelihood")
    how = f"0: all alike, 1: all or none; γ = 0 has p {p_cell(found.p_value)}"
    yield estimate("Spread between assessors, γ", found.gamma, how)
