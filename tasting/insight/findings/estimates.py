"""Estimates that several kinds of question share: of the share who notice, and of replicates."""

from scipy import special

from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import CONFIDENCE
from tasting.stats.binomial import distinguishers, proportion_interval
from tasting.stats.replicates import Replicates, fit_replicates
from tasting.stats.results import Estimate, Interval

_HALF = 0.5


def share_noticed(tally: Tally) -> Estimate:
    """p_d with its exact 95 % interval (Clopper and Pearson 1934).

    One-sided: (p_c - chance) / (1 - chance), at least 0. Two-sided: the lead.
    """
    if tally.design.sides == 2:
        n = tally.n
        return lead(Estimate(tally.count / n, proportion_interval(tally.count, n, CONFIDENCE)))
    return distinguishers(tally.count, tally.n, tally.design.chance, CONFIDENCE)


def share_of_people(fit: Replicates, p_value: float) -> Estimate:
    """p_d from the fit of replicates, whose interval allows for the spread between assessors.

    It reaches down to 0 where the test of the count, which weighs answers, shows nothing at 5 %.
    """
    low = 0.0 if p_value > 1 - CONFIDENCE else fit.mu.low
    return Estimate(fit.mu.value, Interval(low, fit.mu.high, CONFIDENCE))


def lead(chosen: Estimate) -> Estimate:
    """|2p - 1| of a share of choices; the interval reaches down to 0 when it holds both
    directions."""
    ends = [2 * chosen.low - 1, 2 * chosen.high - 1]
    nearest = 0.0 if ends[0] <= 0 <= ends[1] else min(map(abs, ends))
    return Estimate(abs(2 * chosen.value - 1), Interval(nearest, max(map(abs, ends)), CONFIDENCE))


def lead_of_all(tally: Tally, chosen: Estimate) -> Estimate:
    """The lead as a share of all answers, with those that chose neither.

    The interval's ends are those of the lead among the answers that chose, times an end of the
    share that chose (both 95 %): it holds 0 just when that of the choices does.
    """
    found = lead(chosen)
    if not tally.undecided:
        return found
    every = len(tally.given)
    took = proportion_interval(tally.n, every, CONFIDENCE)
    share = tally.n / every
    return Estimate(
        share * found.value,
        Interval(took.low * found.low, took.high * found.high, CONFIDENCE),
    )


def chosen_by_people(tally: Tally, fit: Replicates | None, p_value: float) -> Estimate:
    """The share from whole assessors, in agreement with the test that turns them round.

    By the model of replicates or, where some answered more often, as if each gave one answer. It
    holds one half just when the test's two-sided p is above 5 %.
    """
    share = tally.count / tally.n
    found = fit.mu.interval if fit else _of_people(share, tally.assessors)
    low, high = min(found.low, share), max(found.high, share)
    if p_value <= 1 - CONFIDENCE:
        low, high = (max(low, _HALF), high) if share > _HALF else (low, min(high, _HALF))
    else:
        low, high = min(low, _HALF), max(high, _HALF)
    return Estimate(share, Interval(low, high, CONFIDENCE))


def _of_people(share: float, people: int) -> Interval:
    """Clopper and Pearson's interval for as many answers as people, which need not be whole."""
    tail, count = (1 - CONFIDENCE) / 2, share * people
    low = special.betaincinv(count, people - count + 1, tail) if count else 0.0
    high = special.betainccinv(count + 1, people - count, tail) if count < people else 1.0
    return Interval(float(low), float(high), CONFIDENCE)


def even_replicates(tally: Tally) -> int:
    """How often each of several assessors answered, if all did equally often; else 0."""
    times = {tastings for _, tastings in tally.scores}
    return times.pop() if len(times) == 1 and len(tally.scores) > 1 else 0


def replicates(tally: Tally) -> Replicates | None:
    """How far answers of the same assessors depend on each other; None without even replicates.

    A difference has a chance of guessing; of two choices people may hold to either.
    """
    times = even_replicates(tally)
    if times < 2:
        return None
    chance = 0.0 if tally.method.two_choices else tally.design.chance
    return fit_replicates([counted for counted, _ in tally.scores], times, chance)
