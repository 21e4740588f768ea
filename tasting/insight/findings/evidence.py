"""What the counts of a session weigh: tests, estimates and the verdict that follows from them."""

import itertools
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np
from scipy import stats as distributions

from tasting.errors import InputError
from tasting.insight.findings.tally import Tally
from tasting.panel.methods import Contrast
from tasting.stats import dprime, sequential, similarity
from tasting.stats.binomial import distinguishers, p_value, proportion_interval
from tasting.stats.power import detectable
from tasting.stats.preference import Preference, preference
from tasting.stats.replicates import (
    Replicates,
    fit_replicates,
    replicated_limit,
    sign_change_p_value,
)
from tasting.stats.results import Estimate, Interval
from tasting.stats.sequential_interval import stopped_interval
from tasting.stats.tables import CriticalNumber, critical

CONFIDENCE = 0.95


class Verdict(Enum):
    """What is shown: a difference, similarity, both (a small difference) or neither."""

    DIFFERENCE = "difference"
    SIMILARITY = "similarity"
    SMALL = "small difference"
    NEITHER = "neither"

    @property
    def difference(self) -> bool:
        """Whether a difference is shown."""
        return self in (Verdict.DIFFERENCE, Verdict.SMALL)

    @property
    def similarity(self) -> bool:
        """Whether similarity at the planned p_d is shown."""
        return self in (Verdict.SIMILARITY, Verdict.SMALL)


@dataclass(frozen=True, slots=True)
class Evidence:
    """The weight of a tally; None is what does not apply to the method or the plan.

    p_value: exact, one- or two-sided as fixed in the plan
    critical: the number that shows a difference, and the published row that it was looked up in
    noticed: share of tastings in which the difference was noticed (p_d), with its exact interval
    distance: d-prime with its exact interval, which allows for the stop of a sequential test; for a
        method without a chance of guessing with the likelihood interval
    likelihood: where `distance` is exact, the narrower profile-likelihood interval
    p_d_limit: one-sided 1 - β upper limit of p_d, where it may speak for similarity
    approximate_limit: the standards' normal formula for the same, for comparison only
    missed: the smallest p_d that so many tastings would have shown with probability 1 - β
    replicates: how far repeated answers of the same assessors hang together
    preference: the three ways to look at answers without a preference
    decided_after: for a sequential test, the number of answers after which it reached a line;
        for similarity that decides only where nobody answered more than once, or one person did
    """

    verdict: Verdict
    p_value: float | None = None
    critical: CriticalNumber | None = None
    noticed: Estimate | None = None
    distance: Estimate | None = None
    likelihood: Interval | None = None
    p_d_limit: float | None = None
    approximate_limit: float | None = None
    missed: float | None = None
    replicates: Replicates | None = None
    preference: Preference | None = None
    decided_after: int | None = None


def weigh(tally: Tally) -> Evidence:
    """The evidence in a tally of at least one answer."""
    if tally.by_option and tally.method.criterion_model:
        return _contrast(tally, tally.method.criterion_model, *tally.by_option)
    evidence = _counted(tally)
    if tally.sequential:
        return _sequential(tally, evidence)
    if tally.method.question_kind == "preference":
        return _preferred(tally, evidence)
    return _similar(tally, evidence) if tally.sides == 1 else evidence


def _counted(tally: Tally) -> Evidence:
    """Counts against the chance of guessing: exact binomial, and the published table's row."""
    method = tally.method
    table = method.table if tally.sides == 1 else None
    number = critical(tally.n, method.chance, tally.alpha, tally.sides, table)
    shown = tally.extreme >= number.value
    signed = tally.sides == 2
    distance = dprime.d_prime(tally.count, tally.n, method.model, CONFIDENCE, signed=signed)
    return Evidence(
        verdict=Verdict.DIFFERENCE if shown else Verdict.NEITHER,
        p_value=p_value(tally.count, tally.n, method.chance, tally.sides),
        critical=number,
        noticed=noticed_share(tally),
        distance=Estimate(distance.value, distance.exact),
        likelihood=distance.interval,
        missed=detectable(tally.n, method.chance, tally.alpha, tally.beta, tally.sides),
        replicates=_replicates(tally),
    )


def noticed_share(tally: Tally) -> Estimate:
    """p_d with its exact 95 % interval (Clopper and Pearson 1934).

    One-sided: (p_c - chance) / (1 - chance), at least 0. Two-sided: the distance of the two
    choices, |2p - 1|, whose interval reaches down to 0 when it holds both directions.
    """
    if tally.sides == 1:
        return distinguishers(tally.count, tally.n, tally.method.chance, CONFIDENCE)
    interval = proportion_interval(tally.count, tally.n, CONFIDENCE)
    ends = (2 * interval.low - 1, 2 * interval.high - 1)
    nearest = 0.0 if ends[0] < 0 < ends[1] else min(map(abs, ends))
    farthest = max(map(abs, ends))
    value = abs(2 * tally.count / tally.n - 1)
    return Estimate(value, Interval(nearest, farthest, CONFIDENCE))


def _even(tally: Tally) -> int:
    """How often each of several assessors answered, if all did equally often; else 0."""
    times = {tastings for _, tastings in tally.scores}
    return times.pop() if len(times) == 1 and len(tally.scores) > 1 else 0


