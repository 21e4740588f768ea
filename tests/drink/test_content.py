"""Whatever figures an ingredient carries, its content agrees with them or is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tasting.drink import content
from tasting.drink.composition import compose
from tasting.drink.pantry import FIGURES, Ingredient, ingredient, pantry
from tasting.errors import InputError

from .glass import few, version


def juice(**figures):
    return Ingredient(**{"key": "juice", "name": "juice", "density_kg_per_l": 1.02} | figures)


def drink(item):
    return compose(version((item, "100 mL")))


figures = st.fixed_dictionaries(
    {},
    optional={
        "glucose_g_per_100g": st.floats(0, 30),
        "malic_g_per_100g": st.floats(0, 10),
        "lactic_g_per_100g": st.floats(0, 10),
        "phosphoric_g_per_100g": st.floats(0, 1),
        "alcohol_percent_vol": st.floats(0, 40),
        "ta_citric_g_per_100g": st.floats(0, 5),
        "ph": st.floats(0, 14),
        "potassium_mg_per_100g": st.floats(0, 500),
        "other_cations_meq_per_100g": st.floats(-5, 5),
        "co2_g_per_l": st.floats(0, 12),
    },
)


@few
@given(figures)
def test_any_ingredient_composes_or_is_refused(values):
    try:
        found = drink(juice(**values))
    except ValueError:
        return
    assert np.isfinite([getattr(found, name) for name in ("volume_ml", "ta_g_per_l", "ph")]).all()
    assert found.mass_g == pytest.approx(102)


@few
@given(st.floats(0.3, 5), st.floats(2.5, 6))
def test_titration_and_ph_are_both_given_back(ta_percent, ph):
    found = drink(juice(ta_citric_g_per_100g=ta_percent, ph=ph))

    assert found.ta_g_per_l == pytest.approx(10.2 * ta_percent, rel=1e-5)
    assert found.ph == pytest.approx(ph, abs=1e-5)


@few
@given(st.floats(0.05, 5), st.floats(0, 300))
def test_titration_is_given_back_beside_potassium(ta_percent, potassium):
    item = juice(ta_citric_g_per_100g=ta_percent, potassium_mg_per_100g=potassium)

    assert drink(item).ta_g_per_l == pytest.approx(10.2 * ta_percent, rel=1e-5)


def test_acidity_alone_stands_for_citric_acid():
    found = drink(juice(ta_citric_g_per_100g=1.0))

    assert found.acids.citric == pytest.approx(10.2, rel=0.01)
    assert found.ph == pytest.approx(2.22, abs=0.02)


def test_no_acidity_at_all_leaves_no_acid():
    assert drink(juice(malic_g_per_100g=1.0, ta_citric_g_per_100g=0.0)).acids.malic == 0


def test_a_ph_without_any_acid_is_only_a_remark():
    assert drink(juice(ph=6.0)).ph == pytest.approx(7, abs=0.01)


@pytest.mark.parametrize(("ta_percent", "ph"), [(5.0, 7.4), (0.06, 2.0)])
def test_acidity_that_cannot_have_such_a_ph_is_refused(ta_percent, ph):
    """More acid than fits in; or fewer protons in all than are free at that pH."""
    with pytest.raises(InputError, match="do not fit together"):
        drink(juice(ta_citric_g_per_100g=ta_percent, ph=ph))


def test_an_impossible_end_of_a_range_says_nothing():
    item = juice(ta_citric_g_per_100g=0.1, ph=2.6, ranges={"ph": (1.5, 2.6)})

    assert drink(item).intervals["ta_g_per_l"].low == pytest.approx(1.02, rel=1e-4)


def test_acidity_above_the_end_point_is_refused():
    with pytest.raises(ValidationError, match="where a titration ends"):
        juice(ta_citric_g_per_100g=1.0, ph=8.0)


def test_matrix_is_what_the_rows_are():
    items = list(pantry().values())
    solid = np.array([item.form == "solid" for item in items])
    holds_ph = np.array([item.holds_ph for item in items])
    figures = np.array([content.figures_of(item) for item in items], dtype=float)
    whole = content.contents(figures, solid, holds_ph)

    assert whole == pytest.approx(np.array([content.content(item) for item in items]), abs=1e-12)


def test_a_gram_of_anything_weighs_a_gram():
    grams = [content.content(item)[content.MASSES].sum() for item in pantry().values()]

    assert grams == pytest.approx(np.ones(len(grams)), abs=1e-12)


def test_liquids_keep_their_density_and_powders_dissolve():
    for item in pantry().values():
        row = content.content(item)
        volume = content.model_volume_ml(row) + row[content.RESIDUE]
        expected = 1 / item.density_kg_per_l
        assert (volume == pytest.approx(expected)) == (item.form == "liquid")


def test_remembered_content_cannot_be_changed():
    with pytest.raises(ValueError, match="read-only"):
        content.content(pantry()["water"])[0] = 5


def test_figures_are_read_in_their_order():
    water = pantry()["water"]

    assert content.figures_of(water)[FIGURES.index("density_kg_per_l")] == water.density_kg_per_l


def powder(**figures):
    return Ingredient(
        **{"key": "p", "name": "P", "form": "solid", "density_kg_per_l": 1.0} | figures
    )


SALT = powder(sodium_mg_per_100g=39_337, chloride_mg_per_100g=60_663, water_g_per_100g=0.0)


@pytest.mark.parametrize(("percent", "density"), [(10, 1.0707), (20, 1.1478)])
def test_brine_has_its_density(percent, density):
    """CRC Handbook, sodium chloride solutions at 20 °C (from memory)."""
    brine = compose(version((SALT, f"{percent} g"), ("water", f"{100 - percent} g")))

    assert brine.density_kg_per_l == pytest.approx(density, abs=0.004)


def test_salt_brings_neither_acid_nor_base():
    with_salt = compose(version((SALT, "1 g"), ("lemon-juice", "100 mL")))

    assert with_salt.ta_g_per_l == pytest.approx(
        compose(version(("lemon-juice", "100 mL"))).ta_g_per_l, rel=0.02
    )


def test_sodium_without_chloride_is_table_salt():
    plain, labelled = (
        juice(citric_g_per_100g=1.0),
        juice(citric_g_per_100g=1.0, sodium_mg_per_100g=300.0),
    )

    assert drink(labelled).ph == pytest.approx(drink(plain).ph, abs=1e-6)


def test_sodium_beside_its_chloride_neutralises():
    """300 mg of sodium are 13.05 meq (arithmetic), 0.836 g of citric acid."""
    plain, salted = (
        juice(citric_g_per_100g=1.0),
        juice(citric_g_per_100g=1.0, sodium_mg_per_100g=300.0, chloride_mg_per_100g=0.0),
    )

    assert drink(plain).ta_g_per_l - drink(salted).ta_g_per_l == pytest.approx(8.36 * 1.02, abs=0.1)


def test_bicarbonate_takes_its_acid_and_leaves_as_gas():
    """1 g of NaHCO3 (84.007 g/mol) is 11.90 meq and takes 0.762 g of citric acid (arithmetic)."""
    soda = powder(alkalinity_meq_per_100g=1190.4, sodium_mg_per_100g=27_366, water_g_per_100g=0)
    drinks = [
        compose(version((powder(citric_g_per_100g=100), "5 g"), ("water", "1 L"), *more))
        for more in ([], [(soda, "1 g")])
    ]
    acid = [made.ta_g_per_l * made.volume_ml / 1000 for made in drinks]

    assert acid[0] - acid[1] == pytest.approx(0.762, abs=0.005)


def test_bicarbonate_in_water_is_mildly_basic():
    """pH 8.3 of sodium bicarbonate solutions (any textbook: half of pK1 + pK2)."""
    soda = powder(alkalinity_meq_per_100g=1190.4, water_g_per_100g=0)

    assert compose(version((soda, "5 g"), ("water", "1 L"))).ph == pytest.approx(8.3, abs=0.2)


def test_hard_water_moves_a_spritz_by_less_than_a_tenth():
    """5 meq/L (250 mg/L as CaCO3) moved one by +0.07 (by hand, from its buffer capacity)."""
    hard = ingredient("sparkling-water").model_copy(update={"alkalinity_meq_per_100g": 0.5})
    soft, harder = (
        compose(version(("rhubarb-juice", "60 mL"), ("lemon-juice", "10 mL"), (water, "90 mL"))).ph
        for water in (ingredient("sparkling-water"), hard)
    )

    assert 0.03 < harder - soft < 0.12


def test_energy_of_what_the_regulation_gives_a_factor():
    """Regulation (EU) No 1169/2011, Annex XIV: polyols (glycerol is one) 2.4, protein 4, fat 9,
    fibre 2 kcal/g; phosphoric acid is not organic and has none."""
    item = juice(
        polyols_g_per_100g=10,
        glycerol_g_per_100g=5,
        protein_g_per_100g=3,
        fat_g_per_100g=2,
        fibre_g_per_100g=1,
        phosphoric_g_per_100g=1,
        buffers=False,
    )
    kcal = content.content(item)[content.KCAL] * 100

    assert kcal == pytest.approx(2.4 * 15 + 4 * 3 + 9 * 2 + 2)


def test_a_light_drink_is_sweet_without_sugar():
    """Polyols are 0.35 to 1.0 as sweet as sucrose, glycerol 0.6 (common practice, no source)."""
    light = drink(juice(intense_sweetness_g_per_100g=9.0, glycerol_g_per_100g=1.0))

    assert light.sugar_g_per_l == 0
    assert light.sweetness_g_per_l == pytest.approx(96.0 * light.density_kg_per_l, rel=1e-6)


def test_succinic_acid_titrates_twice():
    """0.1 mol/L of succinic acid is at pH 2.6 to 2.7 (pK 4.21; any textbook: half of pK - log c),
    and 118.09 g of it titrate like 128.08 g of citric."""
    sour = drink(juice(succinic_g_per_100g=1.1809))

    assert sour.ph == pytest.approx((4.21 + 1) / 2, abs=0.05)
    assert sour.ta_g_per_l == pytest.approx(12.81 * sour.density_kg_per_l, rel=0.01)
