"""A measured lot gives back what was measured."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tasting.drink.composition import compose
from tasting.drink.lots import MEASURED, Measured, lot
from tasting.drink.pantry import ingredient
from tasting.errors import InputError

from .glass import few, version


def rhubarb(**values):
    measured = Measured(**values)
    return lot(ingredient("rhubarb-juice"), measured, key="rhubarb-lot-3", name="rhubarb lot 3")


def drink(item):
    return compose(version((item, "100 mL")))


@pytest.mark.parametrize("key", ["rhubarb-juice", "lemon-juice", "orange-juice", "cranberry-juice"])
def test_titration_ph_and_brix_come_out_again(key):
    """26.2 mL of 0.1 N base on 10 mL is 16.78 g/L as citric acid (64.04 g per equivalent)."""
    measured = Measured(sample_ml=10, base_ml=26.2, ph=3.2, brix=8.4)
    found = drink(lot(ingredient(key), measured, key="lot-1", name="lot 1"))

    assert found.ta_g_per_l == pytest.approx(16.78, abs=0.01)
    assert found.ph == pytest.approx(3.2, abs=1e-4)
    assert found.refractometer_brix == pytest.approx(8.4, abs=0.05)


def test_titration_alone_keeps_the_potassium():
    usual = ingredient("lemon-juice")
    sharper = lot(usual, Measured(sample_ml=5, base_ml=40), key="lemon-2", name="lemon 2")

    assert sharper.potassium_mg_per_100g == usual.potassium_mg_per_100g
    assert drink(sharper).ta_g_per_l == pytest.approx(51.23, abs=0.02)


def test_proportions_of_the_acids_stay():
    usual, found = drink(ingredient("rhubarb-juice")), drink(rhubarb(sample_ml=10, base_ml=30))

    assert found.acids.malic / found.acids.citric == pytest.approx(
        usual.acids.malic / usual.acids.citric
    )


def test_titrating_narrows_the_acid():
    before = drink(ingredient("rhubarb-juice")).intervals["ta_g_per_l"]
    after = drink(rhubarb(sample_ml=10, base_ml=19.4)).intervals["ta_g_per_l"]

    assert after.high - after.low < (before.high - before.low) / 5


def test_density_follows_from_brix():
    """10 °Brix is 1.0381 kg/L (ICUMSA SPS-4)."""
    assert rhubarb(brix=10).density_kg_per_l == pytest.approx(1.0381, abs=1e-4)


def test_measured_density_is_taken_as_it_is():
    assert rhubarb(brix=10, density_kg_per_l=1.05).density_kg_per_l == 1.05


def test_energy_is_computed_again_after_sugar_or_acid():
    assert rhubarb(brix=12).energy_kcal_per_100g is None
    syrup = ingredient("agave-syrup")
    assert lot(syrup, Measured(ph=4.5), key="x", name="x").energy_kcal_per_100g


def test_lot_says_what_was_measured():
    assert rhubarb(ph=3.3).sources["ph"] == MEASURED


@pytest.mark.parametrize(
    ("values", "match"),
    [
        ({}, "nothing was measured"),
        ({"base_ml": 5}, "both the mL of sample"),
        ({"sample_ml": 5}, "both the mL of sample"),
        ({"sample_ml": 0, "base_ml": 5}, "greater than 0"),
        ({"sample_ml": 10, "base_ml": -1}, "greater than or equal to 0"),
        ({"ph": 15}, "less than or equal to 14"),
        ({"brix": float("nan")}, "brix"),
    ],
)
def test_bad_measurement_is_refused(values, match):
    with pytest.raises(ValidationError, match=match):
        Measured(**values)


@pytest.mark.parametrize("key", ["dry-white-wine", "citric-acid"])
def test_brix_of_a_wine_or_a_powder_is_refused(key):
    with pytest.raises(InputError, match="leave °Brix out"):
        lot(ingredient(key), Measured(brix=10), key="x", name="x")


@few
@given(st.floats(1, 25), st.floats(1, 60), st.floats(0.05, 0.5))
def test_titration_is_volume_times_strength(sample_ml, base_ml, normality):
    """mL of base, times its normality, times 64.04 g per equivalent, over mL of sample."""
    measured = Measured(sample_ml=sample_ml, base_ml=base_ml, base_normality=normality)

    assert measured.ta_g_per_l == pytest.approx(64.04 * base_ml * normality / sample_ml, rel=1e-3)


@few
@given(st.floats(4.0, 14.0))
def test_brix_of_a_lot_is_read_again(brix):
    assert drink(rhubarb(brix=brix)).refractometer_brix == pytest.approx(brix, abs=0.05)


def test_what_was_not_measured_stays_as_usual():
    usual, found = ingredient("rhubarb-juice"), rhubarb(ph=3.3)

    assert found.malic_g_per_100g == usual.malic_g_per_100g
    assert found.sugars_g_per_100g == usual.sugars_g_per_100g
    assert found.density_kg_per_l == usual.density_kg_per_l
    assert found.allergens == usual.allergens


def test_a_lot_measured_in_all_ways_is_surer_than_the_usual():
    usual = drink(ingredient("rhubarb-juice"))
    found = drink(rhubarb(sample_ml=10, base_ml=20, ph=3.3, brix=5.0))

    for figure in ("ta_g_per_l", "sugar_g_per_l"):
        before, after = usual.intervals[figure], found.intervals[figure]
        assert after.high - after.low < before.high - before.low
