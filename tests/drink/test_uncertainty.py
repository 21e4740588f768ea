"""Intervals grow from the ranges of the ingredients, and name who widens them."""

import numpy as np
import pytest
from hypothesis import given

from tasting.drink import content
from tasting.drink.composition import compose
from tasting.drink.mixture import mix
from tasting.drink.pantry import FIGURES, ingredient
from tasting.drink.uncertainty import MODEL, advice

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


def drawn(item, rng, count):
    """Figures of an ingredient at random: normal, the range taken as two standard deviations."""
    rows = np.tile(np.array(content.figures_of(item), dtype=float), (count, 1))
    for figure, (low, high) in item.ranges.items():
        spread = rng.normal(0, (high - low) / 4, count)
        rows[:, FIGURES.index(figure)] = np.clip((low + high) / 2 + spread, 0, None)
    return content.contents(
        rows, np.full(count, item.form == "solid"), np.full(count, item.holds_ph)
    )


def centred(key):
    """The ingredient with every figure in the middle of its range."""
    item = ingredient(key)
    middles = {figure: (low + high) / 2 for figure, (low, high) in item.ranges.items()}
    return item.model_copy(update=middles | {"water_g_per_100g": None})


def test_intervals_agree_with_random_draws():
    """Two standard deviations of 4,000 drinks mixed from randomly drawn, weighed ingredients."""
    rng = np.random.default_rng(20260301)
    items = [centred(key) for key in ("rhubarb-juice", "bay-syrup", "lemon-juice")]
    masses = (60.0, 25.0, 10.0)
    totals = sum(m * drawn(item, rng, 4000) for m, item in zip(masses, items, strict=True))
    found = compose(version(*((i, f"{m} g") for m, i in zip(masses, items, strict=True))))
    many = mix(totals)

    for figure in ("ta_g_per_l", "sugar_g_per_l", "brix"):
        spread = found.intervals[figure]
        two_sigma = 2 * np.std(getattr(many, figure))
        assert (spread.high - spread.low) / 2 == pytest.approx(two_sigma, rel=0.08)


@pytest.mark.parametrize(
    ("figure", "words"),
    [
        ("ta_g_per_l", "Titrate your rhubarb juice"),
        ("sugar_g_per_l", "°Brix of your bay syrup"),
        ("co2_g_per_l", "carbonation of your carbonated water"),
        ("alcohol_percent_vol", "strength of your juniper"),
    ],
)
def test_advice_says_what_to_measure(figure, words):
    assert words in advice(compose(SPRITZ).intervals[figure])


@pytest.mark.parametrize("figure", ["ph", "mass_g"])
def test_no_advice_where_measuring_an_ingredient_does_not_help(figure):
    assert advice(compose(SPRITZ).intervals[figure]) == ""
