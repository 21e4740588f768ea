"""Estimates that several kinds of question share: of the share who notice, and of replicates."""

from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import CONFIDENCE
from tasting.stats.binomial import distinguishers, proportion_interval
from tasting.stats.replicates import Replicates, fit_replicates
from tasting.stats.results import Estimate, Interval


def share_noticed(tally: Tally) -> Estimate:
    """p_d with its exact 95 % interval (Clopper and Pearson 1934).

    One-sided: (p_c - chance) / (1 - chance), at least 0. Two-sided: the lead.
    """
    if tally.design.sides == 1:
        return distinguishers(tally.count, tally.n, tally.design.chance, CONFIDENCE)
    return lead(tally)


def lead(tally: Tally) -> Estimate:
    """The distance of the two choices, |2p - 1|, with its exact 95 % interval, which reaches down
    to 0 when it holds both directions."""
    interval = proportion_interval(tally.count, tally.n, CONFIDENCE)
    ends = (2 * interval.low - 1, 2 * interval.high - 1)
    nearest = 0.0 if ends[0] < 0 < ends[1] else min(map(abs, ends))
    value = abs(2 * tally.count / tally.n - 1)
    return Estimate(value, Interval(nearest, max(map(abs, ends)), CONFIDENCE))


def even_replicates(tally: Tally) -> int:
    """How often each of several assessors answered, if all did equally often; else 0."""
    times = {tastings for _, tastings in tally.scores}
    return times.pop() if len(times) == 1 and len(tally.scores) > 1 else 0


def replicates(tally: Tally) -> Replicates | None:
    """How far answers of the same assessors depend on each other; None without even replicates."""
    times = even_replicates(tally)
    if times < 2:
        return None
    chance = tally.design.chance if tally.design.sides == 1 else 0.0
    return fit_replicates([counted for counted, _ in tally.scores], times, chance)
