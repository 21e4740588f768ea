"""What a comparison that nobody has tasted would show, and the curves of the model."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from tasting.drink.label import Reference
from tasting.errors import InputError
from tasting.insight.noticing.distance_model import Distance
from tasting.insight.noticing.drivers import Drink, Reading
from tasting.insight.noticing.model import ThresholdModel
from tasting.insight.noticing.steps import beyond
from tasting.insight.noticing.words import unexplained
from tasting.panel.methods import METHODS, Method
from tasting.stats.binomial import critical_number, upper_tail
from tasting.stats.checks import Floats, check_n
from tasting.stats.fitting.fit import estimate
from tasting.stats.psychometric import TRIANGLE
from tasting.stats.results import Estimate

# A curve goes on beyond what was tasted just far enough to show which way it is heading.
_SHOWN: Final = 1.15


_ALPHA: Final = 0.05
_FORECAST: Final = tuple(
    method
    for method in METHODS.values()
    if method.psychometric and method.question_kind == "difference"
)


@dataclass(frozen=True, slots=True)
class Outlook:
    """What n tastings by one method would bring.

    p_c: share of correct answers; shown: the chance that the session shows a difference at
    α = 0.05, at the estimate and at the ends of its interval
    """

    method: Method
    p_c: Estimate
    n: int
    critical_number: int
    shown: Estimate


@dataclass(frozen=True, slots=True)
class Forecast:
    """Expected sensory distance between two drinks, and what each method would make of it.

    cautions: where it goes beyond what was tasted, or rests on something that is not known
    """

    d_prime: Estimate
    outlooks: tuple[Outlook, ...]
    cautions: tuple[str, ...]


def forecast(noticing: ThresholdModel, a: Drink, b: Drink, *, n: int = 24) -> Forecast:
    """What comparing these two drinks by every difference method with a chance of guessing would
    show, from what earlier sessions say.

    Raises InputError without a fitted distance, or for an unknown level.
    """
    check_n(n)
    distance, (first, second) = _ready(noticing, a, b)
    with_reference = isinstance(a, Reference) or isinstance(b, Reference)
    row = distance.between([(first, second)], with_reference)[0]
    deltas = second.levels - first.levels
    return Forecast(
        d_prime=estimate(row, noticing.confidence),
        outlooks=tuple(_outlook(method, row, n, noticing.confidence) for method in _FORECAST),
        cautions=tuple(_cautions(noticing, distance, deltas, with_reference)),
    )


def _ready(
    noticing: ThresholdModel, a: Drink, b: Drink
) -> tuple[Distance, tuple[Reading, Reading]]:
    if noticing.distance is None:
        why = next(iter(noticing.refusals), "")
        raise InputError(
            f"no difference test was fitted, so nothing can be forecast. {why}".strip()
        )
    first, second = noticing.read(a), noticing.read(b)
    unknown = ~np.isfinite(second.levels - first.levels)
    if unknown.any():
        name = noticing.drivers[int(np.flatnonzero(unknown)[0])].name
        raise InputError(f"the {name} of one of the two drinks is not known; measure and enter it")
    return noticing.distance, (first, second)


def _outlook(method: Method, row: Floats, n: int, confidence: float) -> Outlook:
    shares = method.model.function(row)
    number = critical_number(n, method.chance, _ALPHA)
    shown = upper_tail(np.full(3, number), np.full(3, n), shares)
    return Outlook(method, estimate(shares, confidence), n, number, estimate(shown, confidence))


def _cautions(
    noticing: ThresholdModel, distance: Distance, deltas: Floats, with_reference: bool
) -> list[str]:
    layout, notes = distance.layout, []
    for index, driver in enumerate(noticing.drivers):
        if index not in layout.drivers:
            notes.append(f"No triangle test changed {driver.name}; its step counts as 0 here.")
            continue
        if beyond(abs(deltas[index]), float(layout.scale[layout.drivers.index(index)])):
            notes.append(f"Extrapolated: the step in {driver.name} is larger than any tasted.")
        bound = noticing.bound(driver.key)
        if bound and bound.matters(deltas[index]):
            notes.append(f"It is not shown yet that {driver.name} is noticed at all.")
    if with_reference and not layout.gap:
        notes.append(
            "Nothing has been compared with the reference yet; "
            f"{unexplained(noticing.drivers)} counts as 0."
        )
    factors = layout.factors(deltas, np.array(with_reference))[0]
    if not distance.fitted.explored(factors):
        notes.append(
            "Acid and sugar have never been changed in this combination; the value is a guess."
        )
    return notes


@dataclass(frozen=True, slots=True)
class Curve:
    """How noticeable a difference in one driver is: p_d of a triangle test, with its band.

    delta is in the driver's unit, upward from the step's level (which matters on the log scale
    only); beyond largest_tasted, the largest step tasted, the curve is extrapolated
    """

    delta: Floats
    p_d: Floats
    largest_tasted: float


def curve(
    noticing: ThresholdModel, key: str, *, most: float | None = None, points: int = 61
) -> Curve:
    """Fitted curve of one driver from 0 to `most` (by default a little beyond what was tasted).

    Columns of p_d: value, low, high. Raises InputError if the driver is not shown to be noticed.
    """
    step = noticing.step(key)
    if step is None:
        raise InputError(f"how strongly {key} is noticed is not known yet")
    delta = np.linspace(0.0, most or _SHOWN * step.largest_tasted, points)
    scaled = np.log1p(delta / step.level) if noticing.scale == "log" else delta
    assert noticing.distance
    index = noticing.distance.layout.drivers.index(noticing.drivers.index(step.driver))
    d_prime = noticing.distance.curve(index, scaled)
    return Curve(delta, TRIANGLE.p_d(d_prime), step.largest_tasted)
