"""The pantry: counted, summed, sourced, and strict."""

import pytest
from pydantic import ValidationError

from tasting.drink.pantry import FIGURES, Ingredient, ingredient, pantry
from tasting.errors import InputError

ITEMS = list(pantry().values())


def total(figure):
    return sum(getattr(item, figure) or 0 for item in ITEMS)


def test_count_is_pinned():
    assert len(ITEMS) == 50


@pytest.mark.parametrize(
    ("figure", "expected"),
    [
        ("density_kg_per_l", 50.316966),
        ("alcohol_percent_vol", 306.2),
        ("sucrose_g_per_100g", 547.547),
        ("citric_g_per_100g", 273.688),
        ("energy_kcal_per_100g", 2308.0),
    ],
)
def test_column_sums_are_pinned(figure, expected):
    """So that no figure changes unseen."""
    assert total(figure) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("item", ITEMS, ids=lambda item: item.key)
def test_every_figure_has_a_source_with_its_status(item):
    given = [name for name in FIGURES if getattr(item, name)]

    assert set(given) <= set(item.sources)
    assert all(
        text.endswith(("(seen)", "(memory)", "(computed)")) for text in item.sources.values()
    )


@pytest.mark.parametrize("item", ITEMS, ids=lambda item: item.key)
def test_reads_itself_back(item):
    assert Ingredient.model_validate_json(item.model_dump_json()) == item


@pytest.mark.parametrize("wanted", ["lemon-juice", "Lemon juice", "  LEMON JUICE "])
def test_found_by_key_or_name(wanted):
    assert ingredient(wanted).key == "lemon-juice"


def test_unknown_ingredient_names_the_close_ones():
    with pytest.raises(InputError, match="did you mean lemon-juice"):
        ingredient("lemon-juce")


def test_unlike_anything_points_to_the_pantry():
    with pytest.raises(InputError, match="see the pantry"):
        ingredient("qqqq")


def test_pantry_cannot_be_changed():
    with pytest.raises(TypeError):
        pantry()["new"] = ITEMS[0]


def bad(**figures):
    return Ingredient(**{"key": "x", "name": "X", "density_kg_per_l": 1.0} | figures)


@pytest.mark.parametrize(
    ("figures", "match"),
    [
        ({"sucrose_g_per_100g": 60, "citric_g_per_100g": 50}, "more than 100 g"),
        ({"sucrose_g_per_100g": -1}, "greater than or equal to 0"),
        ({"density_kg_per_l": float("nan")}, "finite"),
        ({"key": "Two Words"}, "pattern"),
        ({"colour": 3}, "Extra inputs"),
        ({"sources": {"colour": "seen"}}, "not a figure of an ingredient"),
        ({"ranges": {"ph": (2, 3)}}, "does not hold its value"),
        ({"ph": 3.2, "ranges": {"ph": (2, 3)}}, "does not hold its value"),
    ],
)
def test_bad_ingredient_is_refused(figures, match):
    with pytest.raises(ValidationError, match=match):
        bad(**figures)


def test_spirit_holds_the_ethanol_of_its_strength():
    """40 % vol is 33.30 % by mass (OIML R 22)."""
    assert ingredient("neutral-spirit").ethanol_g_per_100g == pytest.approx(33.30, abs=0.005)


@pytest.mark.parametrize(
    ("key", "allergens"),
    [("egg-white", ("eggs",)), ("cream", ("milk",)), ("dry-white-wine", ("sulphites",))],
)
def test_allergens_are_listed(key, allergens):
    """Regulation (EU) No 1169/2011, Annex II."""
    assert ingredient(key).allergens == allergens
