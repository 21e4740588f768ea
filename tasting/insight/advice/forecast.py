"""What a comparison that nobody has tasted would show, and the curves of the model."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from tasting.drink.label import Reference
from tasting.errors import InputError
from tasting.insight.noticing.distance_model import Distance
from tasting.insight.noticing.drivers import Drink, Reading
from tasting.insight.noticing.model import ThresholdModel
from tasting.insight.noticing.steps import beyond
from tasting.panel.methods import METHODS, Method
from tasting.stats.binomial import critical_number, upper_tail
from tasting.stats.checks import Floats, check_alpha, check_n
from tasting.stats.fitting.fit import estimate
from tasting.stats.psychometric import TRIANGLE, Psychometric
from tasting.stats.results import Estimate

# A curve goes on beyond what was tasted just far enough to show which way it is heading.
_SHOWN: Final = 1.15


@dataclass(frozen=True, slots=True)
class Outlook:
    """What n tastings by one method would bring.

    p_c: share of correct answers (of choices of the sample that leads); shown: the chance that the
    session shows a difference at alpha, at the estimate and at the ends of its interval
    """

    method: str
    p_c: Estimate
    n: int
    critical_number: int
    shown: Estimate


@dataclass(frozen=True, slots=True)
class Forecast:
    """Expected sensory distance between two drinks, and what each method would make of it.

    deltas: B minus A of each driver, on the model's scale
    cautions: where it goes beyond what was tasted, or rests on something that is not known
    """

    d_prime: Estimate
    outlooks: tuple[Outlook, ...]
    deltas: Floats
    cautions: tuple[str, ...]

    def outlook(self, method: str) -> Outlook:
        """Of the method of this key. Raises InputError if it was not asked for."""
        for outlook in self.outlooks:
            if outlook.method == method:
                return outlook
        raise InputError(f"the forecast holds no method {method!r}")


def forecast(
    noticing: ThresholdModel,
    a: Drink,
    b: Drink,
    *,
    n: int = 24,
    alpha: float = 0.05,
    methods: Sequence[str] | None = None,
) -> Forecast:
    """What comparing these two drinks would show, from what earlier sessions say.

    methods: keys of difference and directional methods; by default every difference method.
    Directional ones are forecast for each attribute that was asked, as "paired: more sour".
    Raises InputError without a fitted distance, for an unknown level, or an unknown method.
    """
    check_n(n)
    check_alpha(alpha)
    distance, (first, second) = _ready(noticing, a, b)
    with_reference = isinstance(a, Reference) or isinstance(b, Reference)
    row = distance.between([(first, second)], with_reference)[0]
    deltas = second.levels - first.levels
    return Forecast(
        d_prime=estimate(row, noticing.confidence),
        outlooks=tuple(_outlooks(noticing, row, deltas, n, alpha, _methods(methods))),
        deltas=deltas,
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


def _methods(keys: Sequence[str] | None) -> list[Method]:
    able = {
        key: method
        for key, method in METHODS.items()
        if method.psychometric and method.question_kind != "preference"
    }
    if keys is None:
        return [method for method in able.values() if method.question_kind == "difference"]
    for key in keys:
        if key not in able:
            raise InputError(f"{key!r} is no difference or directional method that can be forecast")
    return [able[key] for key in keys]


def _outlooks(
    noticing: ThresholdModel,
    row: Floats,
    deltas: Floats,
    n: int,
    alpha: float,
    methods: list[Method],
) -> list[Outlook]:
    outlooks = []
    for method in methods:
        if method.question_kind == "difference":
            shares = method.model.function(row)
            outlooks.append(_outlook(method.key, method, shares, n, alpha, 1, noticing.confidence))
            continue
        for attribute in noticing.attributes:
            shares = method.model.function(attribute.lead(deltas)[0])
            name = f"{method.key}: {attribute.name}"
            sides = 1 if method.directional_b else 2
            outlooks.append(_outlook(name, method, shares, n, alpha, sides, noticing.confidence))
    return outlooks


def _outlook(
    name: str, method: Method, shares: Floats, n: int, alpha: float, sides: int, confidence: float
) -> Outlook:
    number = int(critical_number(n, method.chance, alpha, sides))
    shown = upper_tail(np.full(3, number), np.full(3, n), shares)
    if sides == 2:
        shown = shown + upper_tail(np.full(3, number), np.full(3, n), 1 - shares)
        shown = _at_ends(shares, shown)
    return Outlook(name, estimate(shares, confidence), n, number, estimate(shown, confidence))


def _at_ends(shares: Floats, shown: Floats) -> Floats:
    """Two-sided: the chance is least where the two are chosen alike."""
    least = shown[1:].min()
    if shares[1] < 0.5 < shares[2]:
        least = min(least, shown[0])
    return np.array([shown[0], least, shown[1:].max()])


def _cautions(
    noticing: ThresholdModel, distance: Distance, deltas: Floats, with_reference: bool
) -> list[str]:
    layout, notes = distance.layout, []
    for index, driver in enumerate(noticing.drivers):
        if index not in layout.drivers:
            notes.append(
                f"No triangle test changed {driver.name}; its step here counts as nothing."
            )
            continue
        if beyond(abs(deltas[index]), float(layout.scale[layout.drivers.index(index)])):
            notes.append(
                f"Extrapolated: the step in {driver.name} is larger than any that was tasted."
            )
        bound = noticing.bound(driver.key)
        if bound and bound.matters(deltas[index]):
            notes.append(f"Whether {driver.name} is noticed at all is not shown yet.")
    if with_reference and not layout.gap:
        notes.append("Nothing was compared with the reference yet; its character gap counts as 0.")
    factors = layout.factors(deltas, np.array(with_reference))[0]
    if not distance.fitted.explored(factors):
        notes.append("Acid and sugar were never changed in this combination; the value is a guess.")
    return notes


@dataclass(frozen=True, slots=True)
class Curve:
    """How noticeable a difference in one driver is: d-prime, and p_d by one method, with bands.

    delta is in the driver's unit, upward from `level` (which matters on the log scale only);
    beyond largest_tasted, the largest step tasted, the curve is extrapolated
    """

    driver: str
    unit: str
    delta: Floats
    d_prime: Floats
    p_d: Floats
    confidence: float
    largest_tasted: float


def curve(
    noticing: ThresholdModel,
    key: str,
    *,
    most: float | None = None,
    points: int = 61,
    by: Psychometric = TRIANGLE,
) -> Curve:
    """Fitted curve of one driver from 0 to `most` (by default a little beyond what was tasted).

    Columns of d_prime and p_d: value, low, high. Raises InputError if the driver is not shown to be
    noticed.
    """
    step = noticing.step(key)
    if step is None:
        raise InputError(f"how strongly {key} is noticed is not known yet")
    delta = np.linspace(0.0, most or _SHOWN * step.largest_tasted, points)
    scaled = np.log1p(delta / step.level) if noticing.scale == "log" else delta
    assert noticing.distance
    index = noticing.distance.layout.drivers.index(noticing.drivers.index(step.driver))
    d_prime = noticing.distance.curve(index, scaled)
    p_d, confidence = by.p_d(d_prime), noticing.confidence
    return Curve(key, step.driver.unit, delta, d_prime, p_d, confidence, step.largest_tasted)
