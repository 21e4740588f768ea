"""What cannot be computed is said to be so, with a reason and an honest range."""

import pytest

from tasting.drink.composition import compose
from tasting.drink.pantry import Ingredient
from tasting.errors import InputError

from .glass import version

SOUR_MILK = version(("whole-milk", "240 mL"), ("lemon-juice", "15 mL"))
UNKNOWN = dict.fromkeys(
    ("alcohol_percent_vol", "sucrose_g_per_100g", "citric_g_per_100g", "co2_g_per_l")
)


def own(**figures):
    return Ingredient(**{"key": "mine", "name": "my brew", "density_kg_per_l": 1.01} | figures)


def test_soured_milk_has_no_computed_ph():
    """A cup of milk with a spoon of lemon juice is at pH 5 to 5.5 (buttermilk substitute of the
    kitchen; common practice, no source); its acids alone would be at 2.7."""
    drink = compose(SOUR_MILK)

    assert (drink.ph, drink.ta_g_per_l, drink.sugar_acid_ratio) == (None, None, None)
    assert "whole milk buffers the pH" in drink.unknown["ph"]
    assert drink.warnings == (
        "TA and pH are not computable: whole milk buffers the pH in a way that "
        "is not modelled; use a meter.",
    )
    assert drink.intervals["ph"].low < 5.0 < 5.5 < drink.intervals["ph"].high


def test_acidity_of_soured_milk_may_be_as_high_as_milk_makes_it():
    """Milk titrates to 0.14 to 0.18 % of lactic acid (Walstra, Dairy Science and Technology; from
    memory), 1.0 to 1.3 g/L as citric, beside the lemon's 2.9."""
    assert compose(SOUR_MILK).intervals["ta_g_per_l"].high > 2.9 + 1.3


@pytest.mark.parametrize("key", ["whole-milk", "cream", "egg-white"])
def test_milk_and_egg_hold_the_ph(key):
    assert compose(version((key, "30 mL"), ("lemon-juice", "30 mL"))).ph is None


@pytest.mark.parametrize(
    ("figures", "holds"),
    [
        ({"protein_g_per_100g": 3.0}, True),
        ({"protein_g_per_100g": 0.7}, False),
        ({"protein_g_per_100g": 0.5, "buffers": True}, True),
        ({"protein_g_per_100g": 3.0, "buffers": False}, False),
        ({"allergens": ("milk",)}, True),
        ({"allergens": ("tree nuts",)}, False),
        ({}, False),
    ],
)
def test_protein_or_allergen_or_a_mark_says_what_holds_the_ph(figures, holds):
    """Orange juice counts 0.7 g of protein, a soya drink 3 (USDA, from memory)."""
    assert own(**figures).holds_ph is holds


def test_a_spoon_of_milk_in_a_jug_still_computes():
    assert compose(version(("whole-milk", "5 mL"), ("lemon-juice", "300 mL"))).ph is not None


@pytest.mark.parametrize(
    ("figure", "missing"),
    [
        ("citric_g_per_100g", {"ta_g_per_l", "ph", "brix"}),
        ("sucrose_g_per_100g", {"sugar_g_per_l", "sweetness_g_per_l", "brix"}),
        ("alcohol_percent_vol", {"alcohol_percent_vol", "alcohol_g_per_l"}),
        ("co2_g_per_l", {"co2_g_per_l"}),
    ],
)
def test_what_is_not_known_is_unknown_and_never_none(figure, missing):
    drink = compose(version((own(**{figure: None}), "100 mL"), ("water", "100 mL")))

    assert missing <= set(drink.unknown)
    for name in missing:
        assert getattr(drink, name) is None
        assert drink.intervals[name].low < drink.intervals[name].high
        assert "my brew" in drink.unknown[name]
        with pytest.raises(InputError, match="not known"):
            drink.known(name)


def test_known_figures_stay_known_beside_an_unknown_one():
    drink = compose(version((own(co2_g_per_l=None, sucrose_g_per_100g=8.0), "100 mL")))

    assert drink.sugar_g_per_l == pytest.approx(80.8)
    assert set(drink.unknown) == {"co2_g_per_l"}


def test_acidity_that_was_titrated_needs_no_acid_by_name():
    drink = compose(version((own(citric_g_per_100g=None, ta_citric_g_per_100g=0.5), "100 mL")))

    assert drink.ta_g_per_l == pytest.approx(5.05, rel=1e-3)


def test_energy_is_unknown_where_what_it_comes_from_is():
    assert compose(version((own(sucrose_g_per_100g=None), "100 mL"))).energy_kcal_per_l is None


def test_energy_from_a_label_needs_nothing_else():
    brew = own(sucrose_g_per_100g=None, energy_kcal_per_100g=20.0)

    assert compose(version((brew, "100 mL"))).energy_kcal_per_l == pytest.approx(202)


def test_a_dash_of_the_unknown_widens_and_does_not_forbid():
    drink = compose(version((own(**UNKNOWN), "0.5 mL"), ("lemon-juice", "100 mL")))
    plain = compose(version(("lemon-juice", "100 mL")))

    assert drink.unknown == {}
    assert drink.intervals["co2_g_per_l"].high > plain.intervals["co2_g_per_l"].high


def test_contribution_of_the_unknown_is_not_known():
    first, second = compose(
        version((own(**UNKNOWN), "100 mL"), ("lemon-juice", "20 mL"))
    ).contributions

    assert (first.ta_g_per_l, first.sugar_g_per_l, first.co2_g_per_l) == (None, None, None)
    assert second.ta_g_per_l > 0


def test_energy_is_named_once_for_both_its_units():
    drink = compose(version((own(sucrose_g_per_100g=None), "100 mL")))

    assert not any("nergy, energy" in text or "nergy and energy" in text for text in drink.warnings)
