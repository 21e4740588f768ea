"""Answers without a chance of guessing: to sets with a difference, against those to sets without.

Each assessor has a criterion of their own for what to call a difference.
"""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.stats import fisher_exact

from tasting.errors import InputError
from tasting.insight.findings import numbers, words
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import CONFIDENCE, Number, Verdict
from tasting.stats.results import Estimate
from tasting.wording import p_cell, p_value

MORE_SETS = "Next: if a smaller difference matters, plan a session with more sets."
LIKELIHOOD = "likelihood: all that is at least 1/20 as likely as the best value"


@dataclass(frozen=True, slots=True)
class CriterionEvidence:
    """The weight of reports.

    p_value: of Fisher's exact test, one-sided
    distance: d-prime with its likelihood interval; None where all answers are of one kind
    """

    verdict: Verdict
    p_value: float
    distance: Estimate | None

    def headline(self, tally: Tally) -> str:
        """The finding in one line."""
        return words.headline(tally, self.verdict)

    def sentences(self, tally: Tally) -> Iterator[str]:
        """The counts and their test, the distance, what stays open, one next step."""
        yield _test(tally, self.p_value)
        yield " ".join(self._extent(tally))
        yield words.next_step(tally, self.verdict, words.after_difference(tally), MORE_SETS)

    def _extent(self, tally: Tally) -> Iterator[str]:
        if self.distance:
            yield words.distance(tally, self.distance, "likelihood")
        if not self.verdict.difference:
            yield words.left_open("no difference")

    def numbers(self, tally: Tally) -> Iterator[Number]:
        """Every number with its interval and how it was reached."""
        yield Number("p", p_cell(self.p_value), "Fisher's exact test, one-sided")
        if self.distance:
            yield numbers.estimate("Sensory distance d′", self.distance, LIKELIHOOD)

    def cautions(self, tally: Tally) -> Iterator[str]:
        """What limits it beyond what limits every finding: nothing."""
        return iter(())


def _test(tally: Tally, p: float) -> str:
    (reports_none, sets_none), (reports_some, sets_some) = _reports(tally)
    return (
        f"A difference was reported for {reports_some} of {sets_some} sets with a difference and "
        f"for {reports_none} of {sets_none} sets with none (Fisher's exact test, one-sided "
        f"p {p_value(p)}, α = {tally.design.alpha:g}, n = {tally.n})."
    )


def _reports(tally: Tally) -> list[tuple[int, int]]:
    """Reports of a difference, and sets: for those without a difference, then for those with."""
    order, method = tally.method.orders[0], tally.method
    reporting = [method.is_counted(order, option) for option in range(len(method.options))]
    return [(sum(itertools.compress(row, reporting)), sum(row)) for row in tally.by_option or ()]


def _distance(tally: Tally) -> Estimate | None:
    """None where the answers leave the distance open, because all are of one kind."""
    if not (tally.by_option and tally.method.criterion_model):
        return None
    try:
        found = tally.method.criterion_model(*tally.by_option, CONFIDENCE)
    except (InputError, ZeroDivisionError):
        return None
    return Estimate(found.value, found.interval)


def weigh_reports(tally: Tally) -> CriterionEvidence:
    """The evidence in reports of a difference: Fisher's exact test."""
    table = [(reports, sets - reports) for reports, sets in reversed(_reports(tally))]
    p = float(fisher_exact(np.array(table), alternative="greater").pvalue)
    return CriterionEvidence(Verdict.at(p, tally.design.alpha), p, _distance(tally))
