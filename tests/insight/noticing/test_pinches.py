"""From a step to the hand."""

import numpy as np
import pytest

from tasting.drink.composition import compose
from tasting.drink.formula import Part
from tasting.drink.pantry import ingredient
from tasting.drink.response import grams_to_reach
from tasting.insight.noticing.drivers import DRIVERS
from tasting.insight.noticing.pinches import pinches
from tasting.stats.results import Estimate, Interval
from tests.drink.glass import SPRITZ, version

TA, SUGAR = DRIVERS["ta"], DRIVERS["sugar"]


def step(value, low, high):
    return Estimate(value, Interval(low, high, 0.95))


@pytest.mark.parametrize(("key", "driver"), [("lemon-juice", TA), ("simple-syrup-1-1", SUGAR)])
def test_the_grams_bring_the_drink_to_its_target(key, driver):
    """Composed with them in it."""
    target = getattr(compose(SPRITZ), driver.figure) * np.array([1.05, 1.3])
    amounts = grams_to_reach(SPRITZ, ingredient(key), driver.figure, target)
    for grams, wanted in zip(amounts.tolist(), target, strict=True):
        part = Part.model_validate({"ingredient": key, "amount": f"{grams!r} g"})
        after = compose(SPRITZ.model_copy(update={"parts": (*SPRITZ.parts, part)}))
        assert getattr(after, driver.figure) == pytest.approx(wanted, rel=1e-5)


def test_nothing_more_acid_than_the_juice_itself_can_be_reached_with_it():
    amounts = grams_to_reach(SPRITZ, ingredient("orange-juice"), TA.figure, np.array([60.0]))

    assert np.isinf(amounts[0])


def test_citric_acid_in_water_is_weighed_as_it_is_titrated():
    """1 g/L of anhydrous citric acid is a titratable acidity of about 1 g/L (by definition of the
    unit, less what pH 8.1 leaves undone); 0.25 g then go into a quarter of a litre."""
    water = version(("water", "250 mL"))
    (made,) = pinches(water, TA, [step(1.0, 0.5, 2.0)])
    citric = made[0]

    assert citric.amount.value == pytest.approx(0.25, rel=0.02)
    assert citric.amount.high == pytest.approx(0.5, rel=0.02)


def test_an_amount_is_for_one_serving():
    one = version(("lemon-juice", "30 mL"), ("water", "220 mL"))
    four = version(("lemon-juice", "120 mL"), ("water", "880 mL"), servings=4)
    small, large = (pinches(drink, TA, [step(0.4, 0.3, 0.6)])[0] for drink in (one, four))

    assert large[0].amount.value == pytest.approx(small[0].amount.value, rel=1e-6)
    assert large[0].serving_ml == pytest.approx(small[0].serving_ml)


def test_an_open_end_is_open_in_practice_too():
    (made,) = pinches(SPRITZ, SUGAR, [step(5.0, 4.0, np.inf)])

    assert np.isinf(made[0].amount.high)
    assert np.isfinite(made[0].amount.value)


def test_a_driver_that_nothing_moves_has_no_practice():
    assert pinches(SPRITZ, DRIVERS["ph"], [step(0.1, 0.05, 0.2)]) == ((),)
