"""Counts of one kind of answer against the chance of guessing, in a test of a fixed size."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy import special

from tasting.insight.findings import numbers, words
from tasting.insight.findings.agreement import above_limit, agreement
from tasting.insight.findings.estimates import (
    even_replicates,
    replicates,
    share_noticed,
    share_of_people,
)
from tasting.insight.findings.kinds.weighed import Weighed
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import CONFIDENCE, Number, Verdict
from tasting.stats import similarity
from tasting.stats.binomial import p_value
from tasting.stats.dprime import d_prime
from tasting.stats.power import detectable
from tasting.stats.replicates import Replicates, replicated_limit
from tasting.stats.results import Estimate, Interval
from tasting.stats.tables import CriticalNumber, critical
from tasting.wording import percent, share


@dataclass(frozen=True, slots=True)
class SimilarityLimit:
    """One-sided 1 - β upper limit of p_d.

    approximate: the standards' normal formula, for comparison only; None where people answered
    more than once, for whom it does not hold
    """

    p_d: float
    approximate: float | None


@dataclass(frozen=True, slots=True)
class CountedEvidence(Weighed):
    """The weight of a count.

    p_value: exact, one- or two-sided as fixed in the plan
    critical: the number that shows a difference, and the published row that it was looked up in
    noticed: share who notice (p_d) with its interval: exact, or where people answered equally often
        more than once that of the model of replicates, which allows for their spread
    distance, likelihood: d-prime with the interval of `noticed` and with that of the likelihood
    detectable_p_d: the smallest p_d that so many tastings show with probability 1 - β
    limit: of p_d, for a one-sided test; None where people answered unevenly often
    replicates: how far repeated answers of the same assessors depend on each other
    """

    p_value: float
    critical: CriticalNumber
    noticed: Estimate
    distance: Estimate
    likelihood: Interval
    detectable_p_d: float | None
    limit: SimilarityLimit | None
    replicates: Replicates | None

    def sentences(self, tally: Tally) -> Iterator[str]:
        """The counts and their test, how much was noticed, what stays open."""
        needed = words.needed(tally, self.critical)
        yield words.exact_test(tally, _counts(tally), needed, self.p_value)
        yield " ".join(filter(None, self._extent(tally)))
        yield _similarity(tally, self.verdict, self.limit, self.noticed)
        yield words.spread(self.replicates)

    def _extent(self, tally: Tally) -> Iterator[str]:
        """A score far below guessing says nothing of how much is noticed."""
        if not self.low:
            yield words.noticed(tally, self.noticed)
            yield agreement(tally, self.verdict, self.noticed, self._least(tally))
            yield words.distance(tally, self.distance)
        if self.verdict is Verdict.NEITHER:
            known = self.replicates or not tally.clustered
            yield words.left_open(tally, self.noticed if known and not self.low else None)

    def _least(self, tally: Tally) -> float | None:
        """Lower limit of p_d at α, which goes with the test (Clopper and Pearson 1934)."""
        if tally.clustered or not tally.count:
            return None
        alpha, chance = tally.design.alpha, tally.design.chance
        p_c = float(special.betaincinv(tally.count, tally.n - tally.count + 1, alpha))
        return max(0.0, (p_c - chance) / (1 - chance))

    def numbers(self, tally: Tally) -> Iterator[Number]:
        """Every number with its interval and how it was reached."""
        yield from numbers.p_values(tally, self.p_value, self.lower_tail, "exact binomial")
        yield from numbers.needed(tally, self.critical)
        yield numbers.counted_share(tally)
        yield numbers.share_estimate(*self._noticed(tally))
        yield from numbers.detectable(tally, self.detectable_p_d)
        yield from self._distances(tally)
        yield from _limits(tally, self.limit)
        yield from numbers.spread(tally, self.replicates)

    def _noticed(self, tally: Tally) -> tuple[str, Estimate, str]:
        how = f"{numbers.exact(tally)}, from the share above"
        if self.replicates:
            how = "likelihood of the model of replicates"
        return numbers.share_name(tally), self.noticed, how

    def _distances(self, tally: Tally) -> Iterator[Number]:
        if self.replicates:
            how = "likelihood of the model of replicates"
            yield numbers.distance(tally, self.distance, how)
        else:
            yield from numbers.distances(tally, self.distance, self.likelihood)


def _counts(tally: Tally) -> str:
    if not tally.attribute or tally.method.directional_b:
        return f"{tally.count} of {tally.n} correct"
    return words.chosen_in(tally, f"called {tally.attribute}", "tastings")


def _similarity(
    tally: Tally, verdict: Verdict, limit: SimilarityLimit | None, noticed: Estimate
) -> str:
    design = tally.design
    if verdict.similarity and limit:
        return words.similarity(tally, limit.p_d, above_limit(tally, noticed))
    if design.aim != "similarity":
        return ""
    if tally.count < tally.n * design.chance:
        return "Fewer answers were correct than guessing gives: similarity is not concluded."
    return f"Similarity at p_d = {percent(design.p_d)}, β = {design.beta:g} was not shown."


def _limits(tally: Tally, limit: SimilarityLimit | None) -> Iterator[Number]:
    if limit is None:
        return
    by = "likelihood of the model of replicates" if tally.clustered else numbers.exact(tally)
    how = f"one-sided at β = {tally.design.beta:g}, {by}"
    confidence = percent(1 - tally.design.beta)
    yield Number(f"Upper limit of p_d ({confidence} confidence)", share(limit.p_d), how)
    if limit.approximate is not None:
        how = "normal formula of the standards, for comparison only"
        yield Number("Upper limit of p_d, approximate", share(limit.approximate), how)


def _verdict(tally: Tally, shown: bool, limit: SimilarityLimit | None) -> Verdict:
    """Similarity is concluded by a plan that aims at it, and never from a score below chance.

    The β of other plans is the usual, loose one.
    """
    design = tally.design
    above_chance = tally.count >= tally.n * design.chance * (1 - 1e-12)
    below_limit = limit is not None and limit.p_d < design.p_d
    if design.aim == "similarity" and above_chance and below_limit:
        return Verdict.SMALL if shown else Verdict.SIMILARITY
    return Verdict.DIFFERENCE if shown else Verdict.NEITHER


def _limit(tally: Tally) -> SimilarityLimit | None:
    design = tally.design
    if design.sides == 2:
        return None
    if not tally.clustered:
        asked = (tally.count, tally.n, design.chance, design.beta)
        return SimilarityLimit(similarity.upper_limit(*asked), similarity.approximate_limit(*asked))
    times = even_replicates(tally)
    if times < 2:
        return None
    correct = [counted for counted, _ in tally.scores]
    return SimilarityLimit(replicated_limit(correct, times, design.chance, design.beta), None)


def _distance(tally: Tally) -> tuple[Estimate, Interval]:
    """d-prime with its exact interval, and the narrower one of the likelihood."""
    signed = tally.design.sides == 2
    found = d_prime(tally.count, tally.n, tally.method.model, CONFIDENCE, signed=signed)
    return Estimate(found.value, found.exact), found.interval


def _of_people(tally: Tally, noticed: Estimate) -> tuple[Estimate, Interval]:
    """d-prime that belongs to the share who notice, and its interval."""
    model = tally.method.model
    distance = noticed.through(
        lambda shares: model.d_prime(np.minimum(1.0, model.chance + (1 - model.chance) * shares))
    )
    return distance, distance.interval


def _lower_tail(tally: Tally) -> float | None:
    """P(X <= count): that so many or more are wrong."""
    if tally.design.sides == 2:
        return None
    return p_value(tally.n - tally.count, tally.n, 1 - tally.design.chance)


def weigh_counts(tally: Tally) -> CountedEvidence:
    """The evidence in counts: exact binomial, and the published table's row."""
    design = tally.design
    chance, alpha, sides = design.chance, design.alpha, design.sides
    needed = critical(tally.n, chance, alpha, sides, design.table)
    fit, limit = replicates(tally), _limit(tally)
    p = p_value(tally.count, tally.n, chance, sides)
    noticed = share_of_people(fit, p) if fit else share_noticed(tally)
    distance, likelihood = _of_people(tally, noticed) if fit else _distance(tally)
    return CountedEvidence(
        verdict=_verdict(tally, tally.extreme >= needed.value, limit),
        p_value=p,
        lower_tail=_lower_tail(tally),
        critical=needed,
        noticed=noticed,
        distance=distance,
        likelihood=likelihood,
        detectable_p_d=detectable(tally.n, chance, alpha, design.beta, sides),
        limit=limit,
        replicates=fit,
    )