def _replicates(tally: Tally) -> Replicates | None:
    times = _even(tally)
    if times < 2:
        return None
    chance = tally.method.chance if tally.sides == 1 else 0.0
    return fit_replicates([counted for counted, _ in tally.scores], times, chance)


def _similar(tally: Tally, evidence: Evidence) -> Evidence:
    """Similarity at the planned p_d and β, exact; nothing is concluded below chance.

    Only a plan that aims at similarity may conclude it: the β of others is the usual, loose one.
    """
    limit = _p_d_limit(tally)
    evidence = replace(evidence, p_d_limit=limit, approximate_limit=_approximate(tally))
    above_chance = tally.count >= tally.n * tally.method.chance * (1 - 1e-12)
    similar = limit is not None and limit < tally.p_d
    if not (tally.similarity_aim and above_chance and similar):
        return evidence
    shown = evidence.verdict is Verdict.DIFFERENCE
    verdict = Verdict.SMALL if shown else Verdict.SIMILARITY
    return replace(evidence, verdict=verdict)


def _approximate(tally: Tally) -> float | None:
    if tally.clustered:
        return None
    return similarity.approximate_limit(tally.count, tally.n, tally.method.chance, tally.beta)


def _p_d_limit(tally: Tally) -> float | None:
    chance, beta = tally.method.chance, tally.beta
    if not tally.clustered:
        return similarity.upper_limit(tally.count, tally.n, chance, beta)
    times = _even(tally)
    if times < 2:
        return None
    return replicated_limit([counted for counted, _ in tally.scores], times, chance, beta)


def _sequential(tally: Tally, evidence: Evidence) -> Evidence:
    """Wald's decision; the fixed-size test and its p-value do not hold when looking as one goes.

    Neither do its intervals: what is estimated rests on the answers up to the decision.
    """
    test = sequential.wald_test(tally.method.chance, tally.p_d, tally.alpha, tally.beta)
    answers = [given.counted for given in tally.choosing]
    run = sequential.run(test, answers)
    verdict = {
        sequential.Decision.DIFFERENT: Verdict.DIFFERENCE,
        sequential.Decision.SIMILAR: Verdict.SIMILARITY,
        sequential.Decision.GO_ON: Verdict.NEITHER,
    }[run.decision]
    after = None if verdict is Verdict.NEITHER else run.n
    if verdict is Verdict.SIMILARITY and tally.clustered:
        verdict = Verdict.NEITHER
    noticed, distance = _stopped(tally, test, run, sum(answers[: run.n]))
    return replace(
        evidence,
        verdict=verdict,
        p_value=None,
        critical=None,
        missed=None,
        decided_after=after,
        noticed=noticed,
        distance=distance,
        likelihood=None,
    )


def _stopped(
    tally: Tally, test: sequential.WaldTest, run: sequential.Run, correct: int
) -> tuple[Estimate, Estimate]:
    """p_d and d-prime with the interval that allows for the stop."""
    chance, psychometric = tally.method.chance, tally.method.model
    interval = stopped_interval(test, run, correct, CONFIDENCE)
    noticed = max(0.0, (correct / run.n - chance) / (1 - chance))
    shares = [chance + (1 - chance) * p_d for p_d in (noticed, interval.low, interval.high)]
    value, low, high = psychometric.d_prime(np.minimum(shares, 1.0)).tolist()
    return Estimate(noticed, interval), Estimate(value, Interval(low, high, CONFIDENCE))


def _preferred(tally: Tally, evidence: Evidence) -> Evidence:
    """Repeated preferences flip whole assessors; answers without a preference are looked at too.

    One assessor's repeated answers speak for that person only, and are taken as independent.
    """
    found = preference(tally.n - tally.count, tally.count, tally.undecided)
    evidence = replace(evidence, preference=found if tally.undecided else None)
    if not tally.replicated or tally.assessors == 1:
        return evidence
    excesses = [2 * counted - tastings for counted, tastings in tally.scores]
    p = sign_change_p_value(excesses)
    verdict = Verdict.DIFFERENCE if p <= tally.alpha else Verdict.NEITHER
    return replace(evidence, verdict=verdict, p_value=p, critical=None, missed=None)


def _contrast(
    tally: Tally, contrast: Contrast, none: tuple[int, ...], some: tuple[int, ...]
) -> Evidence:
    """Answers to sets with a difference against answers to sets without: Fisher's exact test."""
    order = tally.method.orders[0]
    counting = [tally.method.is_counted(order, option) for option in range(len(none))]
    table = [
        [sum(itertools.compress(row, counting)), sum(row) - sum(itertools.compress(row, counting))]
        for row in (some, none)
    ]
    p = float(distributions.fisher_exact(np.array(table), alternative="greater").pvalue)
    verdict = Verdict.DIFFERENCE if p <= tally.alpha else Verdict.NEITHER
    return Evidence(verdict=verdict, p_value=p, distance=_contrast_distance(contrast, none, some))


def _contrast_distance(
    contrast: Contrast, none: tuple[int, ...], some: tuple[int, ...]
) -> Estimate | None:
    """None where the answers leave the distance open, because all are of one kind."""
    try:
        found = contrast(none, some, CONFIDENCE)
    except (InputError, ZeroDivisionError):
        return None
    return Estimate(found.value, found.interval)
