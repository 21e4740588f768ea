"""Whatever figures an ingredient carries, its content agrees with them or is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tasting.drink import content
from tasting.drink.composition import compose
from tasting.drink.pantry import FIGURES, Ingredient, pantry
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
