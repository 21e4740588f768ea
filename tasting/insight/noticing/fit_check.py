"""Does the model fit? Its deviance against that of data drawn from itself.

With a few dozen answers a session the deviance has no known distribution, so it is compared with
what the fitted model itself produces: data are drawn from it, the model is fitted to them again,
and the share of draws that deviate at least as much is the p-value (Davison and Hinkley 1997,
Bootstrap Methods and their Application, section 4.2).
"""

from dataclasses import dataclass, replace

import numpy as np

from tasting.errors import InputError
from tasting.insight.noticing.distance_model import Distance, own_share, shares_alone
from tasting.insight.noticing.model import ThresholdModel
from tasting.stats.checks import Floats
from tasting.stats.fitting.likelihood import Rows, categories
from tasting.stats.fitting.maximise import maximise


@dataclass(frozen=True, slots=True)
class FitCheck:
    """Deviance of the data, the usual one of the model, and the share of draws with as much. A
    small p-value says that something else than the drivers was at work."""

    deviance: float
    usual: float
    p_value: float
    draws: int


def fit_check(noticing: ThresholdModel, draws: int = 499, seed: int = 0) -> FitCheck:
    """Parametric bootstrap of the deviance of all difference tests.

    Raises InputError where there is no fitted distance, or for fewer than 19 draws.
    """
    distance = noticing.distance
    if distance is None:
        raise InputError("no difference test was fitted, so there is no fit to check")
    if draws < 19:
        raise InputError(f"draws is {draws}; at least 19 are needed for a p-value of 0.05")
    drawn = drawn_deviances(distance, draws, np.random.default_rng(seed))
    deviance = distance.deviance(distance.fitted.theta)
    as_much = int(np.sum(drawn >= deviance - 1e-9))
    return FitCheck(deviance, float(np.median(drawn)), (1 + as_much) / (1 + draws), draws)


def drawn_deviances(distance: Distance, draws: int, random: np.random.Generator) -> Floats:
    """Deviances of data drawn from the model, session by session, and fitted again as sums, all
    draws climbing together."""
    fitted, own = distance.fitted, np.zeros(draws)
    given, rows = fitted.each, []
    for each in given.rows:
        drawn, gain = _drawn(distance, each, draws, random)
        rows.append(drawn)
        own += gain
    model = replace(given, rows=tuple(rows))
    start = fitted.bounds.interior_point(np.repeat(fitted.summit.theta, draws, axis=0))
    summit = maximise(model, fitted.bounds, start)
    return 2 * (own - shares_alone(model, summit.theta))


def _drawn(
    distance: Distance, rows: Rows, draws: int, random: np.random.Generator
) -> tuple[Rows, Floats]:
    """Rows with counts of their own for each draw, and what the sessions' own shares gain."""
    model, theta = distance.fitted.each, distance.fitted.theta
    share, _ = rows.shares(rows.along(theta[None])[0])
    spread = theta[-1:, None] if model.spread else np.zeros((1, 1))
    chances = categories(rows, share, spread)[0][0]
    chances = chances / chances.sum(axis=-1, keepdims=True)
    counts, own = np.zeros((draws, *chances.shape)), np.zeros(draws)
    for place, which in enumerate(rows.which.tolist()):
        for score, times in distance.compared[which].scores.items():
            if score.replicates == rows.replicates:
                size = (draws, times)
                drawn = random.multinomial(score.assessors, chances[place], size=size)
                right = drawn @ np.arange(rows.replicates + 1)
                own += own_share(right, score.assessors * score.replicates).sum(axis=1)
                counts[:, place] += drawn.sum(axis=1)
    return replace(rows, counts=counts), own
