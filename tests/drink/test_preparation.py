"""Syrups and infusions: what goes in comes out, less steam and pulp."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tasting.drink.composition import compose
from tasting.drink.preparation import Preparation, Yield, prepared
from tasting.errors import InputError

from .glass import few, version

SYRUP = version(("sugar", "500 g"), ("water", "500 g"), id="syrup")
COMPOTE = version(("rhubarb", "500 g"), ("sugar", "300 g"), ("water", "300 g"), id="compote")


def made(recipe=SYRUP, *, key="house-syrup", **yields):
    return prepared(
        Preparation(key=key, name=key.replace("-", " "), version=recipe, yields=Yield(**yields))
    )


def test_all_that_went_in_is_a_half_and_half_syrup():
    """50 °Brix is 1.2297 kg/L (ICUMSA SPS-4); the sugar here holds 0.2 % of water."""
    syrup = made()

    assert syrup.sucrose_g_per_100g == pytest.approx(49.9)
    assert syrup.density_kg_per_l == pytest.approx(1.2297, abs=0.001)


@few
@given(st.floats(510, 1000))
def test_sugar_is_conserved_when_boiled_down_to_a_mass(mass_g):
    assert made(mass_g=mass_g).sucrose_g_per_100g * mass_g / 100 == pytest.approx(499)


@pytest.mark.parametrize("brix", [50, 60, 70])
def test_boiled_down_to_a_brix(brix):
    assert made(brix=brix).sucrose_g_per_100g == pytest.approx(brix)


def test_boiled_down_to_a_volume():
    syrup = made(volume_ml=700)

    assert syrup.sucrose_g_per_100g / 100 * syrup.density_kg_per_l * 700 == pytest.approx(499)


def test_a_volume_a_little_too_large_is_a_reading_error():
    whole = compose(SYRUP).volume_ml

    assert made(volume_ml=1.01 * whole).sucrose_g_per_100g == pytest.approx(49.9)


def test_pulp_keeps_liquid_of_the_same_strength_back():
    """12.5 g of fibre leave, and the strength does not depend on how wet they are."""
    dry, wet = made(COMPOTE, strained_g=20), made(COMPOTE, strained_g=200)

    assert wet.sucrose_g_per_100g == pytest.approx(dry.sucrose_g_per_100g)
    assert dry.sucrose_g_per_100g == pytest.approx(100 * 299.4 / (1100 - 12.5))


def test_strained_and_boiled_masses_add_up():
    """1100 in, 150 strained, 850 out: 100 g of steam."""
    cordial = made(COMPOTE, strained_g=150, mass_g=850)
    liquor = 1100 - 12.5 - 100

    assert cordial.sucrose_g_per_100g == pytest.approx(100 * 299.4 / liquor)


def test_acid_and_cations_come_along():
    cordial = made(COMPOTE, strained_g=150)
    whole = compose(COMPOTE)

    assert compose(version((cordial, "100 g"))).ph == pytest.approx(whole.ph, abs=0.03)


def test_preparation_is_an_ingredient_that_composes_like_its_parts():
    syrup = made()
    direct = compose(version(("sugar", "50 g"), ("water", "50 g"), ("lemon-juice", "20 mL")))
    nested = compose(version((syrup, "100 g"), ("lemon-juice", "20 mL")))

    for figure in ("volume_ml", "ta_g_per_l", "sugar_g_per_l", "energy_kcal_per_l"):
        assert getattr(nested, figure) == pytest.approx(getattr(direct, figure), rel=2e-3)


def test_ranges_and_allergens_come_along():
    cordial = made(version(("rhubarb-juice", "1 L"), ("almond-syrup", "1 L"), id="mix"))

    assert cordial.allergens == ("tree nuts",)
    assert {"malic_g_per_100g", "sucrose_g_per_100g"} <= set(cordial.ranges)
    assert "leaves are poisonous" in cordial.notice


def test_alcohol_comes_along():
    infusion = made(version(("neutral-spirit", "500 mL"), ("bay-leaves", "20 g")), strained_g=25)

    assert infusion.alcohol_percent_vol == pytest.approx(40, abs=1.2)


def test_made_from_itself_is_refused():
    syrup = made()
    again = version((syrup, "100 mL"), ("water", "100 mL"))

    with pytest.raises(ValidationError, match="made from itself; take it out"):
        Preparation(key="house-syrup", name="house syrup", version=again)


def test_made_from_itself_through_another_is_refused():
    cordial = made(version((made(), "100 mL"), ("water", "100 mL")), key="cordial")
    again = version((cordial, "100 mL"))

    with pytest.raises(ValidationError, match="through cordial"):
        Preparation(key="house-syrup", name="house syrup", version=again)


@pytest.mark.parametrize(
    ("yields", "match"),
    [
        ({"mass_g": 1200}, "more, or weaker, than what went in"),
        ({"brix": 30}, "more, or weaker, than what went in"),
        ({"mass_g": 300}, "holds 501 g of water"),
        ({"volume_ml": 2000}, "cannot yield 2000 mL"),
        ({"volume_ml": 100}, "cannot yield 100 mL"),
    ],
)
def test_yield_that_cannot_be_is_refused(yields, match):
    with pytest.raises(InputError, match=match):
        made(**yields)


def test_boiling_alcohol_off_is_refused():
    with pytest.raises(InputError, match="leaves with the steam"):
        made(version(("neutral-spirit", "500 mL"), ("sugar", "100 g")), mass_g=400)


def test_yield_given_twice_is_refused():
    with pytest.raises(ValidationError, match="give the yield once"):
        Yield(mass_g=900, brix=50)


@few
@given(st.floats(600, 980))
def test_mass_volume_and_brix_are_three_ways_to_say_one_yield(mass_g):
    by_mass = made(mass_g=mass_g)
    by_volume = made(volume_ml=mass_g / by_mass.density_kg_per_l)
    by_brix = made(brix=by_mass.sucrose_g_per_100g)

    for other in (by_volume, by_brix):
        assert other.sucrose_g_per_100g == pytest.approx(by_mass.sucrose_g_per_100g, rel=1e-6)
        assert other.density_kg_per_l == pytest.approx(by_mass.density_kg_per_l, rel=1e-6)


@few
@given(st.floats(0, 300))
def test_straining_takes_acid_and_sugar_alike(strained_g):
    whole, strained = made(COMPOTE, key="c"), made(COMPOTE, key="c", strained_g=strained_g)

    ratio = strained.malic_g_per_100g / strained.sucrose_g_per_100g
    assert ratio == pytest.approx(whole.malic_g_per_100g / whole.sucrose_g_per_100g)


def test_a_preparation_of_a_preparation_names_all_that_is_inside():
    first = made()
    second = made(version((first, "100 mL"), ("lemon-juice", "50 mL"), id="sour"), key="sour")

    assert set(second.made_from) == {"house-syrup", "lemon-juice", "sugar", "water"}


def test_energy_boils_down_with_the_sugar():
    """EU 1169/2011, Annex XIV: 4 kcal/g of carbohydrate."""
    assert made(mass_g=800).energy_kcal_per_100g == pytest.approx(4 * 499 / 8, rel=0.01)
