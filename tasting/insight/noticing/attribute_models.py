"""What makes a drink more sour, or sweeter: directional tests.

The lead of B in the attribute asked for is linear in the differences, with weights of its own for
each attribute, of either sign: sugar takes sourness away, and acid takes sweetness away. For pairs
the model is the probit regression of the choices on the differences over the square root of 2,
without an intercept (Thurstone 1927, case V).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tasting.insight.noticing import identifiability
from tasting.insight.noticing.comparisons import Compared, PooledPair, pooled
from tasting.insight.noticing.design import clusters, likelihood, signed
from tasting.insight.noticing.distance_model import AgainstZero
from tasting.insight.noticing.drivers import Driver, Scale
from tasting.insight.noticing.identifiability import NotIdentified
from tasting.stats.checks import Floats
from tasting.stats.fitting.fit import Fitted, endless, estimate, fit, with_composition_uncertainty
from tasting.stats.likelihood import chi_square_tail


@dataclass(frozen=True, slots=True)
class Attribute:
    """Weights for one attribute: d-prime for each unit of a driver on the model's scale, by key.

    sessions, n: directional tests and answers that it rests on
    """

    name: str
    weights: dict[str, AgainstZero]
    sessions: int
    n: int
    fitted: Fitted
    moving: tuple[int, ...]
    scale: Floats

    def lead(self, deltas: Floats) -> Floats:
        """Value, low and high of how much more of the attribute B has, for each difference."""
        return self.fitted.interval(np.atleast_2d(deltas)[:, self.moving] / self.scale)


def fit_attribute(
    name: str,
    compared: Sequence[Compared],
    drivers: Sequence[Driver],
    scale: Scale,
    confidence: float,
) -> tuple[Attribute | None, list[NotIdentified]]:
    """The weights from all directional tests that asked for this attribute."""
    pairs = pooled(compared)
    moving, refused = identifiability.varied(pairs, drivers, scale, "direction", name)
    if not moving:
        return None, refused
    deltas = np.array([one.delta for one in pairs])[:, moving]
    unit = np.abs(deltas).max(axis=0)
    fitted = _fit(pairs, deltas / unit, moving, unit, confidence)
    weights = _weights(name, fitted, [drivers[index] for index in moving], unit, refused)
    answers = sum(one.n for one in pairs)
    return Attribute(
        name, weights, sum(one.sessions for one in pairs), answers, fitted, tuple(moving), unit
    ), refused


def _fit(
    compared: Sequence[PooledPair],
    design: Floats,
    moving: list[int],
    unit: Floats,
    confidence: float,
) -> Fitted:
    model = likelihood(compared, design)
    fitted = fit(model, signed, design, confidence, clusters(compared))
    slope = fitted.theta[: model.size] / unit
    components = [
        {source: float(each[moving] @ slope) for source, each in one.components.items()}
        for one in compared
    ]
    return with_composition_uncertainty(fitted, components)


def _weights(
    name: str, fitted: Fitted, moving: Sequence[Driver], unit: Floats, refused: list[NotIdentified]
) -> dict[str, AgainstZero]:
    table = fitted.interval(np.eye(fitted.likelihood.size))
    weights = {}
    for index, driver in enumerate(moving):
        (low, high), about = table[index, 1:], f"{name}: {driver.key}"
        if not fitted.explores(index):
            others = [other.name for other in moving if other is not driver]
            test = f"“{name}” comparison"
            refused.append(identifiability.confounded(about, driver.name, others, test))
        elif endless(low) or endless(high):
            refused.append(identifiability.no_upper_end(about, f"{driver.name} (“{name}”)"))
        else:
            row = estimate(table[index] / unit[index], fitted.confidence)
            statistic = fitted.likelihood_ratio([index], signed)
            weights[driver.key] = AgainstZero(row, statistic, chi_square_tail(statistic, 1))
    return weights
