"""A paired comparison that people made more than once: whole assessors are weighed, not answers.

People may differ without a common direction. Then answers are not independent, and a pooled count
shows a direction far too often. An assessor's excess of choices, though, is as likely one way as
the other (Fisher 1935, The Design of Experiments, section 21).
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from tasting.insight.findings import numbers, words
from tasting.insight.findings.agreement import agreement
from tasting.insight.findings.estimates import chosen_by_people, lead, replicates
from tasting.insight.findings.kinds.weighed import Weighed
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import CONFIDENCE, Number, Verdict
from tasting.stats.psychometric import Psychometric
from tasting.stats.replicates import Replicates, sign_change_p_value
from tasting.stats.results import Estimate, Interval

HOW = "approximate: it agrees with the sign-flip test of whole assessors"


@dataclass(frozen=True, slots=True)
class WholePeopleEvidence(Weighed):
    """The weight of assessors who each chose several times: they show a common direction, or none.

    p_value: exact, from turning round whole assessors, one- or two-sided as fixed in the plan
    least_p_value: the smallest that so many assessors can give
    noticed: lead of one sample, or of the expected one, at least 0
    distance: d-prime, two-sided with a sign: towards B above 0
    """

    p_value: float
    least_p_value: float
    noticed: Estimate
    distance: Estimate
    replicates: Replicates | None

    def sentences(self, tally: Tally) -> Iterator[str]:
        """The counts and their test, how much was noticed, what stays open."""
        counts = words.chosen_in(tally, f"called {tally.attribute}", "tastings")
        yield words.exact_test(tally, counts, _needed(tally, self.least_p_value), self.p_value)
        yield " ".join(filter(None, self._extent(tally)))
        yield words.spread(self.replicates)

    def _extent(self, tally: Tally) -> Iterator[str]:
        if not self.low:
            yield words.noticed(tally, self.noticed)
            yield agreement(tally, self.verdict, self.noticed, 0.0)
            yield words.distance(tally, self.distance)
        if not self.verdict.difference:
            yield words.left_open(tally, None if self.low else self.noticed)

    def numbers(self, tally: Tally) -> Iterator[Number]:
        """Every number with its interval and how it was reached."""
        yield from numbers.p_values(
            tally, self.p_value, self.lower_tail, "exact sign-flip test of whole assessors"
        )
        yield numbers.counted_share(tally, how="all tastings", with_interval=False)
        yield numbers.share_estimate("Lead", self.noticed, HOW)
        yield numbers.distance(tally, self.distance, HOW)
        yield from numbers.pooled(tally, self.replicates)
        yield from numbers.spread(tally, self.replicates)


def _needed(tally: Tally, least: float) -> str:
    alpha = tally.design.alpha
    if least > alpha:
        return f"{tally.assessors} assessors are too few to show a direction (α = {alpha:g})"
    return f"{words.over_assessors(tally)}, α = {alpha:g}"


def _one_sided(chosen: Estimate) -> Estimate:
    """The expected sample's lead, at least 0; a share below one half reaches as high as above."""
    low, high = (2 * end - 1 for end in (chosen.low, chosen.high))
    high = max(high, -low) if chosen.value < 0.5 else high
    return Estimate(2 * chosen.value - 1, Interval(low, high, CONFIDENCE)).through(
        lambda ends: np.maximum(ends, 0.0)
    )


def signed_distance(model: Psychometric, chosen: Estimate) -> Estimate:
    """d-prime of a 2-AFC from the share that chose B; below one half it is negative."""
    return chosen.through(lambda shares: model.d_prime(shares) - model.d_prime(1 - shares))


def weigh_people(tally: Tally) -> WholePeopleEvidence:
    """The evidence in whole assessors."""
    design, model = tally.design, tally.method.model
    excesses = [2 * counted - tastings for counted, tastings in tally.scores]
    two_sided = sign_change_p_value(excesses)
    p = sign_change_p_value(excesses, design.sides)
    fit = replicates(tally)
    chosen = chosen_by_people(tally, fit, two_sided)
    noticed, distance = lead(chosen), signed_distance(model, chosen)
    if design.sides == 1:
        noticed = _one_sided(chosen)
        distance = noticed.through(lambda leads: model.d_prime((1 + leads) / 2))
    turned = [-excess for excess in excesses]
    return WholePeopleEvidence(
        verdict=Verdict.at(p, design.alpha),
        p_value=p,
        lower_tail=sign_change_p_value(turned, 1) if design.sides == 1 else None,
        least_p_value=sign_change_p_value([tastings for _, tastings in tally.scores], design.sides),
        noticed=noticed,
        distance=distance,
        replicates=fit,
    )
