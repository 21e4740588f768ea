"""Which of two samples people prefer: two-sided, no answer is right."""

from collections.abc import Iterator
from dataclasses import dataclass

from tasting.insight.findings import estimates, numbers, words
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import CONFIDENCE, Number, Verdict
from tasting.stats.binomial import p_value
from tasting.stats.dprime import d_prime
from tasting.stats.power import detectable
from tasting.stats.preference import Preference, preference
from tasting.stats.replicates import Replicates, sign_change_p_value, variance_inflation
from tasting.stats.results import Estimate, Interval
from tasting.stats.tables import CriticalNumber, critical
from tasting.wording import p_cell, percent
from tasting.wording import p_value as in_words

LIKED = "Next: keep the preferred version as the parent of the next one."


@dataclass(frozen=True, slots=True)
class PreferenceEvidence:
    """The weight of choices.

    p_value: exact; where several people answered more than once, from turning round whole people
    critical, detectable_p_d: the number that shows a preference, and the smallest lead that so many
        answers would have shown with probability 1 - β; None where whole people were weighed
    lead: of one sample over the other, as a share of answers, with its exact interval
    distance, likelihood: distance in liking with its exact and its profile-likelihood interval
    undecided: the three ways to look at answers without a preference; None without any
    replicates: how far repeated answers of the same assessors depend on each other
    """

    verdict: Verdict
    p_value: float
    critical: CriticalNumber | None
    lead: Estimate
    distance: Estimate
    likelihood: Interval
    detectable_p_d: float | None
    undecided: Preference | None
    replicates: Replicates | None

    def headline(self, tally: Tally) -> str:
        """The finding in one line."""
        chosen, other = tally.favoured
        if self.verdict.difference:
            return f"{chosen} was preferred to {other}"
        return f"No preference was shown between {tally.a} and {tally.b}"

    def sentences(self, tally: Tally) -> Iterator[str]:
        """The counts and their test, the lead, what stays open, one next step."""
        chosen, _ = tally.favoured
        counts = f"{chosen} was preferred in {tally.extreme} of {tally.n} answers"
        needed = "as people answered more than once, whole people were weighed, not answers"
        if self.critical:
            needed = words.needed(tally, self.critical)
        yield words.exact_test(tally, counts, needed, self.p_value)
        yield " ".join(self._extent(tally))
        yield _three_ways(tally, self.undecided)
        yield words.spread(self.replicates)
        yield words.next_step(tally, self.verdict, LIKED)

    def _extent(self, tally: Tally) -> Iterator[str]:
        yield words.lead(self.lead)
        yield words.distance(tally, self.distance, what="Distance in liking")
        if not self.verdict.difference:
            missed = ""
            if self.detectable_p_d is not None:
                least = percent(self.detectable_p_d)
                missed = f"a lead of less than {least} could well have been missed"
            yield words.left_open("equal liking", missed)

    def numbers(self, tally: Tally) -> Iterator[Number]:
        """Every number with its interval and how it was reached."""
        whole = "exact, whole assessors turned round, two-sided"
        yield Number(
            "p", p_cell(self.p_value), whole if tally.clustered else "exact binomial, two-sided"
        )
        yield numbers.counted_share(tally)
        yield numbers.share_estimate("Lead of one sample", self.lead, "exact, from the share above")
        yield from numbers.detectable(tally, self.detectable_p_d)
        yield from numbers.distances(self.distance, self.likelihood)
        yield from numbers.spread(self.replicates)
        yield from _pooled(tally, self.replicates)
        yield from _ties(self.undecided)

    def cautions(self, tally: Tally) -> Iterator[str]:
        """That people, not answers, were weighed."""
        if tally.clustered:
            yield (
                "Repeated preferences were not pooled: p comes from turning round whole assessors."
            )


def _three_ways(tally: Tally, seen: Preference | None) -> str:
    if seen is None:
        return ""
    return (
        f"{tally.undecided} of {len(tally.given)} answers preferred neither. Leaving them out: "
        f"p {in_words(seen.dropped_p_value)}; halving them: p {in_words(seen.split_p_value)}; as "
        f"an answer of its own (Davidson 1970): p {in_words(seen.model.p_value)}."
    )


def _pooled(tally: Tally, fit: Replicates | None) -> Iterator[Number]:
    if fit is not None:
        inflation = variance_inflation(fit.replicates, fit.gamma.value)
        how = f"not valid: the variance is {inflation:.1f} times what it assumes"
        yield Number("p if all were pooled", p_cell(p_value(tally.count, tally.n, 0.5, 2)), how)


def _ties(seen: Preference | None) -> Iterator[Number]:
    if seen is None:
        return
    dropped = p_cell(seen.dropped_p_value)
    yield Number("p, no preference left out", dropped, "exact; this one is planned")
    split = p_cell(seen.split_p_value)
    yield Number("p, no preference halved", split, "exact, the odd one to the fewer")
    modelled = p_cell(seen.model.p_value)
    yield Number("p, no preference modelled", modelled, "Davidson 1970, likelihood")


def weigh_preference(tally: Tally) -> PreferenceEvidence:
    """The evidence in preferences.

    Repeated ones turn round whole assessors. One assessor's speak for that person only, and are
    taken as independent.
    """
    design, count, n = tally.design, tally.count, tally.n
    whole_people = tally.clustered
    excesses = [2 * counted - tastings for counted, tastings in tally.scores]
    p = sign_change_p_value(excesses) if whole_people else p_value(count, n, design.chance, 2)
    distance = d_prime(count, n, design.method.model, CONFIDENCE, signed=True)
    asked = (design.alpha, design.beta, 2)
    return PreferenceEvidence(
        verdict=Verdict.at(p, design.alpha),
        p_value=p,
        critical=None if whole_people else critical(n, design.chance, design.alpha, 2),
        lead=estimates.lead(tally),
        distance=Estimate(distance.value, distance.exact),
        likelihood=distance.interval,
        detectable_p_d=None if whole_people else detectable(n, design.chance, *asked),
        undecided=preference(n - count, count, tally.undecided) if tally.undecided else None,
        replicates=estimates.replicates(tally),
    )
