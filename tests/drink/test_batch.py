"""From the bench to a batch: measurable amounts that still make the same drink."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tasting.drink.batch import Kit, batch, stock_solution
from tasting.drink.composition import compose
from tasting.drink.pantry import ingredient
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
