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
from tasting.insight.findings.kinds.weighed import Weighed
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import CONFIDENCE, Number, Verdict
from tasting.panel.methods import Contrast
from tasting.stats.results import Estimate
from tasting.wording import p_cell, p_value

_LIKELIHOOD = "likelihood: every value at least 1/20 as likely as the best"
_KNOWING = "if assessors know what differs"
_FAR_OFF = "if they judge by how far the cup is from the labelled reference"


@dataclass(frozen=True, slots=True)
class CriterionEvidence(Weighed):
    """The weight of reports.

    p_value: of Fisher's exact test, one-sided; lower_tail: the same, other side
    distance: d-prime with its likelihood interval; None where all answers are of one kind
    by_reference: the same by the other rule that assessors may judge by, where there is one
    """

    p_value: float
    distance: Estimate | None
    by_reference: Estimate | None

    def sentences(self, tally: Tally) -> Iterator[str]:
        """The counts and their test, the distance, what stays open."""
        yield _test(tally, self.p_value)
        yield " ".join(self._extent(tally))

    def _extent(self, tally: Tally) -> Iterator[str]:
        if self.distance and not self.low:
            said = words.distance(tally, self.distance)
            if self.by_reference is None:
                yield said
            else:
                other = words.distance(tally, self.by_reference, "Or")
                yield f"{said[:-1]} {_KNOWING}. {other[:-1]} {_FAR_OFF}."
        if not self.verdict.difference:
            yield words.left_open(tally)

    def numbers(self, tally: Tally) -> Iterator[Number]:
        """Every number with its interval and how it was reached."""
        yield Number("p", p_cell(self.p_value), "Fisher's exact test, one-sided")
        yield Number(
            "p of a score this low", p_cell(self.lower_tail), "Fisher's exact test, other side"
        )
        if self.distance:
            how = f"{_LIKELIHOOD}; {_KNOWING}" if self.by_reference else _LIKELIHOOD
            yield numbers.estimate("Sensory distance d′", self.distance, how)
        if self.by_reference:
            how = f"{_LIKELIHOOD}; {_FAR_OFF}"
            yield numbers.estimate("d′ by the reference", self.by_reference, how)

    def cautions(self, tally: Tally) -> Iterator[str]:
        """That a difference was reported far more often where there is none."""
        if self.low:
            yield (
                "A difference was reported less often for sets with one (P "
                f"{p_value(self.lower_tail)}): check the serving key and the cups."
            )


def _test(tally: Tally, p: float) -> str:
    (reports_none, sets_none), (reports_some, sets_some) = _reports(tally)
    return (
        f"A difference was reported for {reports_some} of {sets_some} sets with one and for "
        f"{reports_none} of {sets_none} sets with none; Fisher's exact test, one-sided: "
        f"p {p_value(p)} (α = {tally.design.alpha:g}, n = {tally.n})."
    )


def _reports(tally: Tally) -> list[tuple[int, int]]:
    """Reports of a difference, and sets: for those without a difference, then for those with."""
    order, method = tally.method.orders[0], tally.method
    reporting = [method.is_counted(order, option) for option in range(len(method.options))]
    return [(sum(itertools.compress(row, reporting)), sum(row)) for row in tally.by_option or ()]


def _distance(tally: Tally, model: Contrast | None) -> Estimate | None:
    """None where the answers leave the distance open, because all are of one kind."""
    if not (tally.by_option and model):
        return None
    try:
        return model(*tally.by_option, CONFIDENCE)
    except (InputError, ZeroDivisionError):
        return None


def weigh_reports(tally: Tally) -> CriterionEvidence:
    """The evidence in reports of a difference: Fisher's exact test."""
    table = np.array([(reports, sets - reports) for reports, sets in reversed(_reports(tally))])
    p, tail = (
        min(1.0, float(fisher_exact(table, alternative=side).pvalue))
        for side in ("greater", "less")
    )
    distance = _distance(tally, tally.method.criterion_model)
    return CriterionEvidence(
        verdict=Verdict.at(p, tally.design.alpha),
        p_value=p,
        lower_tail=tail,
        distance=distance,
        by_reference=_distance(tally, tally.method.by_reference_model) if distance else None,
    )
