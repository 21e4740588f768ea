"""Which of two is preferred, when some may have no preference.

The test of preference is two-sided and exact (ISO 5495). What becomes of "no preference" must be
planned; the ways are shown side by side. Dividing those answers in proportion to the others is not
among them: it invents evidence.
"""

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np

from tasting.errors import InputError
from tasting.stats.binomial import p_value, proportion_interval
from tasting.stats.checks import check_confidence
from tasting.stats.likelihood import (
    binomial_log_likelihood,
    chi_square_tail,
)
from tasting.stats.results import Interval
from tasting.stats.share_interval import share_interval


@dataclass(frozen=True, slots=True)
class TiesModel:
    """Davidson's model of one pair (Davidson 1970, JASA 65:317, equation 2.2).

    A is chosen with probability w / (1 + nu sqrt(w (1 - w))), w being A's `worth` of 1 in all, with
    its profile-likelihood interval (`share_interval`); `tie_weight` nu says how readily one is
    undecided. `p_value` is the likelihood ratio of equal worths.
    """

    worth: float
    interval: Interval
    tie_weight: float
    p_value: float


@dataclass(frozen=True, slots=True)
class Preference:
    """Two-sided preference for A or B, with those of no preference treated in three ways.

    `dropped_p_value` and the exact interval `share` of A: only those who chose. `split_p_value`:
    the undecided halved, an odd one given to the less chosen. `model`: ties are an answer.
    """

    for_a: int
    for_b: int
    none: int
    share: Interval
    dropped_p_value: float
    split_p_value: float
    model: TiesModel


def preference(for_a: int, for_b: int, none: int = 0, confidence: float = 0.95) -> Preference:
    """Is one of two products preferred?

    Raises `InputError` if nobody chose.

    >>> result = preference(45, 30, 25)
    >>> round(result.dropped_p_value, 4), round(result.split_p_value, 4), result.model.worth
    (0.1053, 0.1933, 0.6)
    """
    if for_a + for_b == 0:
        raise InputError("nobody chose one of the two, so there is no preference to look at.")
    more = max(for_a, for_b) + none // 2
    return Preference(
        for_a,
        for_b,
        none,
        share=proportion_interval(for_a, for_a + for_b, check_confidence(confidence)),
        dropped_p_value=p_value(for_a, for_a + for_b, 0.5, sides=2),
        split_p_value=p_value(more, for_a + for_b + none, 0.5, sides=2),
        model=_ties_model(for_a, for_b, none, confidence),
    )


def _ties_model(for_a: int, for_b: int, none: int, confidence: float) -> TiesModel:
    """With one pair the model is saturated: the tie weight fits the ties whatever the worth."""
    worth = for_a / (for_a + for_b)

    def deviance(share: float) -> float:
        both = binomial_log_likelihood(for_a, for_a + for_b, np.array([worth, share]))
        return 2 * float(both[0] - both[1])

    return TiesModel(
        worth,
        share_interval(for_a, for_a + for_b, confidence=confidence),
        none / sqrt(for_a * for_b) if for_a and for_b else (inf if none else 0.0),
        chi_square_tail(deviance(0.5), 1),
    )
