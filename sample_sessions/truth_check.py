"""Whether the stated truth lies within the intervals that the model finds from the answers."""

from collections.abc import Iterator

from sample_sessions.truth import Truth
from tasting.insight.noticing.drivers import SUGAR, TA
from tasting.insight.noticing.model import ThresholdModel
from tasting.stats.results import Estimate


def within(estimate: Estimate, true: float) -> bool:
    """Whether the truth lies in the interval."""
    return estimate.low <= true <= estimate.high


Row = tuple[str, float, Estimate]


def compared(thresholds: ThresholdModel, stated: Truth) -> Iterator[Row]:
    """Each stated number with its estimate, where there is one."""
    difference = stated.difference
    true = {TA.key: difference.ta_per_g_per_l, SUGAR.key: difference.sugar_per_g_per_l}
    for step in thresholds.steps:
        if step.driver.key in true:
            name = f"d′ for 1 g/L of {step.driver.name}"
            yield name, true[step.driver.key], step.weight.estimate
    if thresholds.rho:
        yield "ρ of acid and sugar", difference.rho, thresholds.rho
    if thresholds.character_gap:
        yield (
            "not explained by acid and sugar, d′",
            difference.character_gap,
            thresholds.character_gap.estimate,
        )
    yield from _directions(thresholds, stated)
    for ideal in thresholds.ideals:
        if ideal.driver == TA:
            yield "ideal acidity, g/L", stated.preference.ideal_ta_g_per_l, ideal.level
            yield "how fast liking drops", stated.preference.curvature, ideal.curvature


def _directions(thresholds: ThresholdModel, stated: Truth) -> Iterator[Row]:
    for attribute in thresholds.attributes:
        known = stated.directions.get(attribute.name)
        if known is None:
            continue
        true = {TA.key: known.ta_per_g_per_l, SUGAR.key: known.sugar_per_g_per_l}
        for driver in thresholds.drivers:
            if driver.key in attribute.weights and driver.key in true:
                name = f"“{attribute.name}”, d′ for 1 g/L of {driver.name}"
                yield name, true[driver.key], attribute.weights[driver.key].estimate
