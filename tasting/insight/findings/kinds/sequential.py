"""Answers taken one by one until Wald's test has decided."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from tasting.insight.findings import numbers, words
from tasting.insight.findings.agreement import above_limit, agreement
from tasting.insight.findings.estimates import replicates
from tasting.insight.findings.kinds.weighed import Weighed
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import CONFIDENCE, Number, Verdict
from tasting.panel.sizing_words import looks_in_words
from tasting.stats import sequential
from tasting.stats.looks import look_cost
from tasting.stats.replicates import Replicates
from tasting.stats.results import Estimate, Interval
from tasting.stats.sequential import EACH, Decision, Run, WaldTest
from tasting.stats.sequential_interval import stopped_interval, stopped_limit, stopped_middle
from tasting.wording import decimals, p_cell, percent, share


def _stop(tally: Tally) -> str:
    return (
        f"{numbers.exact(tally)}, allowing for the sequential stop; from the answers up to the "
        "decision"
    )


@dataclass(frozen=True, slots=True)
class SequentialEvidence(Weighed):
    """Wald's decision. A test of fixed size, its p-value and its intervals do not hold for answers
    that are looked at as they come, so there are none.

    decision: which line was reached; what it shows depends on the aim of the plan
    decided_after: the number of answers after which it reached a line; None if it did not
    correct: how many of those were
    upper_limit: of p_d, one-sided at the planned β
    noticed, distance: share who notice (p_d) and d-prime from the answers up to the decision, with
        intervals that allow for the stop
    """

    decision: Decision
    decided_after: int | None
    correct: int
    upper_limit: float
    noticed: Estimate
    distance: Estimate
    replicates: Replicates | None

    def open_direction(self, tally: Tally) -> bool:
        """Whether something is noticed, but people may each hold to a direction of their own."""
        return self.verdict.difference and bool(tally.attribute) and not _has_direction(tally)

    def sentences(self, tally: Tally) -> Iterator[str]:
        """The decision, how much was noticed."""
        yield self._decision(tally)
        yield " ".join(filter(None, self._extent(tally)))
        yield self._similarity(tally)
        yield words.spread(self.replicates)

    def _decision(self, tally: Tally) -> str:
        design, n = tally.design, tally.n
        told = f"{tally.count} of {n} correct"
        risks = f"α = {design.alpha:g}, β = {design.beta:g}, p_d = {design.p_d:g}"
        test = f"Wald's sequential test ({risks}{_looked(tally)})"
        after = f"after {self.decided_after} of {n} answers"
        if self.decision is Decision.GO_ON:
            return f"{told}; {test} had not decided after {n} answers."
        if self.decision is Decision.DIFFERENT:
            return f"{told}; {test} decided for a difference {after}."
        if self.verdict.similarity:
            return f"{told}; {test} decided for similarity {after}."
        return f"{told}; {test} stopped at its lower line {after}: {self._why_not(tally)}."

    def _why_not(self, tally: Tally) -> str:
        if tally.clustered:
            return "as people answered more than once, similarity is not concluded"
        missing = f"risk β = {tally.design.beta:g} of missing p_d = {percent(tally.design.p_d)}"
        return f"they were not shown to differ ({missing}); the plan did not aim at similarity"

    def _extent(self, tally: Tally) -> Iterator[str]:
        if not self.low:
            yield words.noticed(tally, self.noticed)
            yield agreement(tally, self.verdict, self.noticed, 0.0)
            yield words.distance(tally, self.distance)
        if self.verdict is Verdict.NEITHER:
            known = not (tally.clustered or self.low)
            yield words.left_open(tally, self.noticed if known else None)

    def _similarity(self, tally: Tally) -> str:
        if not self.verdict.similarity:
            return ""
        why = "" if self.low else above_limit(tally, self.noticed)
        return words.similarity(tally, self.upper_limit, why)

    def numbers(self, tally: Tally) -> Iterator[Number]:
        """Every number with its interval and how it was reached."""
        how = "all answers, including those after the decision"
        yield numbers.counted_share(tally, how=how, with_interval=False)
        yield Number(
            "p of a score this low", p_cell(self.lower_tail), f"{_stop(tally)}; if nobody notices"
        )
        yield numbers.share_estimate(numbers.share_name(tally), self.noticed, _stop(tally))
        how = f"one-sided at β = {tally.design.beta:g}, {_stop(tally)}"
        confidence = percent(1 - tally.design.beta)
        yield Number(f"Upper limit of p_d ({confidence} confidence)", share(self.upper_limit), how)
        yield numbers.estimate("Sensory distance d′", self.distance, _stop(tally))
        yield from _spent(tally)
        yield from numbers.spread(tally, self.replicates)

    def cautions(self, tally: Tally) -> Iterator[str]:
        """That it stopped where the score was far from the middle, or below guessing."""
        yield (
            "A sequential test stops when the score is extreme, which biases plain estimates; "
            "these estimates and intervals allow for the stop."
        )
        yield from filter(None, (_told(tally, self.decided_after),))
        yield from Weighed.cautions(self, tally)
        n = self.decided_after or tally.n
        if not self.low and self.verdict.similarity and self.correct < n * tally.design.chance:
            yield (
                f"{self.correct} of {n} is below guessing ({n * tally.design.chance:.1f}). That "
                "does not make the samples more alike, and mixed-up cups give such scores too."
            )


def _looked(tally: Tally) -> str:
    looks = tally.design.looks
    return "" if looks == EACH else f"; it {looks_in_words(looks)}"


def _spent(tally: Tally) -> Iterator[Number]:
    """The risks that looks fixed beforehand leave of the planned ones."""
    if tally.design.looks == EACH:
        return
    cost, how = look_cost(tally.wald_test), "exact, with the looks of this session"
    yield Number("Actual α", decimals(cost.alpha, 4), f"{how}; planned {tally.design.alpha:g}")
    yield Number("Actual β", decimals(cost.beta, 4), f"{how}; planned {tally.design.beta:g}")


def _told(tally: Tally, after: int | None) -> str:
    """What the host was told while it was open, where corrections have changed it since."""
    if tally.told_after is None or tally.told_after == after:
        return ""
    since = "it had not decided" if after is None else f"it decided after {after}"
    return (
        f"The host was shown a decision after {tally.told_after} answers, as first given. With the "
        f"corrections, of the answers that count, {since}."
    )


def _has_direction(tally: Tally) -> bool:
    """One person has one direction; of two choices, answers by different people have none."""
    return tally.assessors == 1 or (tally.method.two_choices and not tally.clustered)


def _verdict(tally: Tally, decision: Decision) -> Verdict:
    """Similarity needs a plan that aims at it, with a β that was stated for it."""
    if decision is Decision.DIFFERENT:
        return Verdict.DIFFERENCE
    aimed = tally.design.aim == "similarity" and not tally.clustered
    return Verdict.SIMILARITY if decision is Decision.SIMILAR and aimed else Verdict.NEITHER


def _estimates(tally: Tally, test: WaldTest, run: Run, correct: int) -> tuple[Estimate, Estimate]:
    """p_d and d-prime with the interval that allows for the stop."""
    chance, psychometric = tally.design.chance, tally.design.method.model
    interval = stopped_interval(test, run, correct, CONFIDENCE)
    noticed = stopped_middle(test, run, correct)
    shares = [chance + (1 - chance) * p_d for p_d in (noticed, interval.low, interval.high)]
    value, low, high = psychometric.d_prime(np.minimum(shares, 1.0)).tolist()
    return Estimate(noticed, interval), Estimate(value, Interval(low, high, CONFIDENCE))


def weigh_sequence(tally: Tally) -> SequentialEvidence:
    """Wald's decision on the answers as they came."""
    test = tally.wald_test
    answers = [given.counted for given in tally.choosing]
    run = sequential.run(test, answers)
    correct = sum(answers[: run.n])
    noticed, distance = _estimates(tally, test, run, correct)
    return SequentialEvidence(
        verdict=_verdict(tally, run.decision),
        decision=run.decision,
        decided_after=None if run.decision is Decision.GO_ON else run.n,
        correct=correct,
        lower_tail=sequential.lower_tail(test, run, correct),
        upper_limit=stopped_limit(test, run, correct, tally.design.beta),
        noticed=noticed,
        distance=distance,
        replicates=replicates(tally),
    )
