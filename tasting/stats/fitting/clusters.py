"""How much wider intervals are where the same assessors come again and differ in sensitivity.

An assessor's answers in several sessions are alike, so that many of them tell less than as many
answers of different assessors. The likelihood takes assessors of different sessions for
independent; what that does to a quantity is seen from how the assessors' own scores scatter: the
variance by them over the variance by the information is what the likelihood ratio is divided by
(Liang and Zeger 1986, Biometrika 73:13; Rotnitzky and Jewell 1990, 77:485; both from memory).
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy import special

from tasting.stats.checks import Floats, Ints
from tasting.stats.fitting.likelihood import Likelihood, categories

# Of fewer assessors the scatter says next to nothing: the quantile of their t distribution would
# alone make intervals half as wide again, and then several times as wide.
LEAST_ASSESSORS: Final = 5
# A variance below this is none; it keeps the division finite.
_NOTHING: Final = 1e-300


@dataclass(frozen=True, slots=True)
class Clusters:
    """Who gave which answers: one place for each assessor's score in each different comparison.

    who: number of the assessor; which: index of the comparison; tastings: answers given;
    counted: those that counted; times: sessions in which the assessor had this score
    """

    who: Ints
    which: Ints
    tastings: Ints
    counted: Ints
    times: Ints

    @property
    def assessors(self) -> int:
        """How many different assessors there are."""
        return len(np.unique(self.who))

    @property
    def come_again(self) -> bool:
        """Whether somebody took part in several sessions, and there are enough assessors to see how
        they differ."""
        return LEAST_ASSESSORS <= self.assessors < int(self.times.sum())


def scores_of_assessors(each: Likelihood, theta: Floats, clusters: Clusters) -> Floats:
    """Slope of the log-likelihood that each assessor brings, a row each.

    each: with the rows of every comparison apart; theta: one parameter vector
    """
    _, owner = np.unique(clusters.who, return_inverse=True)
    total = np.zeros((int(owner.max()) + 1, each.parameters))
    spread = theta[-1:, None] if each.spread else np.zeros((1, 1))
    for rows in each.rows:
        predictor, slopes = rows.along(theta[None])
        share, slope = rows.shares(predictor)
        chances, by_share, by_spread = (part[0] for part in categories(rows, share, spread))
        own = (clusters.tastings == rows.replicates) & np.isin(clusters.which, rows.which)
        place = np.searchsorted(rows.which, clusters.which[own])
        counted = clusters.counted[own]
        chance = chances[place, counted]
        along = slope[0, place] * by_share[place, counted] / chance
        total_of = along[:, None] * slopes[0, place]
        if each.spread:
            total_of = np.column_stack([total_of, by_spread[place, counted] / chance])
        np.add.at(total, owner[own], clusters.times[own, None] * total_of)
    return total


def inflation(scores: Floats, covariance: Floats, gradients: Floats, confidence: float) -> Floats:
    """What the cut of a likelihood ratio is multiplied with, for each row of gradients; at least 1.

    The scatter of few assessors is itself uncertain: their t distribution stands for the normal.
    """
    many = len(scores)
    along = gradients @ covariance
    robust = many / (many - 1) * ((along @ scores.T) ** 2).sum(axis=1)
    plain = np.maximum((along * gradients).sum(axis=1), _NOTHING)
    tail = (1 + confidence) / 2
    few = special.stdtrit(many - 1, tail) / special.ndtri(tail)
    return np.asarray(np.maximum(robust / plain, 1.0) * few**2)
