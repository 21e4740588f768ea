"""Does the model fit? Its deviance against that of data drawn from itself.

With a few dozen answers a session the deviance has no known distribution, so it is compared with
what the fitted model itself produces: data are drawn from it, the model is fitted to them again,
and the share of draws that deviate at least as much is the p-value (Davison and Hinkley 1997,
Bootstrap Methods and their Application, section 4.2).
"""

from dataclasses import dataclass, replace

import numpy as np

from tasting.errors import InputError
from tasting.insight.noticing.distance_model import Distance
from tasting.insight.noticing.model import ThresholdModel
from tasting.stats.checks import Floats
from tasting.stats.fitting.likelihood import Likelihood, Rows, categories
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
    deviance = float(distance.deviance(distance.fitted.theta[None])[0])
    as_much = int(np.sum(drawn >= deviance - 1e-9))
    return FitCheck(deviance, float(np.median(drawn)), (1 + as_much) / (1 + draws), draws)


def drawn_deviances(distance: Distance, draws: int, random: np.random.Generator) -> Floats:
    """Deviances of data drawn from the model and fitted again, all draws climbing together."""
    fitted = distance.fitted
    given = fitted.each
    rows = tuple(_drawn(rows, fitted.theta, given, draws, random) for rows in given.rows)
    model = replace(given, rows=rows)
    start = fitted.bounds.interior_point(np.repeat(fitted.summit.theta, draws, axis=0))
    summit = maximise(model, fitted.bounds, start)
    return replace(distance, fitted=replace(fitted, each=model)).deviance(summit.theta)


def _drawn(
    rows: Rows, theta: Floats, model: Likelihood, draws: int, random: np.random.Generator
) -> Rows:
    share, _ = rows.shares(theta[None, : model.size] @ rows.design.T)
    spread = theta[-1:, None] if model.spread else np.zeros((1, 1))
    chances = categories(rows, share, spread)[0][0]
    chances = chances / chances.sum(axis=-1, keepdims=True)
    assessors = rows.counts.sum(axis=-1).astype(int)
    counts = random.multinomial(assessors, chances, size=(draws, len(assessors)))
    return replace(rows, counts=counts.astype(float))
