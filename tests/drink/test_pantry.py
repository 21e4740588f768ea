"""The pantry: counted, summed, sourced, and strict."""

import pytest
from pydantic import ValidationError

from tasting.drink.alcohol import mass_fraction
from tasting.drink.energy import PER_G
from tasting.drink.pantry import FIGURES, Ingredient, ingredient, pantry
from tasting.drink.sugar import density_kg_per_m3
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


@pytest.mark.parametrize("item", ITEMS, ids=lambda item: item.key)
def test_ranges_hold_their_value(item):
    for figure, (low, high) in item.ranges.items():
        assert low <= getattr(item, figure) <= high
        assert low < high


JUICES = [item for item in ITEMS if item.key.endswith("-juice") and item.energy_kcal_per_100g]


@pytest.mark.parametrize("item", JUICES, ids=lambda item: item.key)
def test_energy_of_juices_agrees_with_the_factors(item):
    """Tables count what is there by difference, the Regulation what was found; where a table and
    an analysis come from two sources they differ by up to 45 % (cranberry)."""
    computed = PER_G["carbohydrate"][0] * item.sugars_g_per_100g
    computed += PER_G["organic acid"][0] * item.acids_g_per_100g

    assert 0.75 * computed <= item.energy_kcal_per_100g <= 1.85 * computed


SYRUPS = [item for item in ITEMS if item.key.startswith(("simple-syrup", "bay-syrup"))]


@pytest.mark.parametrize("item", SYRUPS, ids=lambda item: item.key)
def test_syrups_have_the_density_of_their_sugar(item):
    """ICUMSA SPS-4."""
    density = density_kg_per_m3(item.sugars_g_per_100g / 100) / 1000

    assert item.density_kg_per_l == pytest.approx(float(density), abs=0.003)


SPIRITS = [item for item in ITEMS if item.key in ("neutral-spirit", "strong-spirit")]


@pytest.mark.parametrize("item", SPIRITS, ids=lambda item: item.key)
def test_spirits_have_the_density_of_their_strength(item):
    """OIML R 22 by way of the mass fraction."""
    mass = mass_fraction(item.alcohol_percent_vol)

    assert item.ethanol_g_per_100g == pytest.approx(100 * mass, abs=0.05)


def test_every_acid_powder_warns_of_itself():
    for key in ("citric-acid", "citric-acid-monohydrate", "phosphoric-acid", "lactic-acid"):
        assert ingredient(key).notice


def test_monohydrate_holds_its_water():
    """18.02 of 210.14 g/mol are water (arithmetic)."""
    crystal, dry = ingredient("citric-acid-monohydrate"), ingredient("citric-acid")
    share = crystal.citric_g_per_100g / dry.citric_g_per_100g

    assert share == pytest.approx(1 - 18.02 / 210.14, abs=0.003)
