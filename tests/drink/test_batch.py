"""From the bench to a batch: measurable amounts that still make the same drink."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tasting.drink.batch import Kit, batch, most_dissolved_percent, stock_solution
from tasting.drink.composition import compose
from tasting.drink.pantry import Ingredient, ingredient
from tasting.errors import InputError

from .glass import SPRITZ, few, version

PINCHED = version(("lemon-juice", "30 mL"), ("citric-acid", "0.05 g"), ("water", "150 mL"))


@pytest.mark.parametrize(("size", "ml"), [({"servings": 12}, 720), ({"litres": 2.1}, 600)])
def test_size_is_in_servings_or_litres(size, ml):
    assert batch(SPRITZ, **size).lines[0].measured.amount.quantity == pytest.approx(ml, abs=1)


def test_servings_of_the_batch_are_counted():
    sheet = batch(SPRITZ, litres=2.1)

    assert sheet.composition.servings == pytest.approx(sheet.servings)
    assert sheet.servings == pytest.approx(10, abs=0.01)


@few
@given(st.floats(0.5, 200))
def test_rounding_keeps_the_drink(servings):
    sheet = batch(SPRITZ, servings=servings)

    assert sheet.composition.ta_g_per_l == pytest.approx(sheet.exact.ta_g_per_l, rel=0.02)
    assert sheet.composition.sugar_g_per_l == pytest.approx(sheet.exact.sugar_g_per_l, rel=0.02)


def test_amounts_are_whole_steps_of_the_measures():
    lines = batch(SPRITZ, servings=7.3, kit=Kit(cylinder_step_ml=5)).lines

    assert [line.measured.amount.quantity % 5 for line in lines] == [0] * 5
    assert all(abs(line.error_percent) < 4 for line in lines)


def test_small_volumes_go_into_a_syringe():
    (line,) = batch(version(("lemon-juice", "3.27 mL")), servings=1).lines

    assert line.measured.amount.quantity == 3.3


def test_spoons_of_a_powder_are_weighed():
    """A teaspoon of sugar is about 4.2 g (common practice; 4.93 mL at 0.85 kg/L)."""
    (line,) = batch(version(("sugar", "1 tsp")), servings=10).lines

    assert (line.measured.amount.unit, line.measured.amount.quantity) == ("g", 41.9)


def test_too_little_to_weigh_becomes_a_stock_solution():
    """0.05 g a serving, 12 servings: 0.6 g, 6 g of a 10 % w/w solution of density 1.040 (measured
    density of 10 % citric acid) is 5.8 mL."""
    line = batch(PINCHED, servings=12).lines[1]

    assert line.stock is not None
    assert (line.stock.percent, line.stock.solute_g, line.stock.water_g) == (10, 10, 90)
    assert line.measured.amount.quantity == 5.8
    assert str(line.exact) == "0.6 g"


def test_stock_brings_the_same_acid():
    sheet = batch(PINCHED, servings=12)

    assert sheet.composition.ta_g_per_l == pytest.approx(sheet.exact.ta_g_per_l, rel=0.01)


@pytest.mark.parametrize("servings", [3, 5, 9])
def test_stock_takes_its_water_out_of_the_recipes_own(servings):
    """Volume, acid and sugar stay; without it a small batch grew by 9 % and lost 8.6 % of its
    acid (measured by hand)."""
    recipe = version(("sugar", "8 g"), ("citric-acid", "0.1 g"), ("water", "90 mL"))
    sheet = batch(recipe, servings=servings)

    factor = sheet.servings
    assert sheet.lines[1].stock is not None
    assert sheet.too_much_water_g == 0
    assert sheet.composition.volume_ml == pytest.approx(factor * sheet.exact.volume_ml, rel=0.006)
    assert sheet.composition.sugar_g_per_l == pytest.approx(sheet.exact.sugar_g_per_l, rel=0.006)
    assert sheet.composition.ta_g_per_l == pytest.approx(sheet.exact.ta_g_per_l, rel=0.015)


def test_water_that_nothing_makes_room_for_is_told():
    sheet = batch(version(("lemon-juice", "30 mL"), ("citric-acid", "0.05 g")), servings=12)

    stock = sheet.lines[1].stock
    water = stock.volume_ml * stock.ingredient.density_kg_per_l * 0.9
    assert sheet.too_much_water_g == pytest.approx(water)


@pytest.mark.parametrize("key", ["bay-leaves", "rhubarb"])
def test_no_solution_of_leaves_or_fruit(key):
    """They do not dissolve: a little too little is weighed all the same, and the error told."""
    line = batch(version((key, "0.33 g"), ("water", "90 mL")), servings=1).lines[0]

    assert (line.stock, line.measured.amount.unit) == (None, "g")
    assert line.error_percent == pytest.approx(100 * (0.3 / 0.33 - 1))
    with pytest.raises(InputError, match="not known to dissolve"):
        stock_solution(ingredient(key), 10)


@pytest.mark.parametrize(
    ("figures", "percent"),
    [
        ({"caffeine_mg_per_100g": 100_000}, 1.0),
        ({"quinine_mg_per_100g": 100_000}, 0.0),
        ({"sodium_mg_per_100g": 39_340, "chloride_mg_per_100g": 60_660}, 100.0),
        ({"alkalinity_meq_per_100g": 1190, "sodium_mg_per_100g": 27_370}, 100.0),
        ({"fibre_g_per_100g": 85}, 0.0),
        ({}, 0.0),
    ],
)
def test_how_far_a_powder_dissolves(figures, percent):
    """Salt 36, bicarbonate 9.6, caffeine 2, quinine 0.05 g/100 mL at 20 to 25 °C (Merck Index, from
    memory); a gum swells, and of a powder that nobody knows nothing is sure."""
    powder = Ingredient(
        key="x", name="X", form="solid", density_kg_per_l=0.8, water_g_per_100g=0, **figures
    )

    assert most_dissolved_percent(powder) == percent


def test_even_less_needs_a_weaker_stock():
    line = batch(PINCHED, servings=0.5).lines[1]

    assert line.stock is not None
    assert line.stock.percent == 1


def test_enough_to_weigh_needs_no_stock():
    assert batch(PINCHED, servings=100).lines[1].stock is None


def test_better_scale_needs_no_stock():
    assert batch(PINCHED, servings=12, kit=Kit(scale_step_g=0.01)).lines[1].stock is None


def test_little_of_a_weighed_liquid_is_poured():
    (line,) = batch(version(("honey", "0.5 g")), servings=1).lines

    assert line.measured.amount.unit == "mL"


def test_stock_solution_has_its_strength():
    solution = stock_solution(ingredient("citric-acid"), 10)

    assert solution.citric_g_per_100g == pytest.approx(10)
    assert compose(version((solution, "1 L"))).density_kg_per_l == pytest.approx(1.0402, abs=0.001)


@pytest.mark.parametrize(
    "size", [{}, {"servings": 2, "litres": 1}, {"servings": 0}, {"litres": -1}]
)
def test_size_must_be_given_once_and_above_zero(size):
    with pytest.raises(InputError, match="size of the batch once"):
        batch(SPRITZ, **size)


def test_too_little_for_every_measure_is_refused():
    with pytest.raises(InputError, match="too little to measure"):
        batch(version(("lemon-juice", "0.02 mL"), ("water", "1 L")), servings=1)


def test_too_little_for_every_stock_is_refused():
    with pytest.raises(InputError, match="too little even for a 0.1 % solution"):
        batch(version(("citric-acid", "0.00001 g"), ("water", "1 L")), servings=1)


@pytest.mark.parametrize("percent", [0, 100, -5])
def test_stock_of_impossible_strength_is_refused(percent):
    with pytest.raises(InputError, match="cannot be made"):
        stock_solution(ingredient("citric-acid"), percent)


@pytest.mark.parametrize("values", [{"scale_step_g": 0}, {"syringe_step_ml": 5}])
def test_impossible_kit_is_refused(values):
    with pytest.raises(ValidationError):
        Kit(**values)


@few
@given(st.floats(0.3, 300), st.sampled_from([0.1, 0.5, 1.0, 5.0, 10.0]))
def test_no_line_is_off_by_more_than_half_a_step(servings, step):
    kit = Kit(cylinder_step_ml=step, syringe_step_ml=0.1)

    for line in batch(SPRITZ, servings=servings, kit=kit).lines:
        most = (0.1 if line.exact.quantity <= kit.syringe_ml else step) / 2
        assert abs(line.measured.amount.quantity - line.exact.quantity) <= most + 1e-9


@few
@given(st.floats(1, 500))
def test_litres_are_what_the_exact_amounts_make(litres):
    sheet = batch(SPRITZ, litres=litres)
    factor = sheet.servings / SPRITZ.servings

    assert factor * sheet.exact.volume_ml == pytest.approx(1000 * litres)


def test_what_is_off_is_told_in_per_cent_of_the_exact():
    """0.04 mL off 3.26 mL is 1.2 % (arithmetic)."""
    (line,) = batch(version(("lemon-juice", "3.26 mL")), servings=1).lines

    assert line.error_percent == pytest.approx(100 * 0.04 / 3.26)


def test_a_stock_is_enough_for_the_line_that_needs_it():
    for servings in (1, 5, 15):
        stock = batch(PINCHED, servings=servings).lines[1].stock
        made_ml = (stock.solute_g + stock.water_g) / stock.ingredient.density_kg_per_l
        assert stock.volume_ml <= made_ml
        assert 100 * stock.solute_g / (stock.solute_g + stock.water_g) == stock.percent


def test_a_stock_can_itself_be_weighed():
    kit = Kit(scale_step_g=1.0)
    stock = batch(PINCHED, servings=10, kit=kit).lines[1].stock

    assert stock.solute_g >= kit.least_g


def test_the_parts_of_a_batch_are_what_is_measured():
    sheet = batch(PINCHED, servings=4)

    assert [part.ingredient.name for part in sheet.parts] == [
        "lemon juice",
        "citric acid, anhydrous, 10 % w/w",
        "still water",
    ]
    assert compose(PINCHED.model_copy(update={"parts": sheet.parts})).ta_g_per_l == pytest.approx(
        sheet.composition.ta_g_per_l
    )
