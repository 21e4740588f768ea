"""Which of two samples people prefer: two-sided, and no answer is a mistake."""

from collections.abc import Iterator
from dataclasses import dataclass

from tasting.insight.findings import estimates, numbers, words
from tasting.insight.findings.agreement import agreement
from tasting.insight.findings.kinds.weighed import Weighed
from tasting.insight.findings.kinds.whole_people import HOW, signed_distance
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import CONFIDENCE, Number, Verdict
from tasting.stats.binomial import p_value, proportion_interval
from tasting.stats.dprime import d_prime
from tasting.stats.power import detectable
from tasting.stats.preference import Preference, preference
from tasting.stats.replicates import Replicates, sign_change_p_value
from tasting.stats.results import Estimate, Interval
from tasting.stats.tables import CriticalNumber, critical
from tasting.wording import p_cell, percent
from tasting.wording import p_value as in_words

_LIKING = "Distance in liking d′"


@dataclass(frozen=True, slots=True)
class PreferenceEvidence(Weighed):
    """The weight of choices.

    p_value: exact; where several people answered more than once, from turning round whole people
    critical, detectable_p_d: the number that shows a preference, and the smallest lead that so many
        answers show with probability 1 - β; None where whole people were weighed
    lead: of one sample over the other, as a share of all answers, undecided ones too
    distance, likelihood: distance in liking of those who chose, with its exact and its
        profile-likelihood interval; that of whole people where they were weighed
    undecided: the three ways to look at answers without a preference; None without any
    replicates: how far repeated answers of the same assessors depend on each other
    """

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
        """The counts and their test, the lead, what stays open."""
        counts = words.chosen_in(tally, "preferred", "choices")
        needed = f"{words.over_assessors(tally)}, α = {tally.design.alpha:g}"
        if self.critical:
            needed = words.needed(tally, self.critical)
        yield words.exact_test(tally, counts, needed, self.p_value)
        yield " ".join(filter(None, self._extent(tally)))
        yield _three_ways(tally, self.undecided)
        yield words.spread(self.replicates)

    def _extent(self, tally: Tally) -> Iterator[str]:
        of = f"all {len(tally.given)} answers" if tally.undecided else "answers"
        yield words.lead(tally, self.lead, of)
        yield agreement(tally, self.verdict, self.lead, None)
        what = "Distance in liking" + (" of those who chose" if tally.undecided else "")
        yield words.distance(tally, self.distance, what)
        if not self.verdict.difference:
            most = percent(self.lead.high)
            yield f"That is not evidence of equal liking: a lead of up to {most} is possible."

    def numbers(self, tally: Tally) -> Iterator[Number]:
        """Every number with its interval and how it was reached."""
        how = "exact binomial" if self.critical else "exact sign-flip test of whole assessors"
        yield from numbers.p_values(tally, self.p_value, None, how)
        if self.critical:
            yield from numbers.needed(tally, self.critical)
        yield numbers.counted_share(tally)
        yield numbers.share_estimate("Lead", self.lead, _how_lead(tally))
        yield from numbers.detectable(tally, self.detectable_p_d)
        if self.critical:
            yield from numbers.distances(tally, self.distance, self.likelihood, _LIKING)
        else:
            yield numbers.distance(tally, self.distance, HOW, _LIKING)
            yield from numbers.pooled(tally, self.replicates)
        yield from numbers.spread(tally, self.replicates)
        yield from _ties(self.undecided)


def _how_lead(tally: Tally) -> str:
    by = HOW if tally.clustered else numbers.exact(tally)
    if tally.undecided:
        return (
            f"{by}; of all answers, including undecided ones, with the interval of the share that "
            "chose"
        )
    return by if tally.clustered else f"{by}, from the share above"


def _three_ways(tally: Tally, seen: Preference | None) -> str:
    if seen is None:
        return ""
    return (
        f"{tally.undecided} of {len(tally.given)} answers preferred neither. Left out: p "
        f"{in_words(seen.dropped_p_value)}; split in half: p {in_words(seen.split_p_value)}; "
        f"modelled as answers of their own (Davidson 1970): p {in_words(seen.model.p_value)}."
    )


def _ties(seen: Preference | None) -> Iterator[Number]:
    if seen is None:
        return
    dropped = p_cell(seen.dropped_p_value)
    yield Number("p, no preference left out", dropped, "exact; this one is planned")
    split = p_cell(seen.split_p_value)
    yield Number("p, no preference halved", split, "exact; an odd one goes to the smaller side")
    modelled = p_cell(seen.model.p_value)
    yield Number("p, no preference modelled", modelled, "Davidson 1970, likelihood")


def weigh_preference(tally: Tally) -> PreferenceEvidence:
    """The evidence in preferences.

    Repeated ones turn round whole assessors. One assessor's speak for that person only, and are
    taken as independent.
    """
    return _of_people(tally) if tally.clustered else _of_answers(tally)


def _of_answers(tally: Tally) -> PreferenceEvidence:
    design, count, n = tally.design, tally.count, tally.n
    p = p_value(count, n, design.chance, 2)
    found = d_prime(count, n, design.method.model, CONFIDENCE, signed=True)
    chosen = Estimate(count / n, proportion_interval(count, n, CONFIDENCE))
    return PreferenceEvidence(
        verdict=Verdict.at(p, design.alpha),
        lower_tail=None,
        p_value=p,
        critical=critical(n, design.chance, design.alpha, 2),
        lead=estimates.lead_of_all(tally, chosen),
        distance=Estimate(found.value, found.exact),
        likelihood=found.interval,
        detectable_p_d=detectable(n, design.chance, design.alpha, design.beta, 2),
        undecided=_undecided(tally),
        replicates=None,
    )


def _of_people(tally: Tally) -> PreferenceEvidence:
    excesses = [2 * counted - tastings for counted, tastings in tally.scores]
    p, fit = sign_change_p_value(excesses), estimates.replicates(tally)
    chosen = estimates.chosen_by_people(tally, fit, p)
    distance = signed_distance(tally.method.model, chosen)
    return PreferenceEvidence(
        verdict=Verdict.at(p, tally.design.alpha),
        lower_tail=None,
        p_value=p,
        critical=None,
        lead=estimates.lead_of_all(tally, chosen),
        distance=distance,
        likelihood=distance.interval,
        detectable_p_d=None,
        undecided=_undecided(tally),
        replicates=fit,
    )


def _undecided(tally: Tally) -> Preference | None:
    if not tally.undecided:
        return None
    return preference(tally.n - tally.count, tally.count, tally.undecided)
