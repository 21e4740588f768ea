"""Counts of one kind of answer against the chance of guessing, in a test of a fixed size."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from tasting.insight.findings import numbers, words
from tasting.insight.findings.estimates import even_replicates, replicates, share_noticed
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import CONFIDENCE, Number, Verdict
from tasting.stats import similarity
from tasting.stats.binomial import p_value
from tasting.stats.dprime import d_prime
from tasting.stats.power import detectable
from tasting.stats.replicates import Replicates, replicated_limit
from tasting.stats.results import Estimate, Interval
from tasting.stats.tables import CriticalNumber, critical
from tasting.wording import p_cell, percent, share


@dataclass(frozen=True, slots=True)
class SimilarityLimit:
    """One-sided 1 - β upper limit of p_d.

    approximate: the standards' normal formula, for comparison only; None where people answered
    more than once, for whom it does not hold
    """

    p_d: float
    approximate: float | None


@dataclass(frozen=True, slots=True)
class CountedEvidence:
    """The weight of a count.

    p_value: exact, one- or two-sided as fixed in the plan
    critical: the number that shows a difference, and the published row that it was looked up in
    noticed: share who notice (p_d), with its exact interval
    distance, likelihood: d-prime with its exact and its narrower profile-likelihood interval
    detectable_p_d: the smallest p_d that so many tastings would have shown with probability 1 - β
    limit: of p_d, for a one-sided test; None where people answered unevenly often
    replicates: how far repeated answers of the same assessors depend on each other
    """

    verdict: Verdict
    p_value: float
    critical: CriticalNumber
    noticed: Estimate
    distance: Estimate
    likelihood: Interval
    detectable_p_d: float | None
    limit: SimilarityLimit | None
    replicates: Replicates | None

    def headline(self, tally: Tally) -> str:
        """The finding in one line."""
        return words.headline(tally, self.verdict)

    def sentences(self, tally: Tally) -> Iterator[str]:
        """The counts and their test, how much was noticed, what stays open, one next step."""
        needed = words.needed(tally, self.critical)
        yield words.exact_test(tally, _counts(tally), needed, self.p_value)
        yield " ".join(self._extent(tally))
        yield _similarity(tally, self.verdict, self.limit)
        yield words.spread(self.replicates)
        yield words.next_step(tally, self.verdict, words.after_difference(tally))

    def _extent(self, tally: Tally) -> Iterator[str]:
        yield words.noticed(self.noticed)
        yield words.distance(tally, self.distance)
        if self.verdict is Verdict.NEITHER:
            missed = ""
            if self.detectable_p_d is not None:
                fewest = percent(self.detectable_p_d)
                missed = f"this panel could well have missed one that fewer than {fewest} notice"
            yield words.left_open("no difference", missed)

    def numbers(self, tally: Tally) -> Iterator[Number]:
        """Every number with its interval and how it was reached."""
        how = f"exact binomial, {words.SIDES[tally.design.sides]}"
        if tally.clustered:
            how += (
                "; answers of the same people pooled, which is allowed: without a difference each "
                "is a guess, whoever makes it"
            )
        yield Number("p", p_cell(self.p_value), how)
        yield numbers.counted_share(tally)
        how = "exact, from the share above"
        yield numbers.share_estimate("Share that noticed, p_d", self.noticed, how)
        yield from numbers.detectable(tally, self.detectable_p_d)
        yield from numbers.distances(self.distance, self.likelihood)
        yield from _limits(tally, self.limit)
        yield from numbers.spread(self.replicates)

    def cautions(self, tally: Tally) -> Iterator[str]:
        """What limits it beyond what limits every finding: nothing."""
        return iter(())


def _counts(tally: Tally) -> str:
    if not tally.attribute or tally.method.directional_b:
        return f"{tally.count} of {tally.n} answers were correct"
    chosen, _ = tally.favoured
    count = tally.count if tally.design.sides == 1 else tally.extreme
    return f"{chosen} was called {tally.attribute} in {count} of {tally.n} answers"


def _similarity(tally: Tally, verdict: Verdict, limit: SimilarityLimit | None) -> str:
    design = tally.design
    if verdict.similarity and limit:
        most = ceil(100 * limit.p_d) / 100  # an upper limit is never rounded down
        return (
            f"With a risk of β = {design.beta:g}, at most {percent(most)} notice a difference, "
            f"fewer than the {percent(design.p_d)} that were planned."
        )
    if design.aim != "similarity":
        return ""
    if tally.count < tally.n * design.chance:
        return "Fewer answers were correct than guessing gives: similarity is not concluded."
    return f"Similarity at p_d = {percent(design.p_d)}, β = {design.beta:g} was not shown."


def _limits(tally: Tally, limit: SimilarityLimit | None) -> Iterator[Number]:
    if limit is None:
        return
    by = "likelihood of the model of replicates" if tally.clustered else "exact"
    how = f"one-sided at β = {tally.design.beta:g}, {by}"
    yield Number("Upper limit of p_d", share(limit.p_d), how)
    if limit.approximate is not None:
        how = "normal formula of the standards, for comparison only"
        yield Number("The same", share(limit.approximate), how)


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


def weigh_counts(tally: Tally) -> CountedEvidence:
    """The evidence in counts: exact binomial, and the published table's row."""
    design = tally.design
    chance, alpha, sides = design.chance, design.alpha, design.sides
    needed = critical(tally.n, chance, alpha, sides, design.table)
    distance = d_prime(tally.count, tally.n, design.method.model, CONFIDENCE, signed=sides == 2)
    limit = _limit(tally)
    return CountedEvidence(
        verdict=_verdict(tally, tally.extreme >= needed.value, limit),
        p_value=p_value(tally.count, tally.n, chance, sides),
        critical=needed,
        noticed=share_noticed(tally),
        distance=Estimate(distance.value, distance.exact),
        likelihood=distance.interval,
        detectable_p_d=detectable(tally.n, chance, alpha, design.beta, sides),
        limit=limit,
        replicates=replicates(tally),
    )
