"""What is known of a drink, driver by driver."""

import numpy as np
import pytest

from tasting.drink.composition import compose
from tasting.drink.label import Reference
from tasting.insight.noticing.drivers import DRIVERS, drivers_named, reading
from tests.drink.glass import SPRITZ, version

BOTTLE = Reference(
    id="b",
    name="Bottle",
    serving_ml=250,
    alcohol_percent_vol=5.5,
    sugar_g_per_100ml=6.0,
    ta_g_per_l=6.2,
    ph=2.9,
)


@pytest.mark.parametrize(
    ("key", "level"), [("ta", 6.2), ("sugar", 60.0), ("alcohol", 5.5), ("ph", 2.9)]
)
def test_a_reference_is_read_from_label_and_measurement(key, level):
    assert reading(BOTTLE, [DRIVERS[key]]).levels == pytest.approx([level])


@pytest.mark.parametrize("key", ["co2", "sweetness"])
def test_what_no_label_says_is_not_known(key):
    assert np.isnan(reading(BOTTLE, [DRIVERS[key]]).levels[0])


def test_a_serving_declared_by_us_rules_is_unsure_by_its_serving():
    """Sugars in whole grams a serving (21 CFR 101.9(c)): 1 g in 250 mL is 4 g/L, evenly spread."""
    soft = {"rules": "US", "alcohol_percent_vol": 0.0, "sugar_g_per_100ml": 15 / 2.5}
    us = BOTTLE.model_copy(update=soft)
    doubt = reading(us, [DRIVERS["sugar"]]).components["reference b: sugar"]

    assert doubt == pytest.approx([4 / np.sqrt(12)])


def test_alcohol_is_unsure_by_its_rounding():
    """Printed with one decimal (Regulation (EU) No 1169/2011, Annex XII)."""
    doubt = reading(BOTTLE, [DRIVERS["alcohol"]]).components["reference b: alcohol"]

    assert doubt == pytest.approx([0.1 / np.sqrt(12)])


def test_a_source_is_an_ingredient_and_its_figure():
    doubts = reading(SPRITZ, drivers_named(["ta"])).components

    assert "lemon-juice: citric_g_per_100g" in doubts
    assert "rhubarb-juice: malic_g_per_100g" in doubts


def test_an_ingredient_that_is_in_twice_is_one_source():
    drivers = drivers_named(["ta"])
    twice = version(("lemon-juice", "10 mL"), ("water", "90 mL"), ("lemon-juice", "10 mL"))
    once = version(("lemon-juice", "20 mL"), ("water", "90 mL"))
    one, other = (reading(drink, drivers).components for drink in (once, twice))

    assert one.keys() == other.keys()
    key = "lemon-juice: citric_g_per_100g"
    assert other[key] == pytest.approx(one[key], rel=1e-4)


def test_logarithms_turn_doubts_into_shares():
    drivers = drivers_named(["ta"])
    plain = reading(BOTTLE, drivers)
    log = plain.scaled("log")

    assert log.levels == pytest.approx(np.log(plain.levels))
    key = "reference b: ta"
    assert log.components[key] == pytest.approx(plain.components[key] / plain.levels)


def test_several_drivers_are_read_at_once():
    keys = ["ta", "sugar", "alcohol", "co2", "ph", "sweetness"]
    made = compose(SPRITZ)
    figures = [getattr(made, DRIVERS[key].figure) for key in keys]

    assert reading(SPRITZ, drivers_named(keys)).levels == pytest.approx(figures)
