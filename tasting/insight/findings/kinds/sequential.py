"""Answers taken one by one until Wald's test has decided."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from tasting.insight.findings import numbers, words
from tasting.insight.findings.estimates import replicates
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import CONFIDENCE, Number, Verdict
from tasting.stats import sequential
from tasting.stats.replicates import Replicates
from tasting.stats.results import Estimate, Interval
from tasting.stats.sequential import Decision, Run, WaldTest
from tasting.stats.sequential_interval import stopped_interval

STOP = "exact, the sequential stop allowed for; from the answers up to the decision"


@dataclass(frozen=True, slots=True)
class SequentialEvidence:
    """Wald's decision. A test of fixed size, its p-value and its intervals do not hold for answers
    that are looked at as they come, so there are none.

    decided_after: the number of answers after which it reached a line; for similarity that decides
        only where nobody answered more than once, or one person did
    noticed, distance: share who notice (p_d) and d-prime from the answers up to the decision, with
        intervals that allow for the stop
    """

    verdict: Verdict
    decided_after: int | None
    noticed: Estimate
    distance: Estimate
    replicates: Replicates | None

    def headline(self, tally: Tally) -> str:
        """The finding in one line."""
        return words.headline(tally, self.verdict)

    def sentences(self, tally: Tally) -> Iterator[str]:
        """The decision, how much was noticed, one next step."""
        yield self._decision(tally)
        yield " ".join(self._extent(tally))
        yield words.spread(self.replicates)
        yield words.next_step(tally, self.verdict, words.after_difference(tally))

    def _decision(self, tally: Tally) -> str:
        design, n, correct = tally.design, tally.n, tally.count
        risks = f"α = {design.alpha:g}, β = {design.beta:g}, p_d = {design.p_d:g}"
        test = f"Wald's sequential test ({risks})"
        if self.decided_after is None:
            return f"{test} had not decided after {n} answers, {correct} of them correct."
        if self.verdict is Verdict.NEITHER:
            return (
                f"{test} reached its line for similarity after {self.decided_after} of {n} "
                "answers; as people answered more than once, similarity is not concluded. "
                f"{correct} of {n} were correct."
            )
        decided = "a difference" if self.verdict.difference else "similarity"
        return (
            f"{test} decided for {decided} after {self.decided_after} of {n} answers; {correct} "
            f"of {n} were correct."
        )

    def _extent(self, tally: Tally) -> Iterator[str]:
        yield words.noticed(self.noticed)
        yield words.distance(tally, self.distance)
        if self.verdict is Verdict.NEITHER:
            yield words.left_open("no difference")

    def numbers(self, tally: Tally) -> Iterator[Number]:
        """Every number with its interval and how it was reached."""
        how = "all answers, those after the decision too"
        yield numbers.counted_share(tally, how=how, with_interval=False)
        yield numbers.share_estimate("Share that noticed, p_d", self.noticed, STOP)
        yield numbers.estimate("Sensory distance d′", self.distance, STOP)
        yield from numbers.spread(self.replicates)

    def cautions(self, tally: Tally) -> Iterator[str]:
        """That it stopped where the score was far from the middle."""
        yield (
            "A sequential test stops when the score is far from the middle, so the share that "
            "noticed and d′ lean that way. They rest on the answers up to the decision; their "
            "intervals allow for the stop."
        )


def _verdict(tally: Tally, decision: Decision) -> Verdict:
    if decision is Decision.DIFFERENT:
        return Verdict.DIFFERENCE
    if decision is Decision.SIMILAR and not tally.clustered:
        return Verdict.SIMILARITY
    return Verdict.NEITHER


def _estimates(tally: Tally, test: WaldTest, run: Run, correct: int) -> tuple[Estimate, Estimate]:
    """p_d and d-prime with the interval that allows for the stop."""
    chance, psychometric = tally.design.chance, tally.design.method.model
    interval = stopped_interval(test, run, correct, CONFIDENCE)
    noticed = max(0.0, (correct / run.n - chance) / (1 - chance))
    shares = [chance + (1 - chance) * p_d for p_d in (noticed, interval.low, interval.high)]
    value, low, high = psychometric.d_prime(np.minimum(shares, 1.0)).tolist()
    return Estimate(noticed, interval), Estimate(value, Interval(low, high, CONFIDENCE))


def weigh_sequence(tally: Tally) -> SequentialEvidence:
    """Wald's decision on the answers as they came."""
    test = tally.design.wald_test
    answers = [given.counted for given in tally.choosing]
    run = sequential.run(test, answers)
    noticed, distance = _estimates(tally, test, run, sum(answers[: run.n]))
    return SequentialEvidence(
        verdict=_verdict(tally, run.decision),
        decided_after=None if run.decision is Decision.GO_ON else run.n,
        noticed=noticed,
        distance=distance,
        replicates=replicates(tally),
    )
