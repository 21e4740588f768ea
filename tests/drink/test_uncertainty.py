"""Intervals grow from the ranges of the ingredients, and name who widens them."""

import pytest
from hypothesis import given

from tasting.drink.composition import compose
from tasting.drink.pantry import ingredient
from tasting.drink.uncertainty import MODEL

from .glass import SPRITZ, few, recipes, version


def exact(key):
    return ingredient(key).model_copy(update={"ranges": {}})


@few
@given(recipes)
def test_every_figure_lies_in_its_interval(parts):
    drink = compose(version(*parts))

    for figure, spread in drink.intervals.items():
        assert spread.low <= getattr(drink, figure) * (1 + 1e-9) + 1e-12
        assert getattr(drink, figure) * (1 - 1e-9) - 1e-12 <= spread.high


def test_only_range_carries_straight_through():
    """One range alone: the interval is what the two ends give."""
    juice = exact("lemon-juice").model_copy(update={"ranges": {"citric_g_per_100g": (4.36, 5.82)}})
    spread = compose(version((juice, "100 mL"))).intervals["ta_g_per_l"]
    ends = [
        compose(version((juice.model_copy(update={"citric_g_per_100g": end}), "100 mL"))).ta_g_per_l
        for end in (4.36, 5.82)
    ]

    assert [spread.low, spread.high] == pytest.approx(ends, rel=1e-4)


def test_two_like_ranges_add_in_quadrature():
    """Two lots of the same kind, halves of the drink: √2 narrower than one lot alone."""
    one = exact("lemon-juice").model_copy(update={"ranges": {"citric_g_per_100g": (4.2, 5.12)}})
    other = one.model_copy(update={"key": "other-lemon"})
    alone = compose(version((one, "100 mL"))).intervals["ta_g_per_l"]
    both = compose(version((one, "50 mL"), (other, "50 mL"))).intervals["ta_g_per_l"]

    assert both.high - both.low == pytest.approx((alone.high - alone.low) / 2**0.5, rel=1e-3)


def test_same_lot_twice_is_no_surer():
    once = compose(version(("lemon-juice", "100 mL"))).intervals["ta_g_per_l"]
    twice = compose(version(("lemon-juice", "50 mL"), ("lemon-juice", "50 mL")))

    assert twice.intervals["ta_g_per_l"].high == pytest.approx(once.high)


def test_main_source_is_named():
    spreads = compose(SPRITZ).intervals

    assert spreads["ta_g_per_l"].main == "rhubarb juice"
    assert spreads["ta_g_per_l"].share > 0.5
    assert spreads["co2_g_per_l"].main == "carbonated water"
    assert spreads["ph"].main == MODEL


def test_without_ranges_there_is_nothing_to_name():
    spread = compose(version((exact("lemon-juice"), "100 mL"))).intervals["ta_g_per_l"]

    assert (spread.low, spread.main) == (spread.high, None)


def test_sweetness_carries_the_spread_of_its_factors():
    """Fructose 1.1 to 1.73, taken as 1.2 (Gaman and Sherrington 1990 for the upper end)."""
    spread = compose(version((exact("fructose"), "10 g"), ("water", "90 g")))
    sweet, sugars = spread.intervals["sweetness_g_per_l"], spread.sugar_g_per_l

    assert [sweet.low, sweet.high] == pytest.approx([1.1 * sugars, 1.73 * sugars], rel=1e-6)


def test_denser_poured_juice_weighs_more_but_a_weighed_one_does_not():
    poured = compose(version(("lemon-juice", "100 mL"))).intervals["mass_g"]
    weighed = compose(version(("lemon-juice", "100 g"))).intervals["mass_g"]

    assert poured.high == pytest.approx(103.6)
    assert weighed.high == pytest.approx(100)


def test_interval_knows_what_it_holds():
    assert compose(SPRITZ).ta_g_per_l in compose(SPRITZ).intervals["ta_g_per_l"]
