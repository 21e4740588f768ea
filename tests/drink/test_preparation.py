"""Syrups and infusions: what goes in comes out, less steam and pulp."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tasting.drink.cautions import cautions
from tasting.drink.composition import compose
from tasting.drink.pantry import CARRIED_FIGURES, Ingredient, ingredient
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


FIZZ = Ingredient(
    key="fizz",
    name="fizz",
    density_kg_per_l=1.04,
    sucrose_g_per_100g=10,
    citric_g_per_100g=0.5,
    protein_g_per_100g=0.5,
    sodium_mg_per_100g=40,
    chloride_mg_per_100g=20,
    alkalinity_meq_per_100g=0.2,
    polyols_g_per_100g=1,
    glycerol_g_per_100g=1,
    intense_sweetness_g_per_100g=5,
    fat_g_per_100g=0.1,
    fibre_g_per_100g=0.2,
    caffeine_mg_per_100g=20,
    quinine_mg_per_100g=5,
    benzoate_g_per_100g=0.012,
    sorbate_g_per_100g=0.02,
    sulphite_mg_per_100g=3,
    bases={"benzoate_g_per_100g": "typical"},
)


@pytest.mark.parametrize("figure", CARRIED_FIGURES)
def test_everything_that_adds_up_comes_along(figure):
    """200 g of it and 100 g of water, boiled down to 200 g: all of it is in there (arithmetic)."""
    syrup = made(version((FIZZ, "200 g"), ("water", "100 g")), mass_g=200)

    assert getattr(syrup, figure) == pytest.approx(getattr(FIZZ, figure))


def test_benzoate_of_a_syrup_still_warns_of_benzene():
    syrup = made(version((FIZZ, "200 g"), ("sugar", "100 g")))
    drink = version((syrup, "50 g"), ("lemon-juice", "50 g"))

    assert "benzene" in {caution.kind for caution in cautions(drink)}


def test_a_range_of_what_comes_along_does_too():
    syrup = made(version((FIZZ, "100 g"), ("water", "100 g")))

    assert syrup.ranges["benzoate_g_per_100g"] == pytest.approx((0.0045, 0.0075))


def test_nested_charge_counts_once():
    """Sodium, chloride and alkalinity come along and are not charged again."""
    mix = version((FIZZ, "200 g"), ("lemon-juice", "100 g"))
    nested, whole = compose(version((made(mix), "100 g"))), compose(mix)

    assert nested.ta_g_per_l == pytest.approx(whole.ta_g_per_l, rel=1e-3)
    assert nested.ph == pytest.approx(whole.ph, abs=2e-3)
    assert nested.sweetness_g_per_l == pytest.approx(whole.sweetness_g_per_l, rel=1e-3)


def test_what_only_some_parts_say_is_counted_and_the_others_are_named():
    sugar = ingredient("sugar").model_copy(update={"caffeine_mg_per_100g": None})
    syrup = made(version((FIZZ, "100 g"), (sugar, "100 g")))

    assert syrup.caffeine_mg_per_100g == pytest.approx(10)
    assert "not known of white sugar" in syrup.sources["caffeine_mg_per_100g"]


@pytest.mark.parametrize(
    "figure", ["citric_g_per_100g", "sucrose_g_per_100g", "alcohol_percent_vol"]
)
def test_what_is_not_known_stays_unknown(figure):
    brew = FIZZ.model_copy(update={figure: None, "ranges": {}, "bases": {}})

    assert getattr(made(version((brew, "100 g"), ("water", "100 g"))), figure) is None


def test_a_preparation_of_milk_holds_the_ph():
    posset = made(version(("whole-milk", "500 g"), ("sugar", "100 g")))

    assert posset.buffers
    assert compose(version((posset, "100 g"), ("lemon-juice", "10 g"))).ph is None


def test_strained_fibre_stays_behind():
    leaf = FIZZ.model_copy(
        update={"key": "leaf", "fibre_g_per_100g": 30.0, "insoluble_g_per_100g": 30.0}
    )
    recipe = version((leaf, "100 g"), ("water", "900 g"))

    assert made(recipe, strained_g=100).fibre_g_per_100g == 0
    assert made(recipe).fibre_g_per_100g == pytest.approx(3.0)


def test_strength_and_density_are_as_unsure_as_before():
    infusion = made(version(("neutral-spirit", "500 mL"), ("sugar", "100 g")))

    assert {"alcohol_percent_vol", "density_kg_per_l"} <= set(infusion.ranges)


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
        ({"mass_g": 300}, "contains 501 g of water"),
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
