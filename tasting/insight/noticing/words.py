"""What people notice, in sentences: for the page and for the command line."""

from collections.abc import Sequence
from math import exp
from typing import Final

from tasting.insight.noticing.attribute_models import Attribute
from tasting.insight.noticing.design import POWERS
from tasting.insight.noticing.distance_model import AgainstZero, Distance
from tasting.insight.noticing.drivers import Driver
from tasting.insight.noticing.liking_model import Ideal
from tasting.insight.noticing.marks import noticed_by_triangle
from tasting.insight.noticing.model import Fit, ThresholdModel
from tasting.insight.noticing.pinches import Pinch
from tasting.insight.noticing.steps import DriverStep, StepBound, StepSize
from tasting.stats.results import Estimate
from tasting.wording import decimals, number, percent_with_interval, short, with_interval

# Steps that are shown are too small in the median, because only scores that ran high show one:
# by 43 % with 18 tastings, 25 % with 36, 13 % with 72 (tests/benchmarks/notice_calibration.md).
_FEW: Final = 72


def listed(names: Sequence[str], word: str = "and") -> str:
    """Names as a sentence lists them.

    >>> listed(["acid"]), listed(["acid", "sugar", "alcohol"]), listed(["acid", "sugar"], "or")
    ('acid', 'acid, sugar and alcohol', 'acid or sugar')
    """
    *first, last = names
    return f"{', '.join(first)} {word} {last}" if first else last


def step_in_words(noticing: ThresholdModel, step: DriverStep) -> tuple[str, str]:
    """The step that half of assessors detect, and the one at d-prime 1."""
    unit, level = step.driver.unit, amount_in(step.driver, step.level)
    level = f" of the {level} in {noticing.at.label}" if noticing.at else ""
    half, one = step.difference_threshold, step.step_at_d_prime_1
    return (
        f"Half of assessors notice {_more(step.driver, with_interval(half.amount, unit))} in a "
        f"{noticing.half_by} test, {_share(half)}{level}{_in_practice(half.practice)}."
        f"{extrapolated_in_words(half, unit)}",
        f"A step of d′ = 1 (about 1 in 8 notice) is {with_interval(one.amount, unit)} of "
        f"{step.driver.name}, {_share(one)}{_in_practice(one.practice)}."
        f"{extrapolated_in_words(one, unit)}",
    )


def _more(driver: Driver, amount: str) -> str:
    """An amount more; what has no unit, such as pH, has no amount."""
    return (
        f"{amount} more {driver.short}" if driver.unit else f"a step of {amount} in {driver.name}"
    )


def bound_in_words(noticing: ThresholdModel, bound: StepBound) -> str:
    """All that is known of a driver that may not be noticed at all."""
    smallest = bound.difference_threshold
    beyond = ", so this bound is extrapolated" if smallest.extrapolated else ""
    return (
        f"In a {noticing.half_by} test half of assessors notice a step in {bound.driver.name} of "
        f"{more_than(bound)}; {_largest_in_words(bound)}{beyond}."
    )


def more_than(bound: StepBound) -> str:
    """Such as "more than 1.8 g/L, if at all"."""
    return f"more than {amount_in(bound.driver, bound.difference_threshold.amount)}, if at all"


def _largest_in_words(step: DriverStep | StepBound) -> str:
    """How far the tests went: "the largest step tasted was 0.90 g/L"."""
    return f"the largest step tasted was {amount_in(step.driver, step.largest_tasted)}"


def amount_in(driver: Driver, amount: float) -> str:
    """A level or step of a driver in its unit, if it has one."""
    return f"{number(amount)} {driver.unit}".strip()


def extrapolated_in_words(size: StepSize, unit: str) -> str:
    """Which part of a step nobody tasted; empty where all of it was."""
    if not size.extrapolated["high"]:
        return ""
    what = "Extrapolated" if size.extrapolated["value"] else "The upper end is extrapolated"
    largest = f"{number(size.largest_tasted)} {unit}".strip()
    return f" {what}: the largest step tasted was {largest}."


def _share(size: StepSize) -> str:
    return with_interval(size.percent, "%")


def _in_practice(practice: tuple[Pinch, ...]) -> str:
    if not practice:
        return ""
    each = [f"{with_interval(pinch.amount, pinch.unit)} {pinch.name}" for pinch in practice]
    return f": {', or '.join(each)}, in a {practice[0].serving_ml:.0f} mL serving"


def unexplained(drivers: Sequence[Driver]) -> str:
    """The gap to the reference by what it is: "what acid and sugar do not explain"."""
    verb = "do" if len(drivers) > 1 else "does"
    return f"what {listed([driver.short for driver in drivers])} {verb} not explain"


