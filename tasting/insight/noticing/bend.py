"""A response that may bend: distance grows with a power of the step, and nobody knows which.

In proportion is the simplest, but senses may as well notice the first gram more than the next, or
the other way round (a power of the step: Stevens 1957, Psychol Rev 64:153, from memory). Sessions
that tried steps of different sizes tell the power, and few sessions hardly do. So the power, one
for all drivers, is one more parameter: every interval is profiled over it. With differences in
units of the largest that was tasted, what is known best, how far apart the largest step is, hardly
depends on it; how much smaller or larger steps are noticed does.
"""

from dataclasses import dataclass

import numpy as np

from tasting.insight.noticing.design import Distances
from tasting.stats.checks import Floats
from tasting.stats.fitting.likelihood import bent


def growth(layout: Distances, factors: Floats) -> Floats:
    """By how much the logarithm of each factor, given for a power of 1, grows with the power."""
    twice = np.ones(layout.size)
    if layout.pair:
        twice[layout.q_index] = 2.0
    size = np.abs(factors) / twice
    return np.asarray(np.log(np.where(size > 0, size, 1.0)))


@dataclass(frozen=True, slots=True)
class SquaredDistance:
    """Squared distance at other differences: a quantity for `Fitted.interval`, from their factors
    for a power of 1."""

    layout: Distances

    def __call__(self, theta: Floats, factors: Floats) -> tuple[Floats, Floats]:
        size = self.layout.size
        bend = growth(self.layout, factors[:, :size])
        felt = bent(factors[:, :size], bend, theta[:, size, None])
        parts, slopes = theta[:, :size] * felt, np.zeros_like(theta)
        slopes[:, :size], slopes[:, size] = felt, (parts * bend).sum(axis=1)
        return parts.sum(axis=1), slopes


@dataclass(frozen=True, slots=True)
class InverseStep:
    """1 over the squared step, in units of the largest tasted, at a distance: such a quantity too.

    Of steps the inverse is looked at, because it is finite where a driver may not be noticed. The
    factors hold 1 at the driver and the distance (d-prime) at the power, or the negative of both.
    """

    layout: Distances

    def __call__(self, theta: Floats, factors: Floats) -> tuple[Floats, Floats]:
        rows, power = np.arange(len(theta)), self.layout.size
        driver = np.abs(factors[:, : len(self.layout.drivers)]).argmax(axis=1)
        sign, square = factors[rows, driver], theta[rows, driver]
        share = np.log(square / factors[:, power] ** 2)
        inverse, slopes = sign * np.exp(share / theta[:, power]), np.zeros_like(theta)
        slopes[rows, driver] = inverse / square / theta[:, power]
        slopes[:, power] = -inverse * share / theta[:, power] ** 2
        return inverse, slopes
