"""How a figure is known says how far the truth may lie from it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.drink.basis import likely_range
from tasting.drink.pantry import FIGURES, Ingredient

BASES = ("measured", "label", "typical", "guess")


@pytest.mark.parametrize(
    ("grams", "span"), [(5, (3, 7)), (9.9, (7.9, 11.9)), (20, (16, 24)), (50, (42, 58))]
)
def test_sugar_on_a_label(grams, span):
    """EU guidance on tolerances, December 2012: below 10 g ±2 g, to 40 g ±20 %, then ±8 g."""
    assert likely_range("sucrose_g_per_100g", grams, "label") == pytest.approx(span)


@pytest.mark.parametrize(("grams", "span"), [(5, (3.5, 6.5)), (20, (16, 24))])
def test_fat_on_a_label(grams, span):
    """The same guidance: below 10 g ±1.5 g (from memory)."""
    assert likely_range("fat_g_per_100g", grams, "label") == pytest.approx(span)


def test_strength_on_a_label():
    """Regulation (EU) No 1169/2011, Annex XII: 0.3 to 0.5 % vol for what is not fermented fruit."""
    assert likely_range("alcohol_percent_vol", 40, "label") == pytest.approx((39.5, 40.5))


@given(st.sampled_from(FIGURES), st.floats(0.01, 13))
def test_a_guess_is_never_surer_than_what_was_measured(figure, value):
    spans = [likely_range(figure, value, basis) for basis in BASES]
    widths = [high - low for low, high in spans]

    assert widths[0] <= min(widths[2:]) + 1e-9
    assert widths[2] <= widths[3] + 1e-9
    assert all(low <= value <= high for low, high in spans)


@pytest.mark.parametrize("basis", BASES)
def test_nothing_is_below_nothing(basis):
    span = likely_range("sucrose_g_per_100g", 0.0, basis)

    assert span is None or span[0] == 0


def test_an_ingredient_takes_the_range_of_its_basis_and_keeps_its_own():
    brew = Ingredient(
        key="x",
        name="X",
        density_kg_per_l=1.0,
        sucrose_g_per_100g=8.0,
        ph=3.0,
        bases={"sucrose_g_per_100g": "measured", "ph": "guess"},
        ranges={"ph": (2.9, 3.1)},
    )

    assert brew.ranges == {"ph": (2.9, 3.1), "sucrose_g_per_100g": (7.6, 8.4)}
    assert Ingredient.model_validate_json(brew.model_dump_json()) == brew


def test_whatever_is_unknown_has_no_range():
    brew = Ingredient(
        key="x", name="X", density_kg_per_l=1.0, co2_g_per_l=None, bases={"co2_g_per_l": "guess"}
    )

    assert brew.ranges == {}