def gap_in_words(gap: AgainstZero, drivers: Sequence[Driver]) -> str:
    """What is left of the difference to the reference, with all drivers alike."""
    what = unexplained(drivers)
    share = percent_with_interval(noticed_by_triangle(gap.estimate))
    open_ = " It could be zero." if gap.estimate.low < 1e-6 else ""
    return (
        f"{what[0].upper()}{what[1:]} of the difference to the reference: d′ "
        f"{with_interval(gap.estimate)}. In a triangle test {share} of assessors would notice it."
        f"{open_}"
    )


def together_in_words(rho: Estimate) -> str:
    """How acid and sugar add up."""
    if rho.low > 0:
        said = "raising both is noticed more than each alone suggests"
    elif rho.high < 0:
        said = "one hides a part of the other"
    else:
        said = "whether one adds to the other or hides it is open"
    return f"Acid and sugar together: ρ {with_interval(rho)}; {said}."


def attribute_in_words(attribute: Attribute, noticing: ThresholdModel) -> str:
    """What 1 g/L of each driver does to an attribute."""
    drivers = {driver.key: driver for driver in noticing.drivers}
    if noticing.scale == "log":
        parts = [
            f"10 % more {drivers[key].name} adds d′ {with_interval(_times(one.estimate, 0.0953))}"
            for key, one in attribute.weights.items()
        ]
    else:
        parts = [
            f"1 {drivers[key].unit} more {drivers[key].name} adds d′ "
            f"{with_interval(one.estimate)}".replace("  ", " ")
            for key, one in attribute.weights.items()
        ]
    known = "; ".join(parts) or "nothing known yet"
    return f"“{attribute.name}”: {known}."


def _times(estimate: Estimate, factor: float) -> Estimate:
    interval = estimate.interval
    ends = type(interval)(interval.low * factor, interval.high * factor, interval.confidence)
    return Estimate(estimate.value * factor, ends)


def ideal_in_words(ideal: Ideal, noticing: ThresholdModel) -> str:
    """The level that is liked best."""
    level = ideal.level
    if noticing.scale == "log":
        ends = type(level.interval)(exp(level.low), exp(level.high), level.interval.confidence)
        level = Estimate(exp(level.value), ends)
    return f"Liked best: {with_interval(level, ideal.driver.unit)} of {ideal.driver.name}."


def sentences(noticing: ThresholdModel) -> tuple[str, ...]:
    """What is known of steps, of the gap to the reference and of what is liked best."""
    found = [said for one in noticing.noticed for said in _noticed_in_words(noticing, one)]
    gap = noticing.character_gap
    found += [gap_in_words(gap, noticing.drivers)] if gap else []
    found += [ideal_in_words(ideal, noticing) for ideal in noticing.ideals]
    return tuple(found)


def _noticed_in_words(noticing: ThresholdModel, one: DriverStep | StepBound) -> tuple[str, ...]:
    if isinstance(one, StepBound):
        return (bound_in_words(noticing, one),)
    return step_in_words(noticing, one)


def details(noticing: ThresholdModel) -> tuple[str, ...]:
    """How acid and sugar act together, and what makes the drink more sour or sweeter."""
    found = [together_in_words(noticing.rho)] if noticing.rho else []
    found += [attribute_in_words(one, noticing) for one in noticing.attributes if one.weights]
    return tuple(found)


def assumptions(noticing: ThresholdModel) -> str:
    """What the steps take for granted, and what their intervals allow for."""
    distance = noticing.distance
    if not noticing.noticed or distance is None:
        return ""
    again = distance.fitted.clusters is not None
    alike = (
        "and for assessors who come again and differ in sensitivity."
        if again
        else "but treat answers of different sessions as independent."
    )
    return (
        f"{_few_in_words(noticing)}{_growth_in_words(distance)} Intervals allow for slower growth "
        f"(the step to the power of {short(POWERS[0])}) and faster (of {short(POWERS[1])}), "
        f"{alike} Assessors are told apart by their pseudonyms."
    )


def _few_in_words(noticing: ThresholdModel) -> str:
    """That few answers show a step by luck; empty where there are enough, or no step."""
    if not noticing.steps or noticing.fit is None or noticing.fit.tastings >= _FEW:
        return ""
    return (
        f"With {noticing.fit.tastings} tastings a step is shown only if answers ran high: the true "
        "one is probably larger. "
    )


def _growth_in_words(distance: Distance) -> str:
    """How distance grows with the step in the estimates. The least power is a square root."""
    if distance.in_proportion:
        return "Assumed: d′ grows in proportion to the step."
    power = with_interval(distance.power)
    return f"The answers show that d′ grows as the step to the power of {power}."


def fit_in_words(fit: Fit) -> str:
    """How much it rests on, and how well it fits."""
    return (
        f"{fit.sessions} difference tests with {fit.tastings} tastings, {fit.parameters} "
        f"parameters; log-likelihood {decimals(fit.log_likelihood, 2)}, deviance "
        f"{decimals(fit.deviance, 2)}, AIC {decimals(fit.aic, 2)}."
    )
