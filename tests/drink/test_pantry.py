"""The pantry: counted, summed, sourced, and strict."""

import pytest
from pydantic import ValidationError

from tasting.drink import acidity, content
from tasting.drink.alcohol import mass_fraction
from tasting.drink.composition import compose
from tasting.drink.energy import PER_G
from tasting.drink.pantry import FIGURES, Ingredient, aliases, ingredient, pantry
from tasting.drink.sugar import density_kg_per_m3
from tasting.errors import InputError

from .glass import version

ITEMS = list(pantry().values())
PRACTICE = "common practice, no source"


def total(figure):
    return sum(getattr(item, figure) or 0 for item in ITEMS)


def test_count_is_pinned():
    assert len(ITEMS) == 75


@pytest.mark.parametrize(
    ("figure", "expected"),
    [
        ("density_kg_per_l", 71.302666),
        ("alcohol_percent_vol", 406.2),
        ("sucrose_g_per_100g", 574.467),
        ("citric_g_per_100g", 276.475),
        ("energy_kcal_per_100g", 1005.0),
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
        text.casefold().endswith(
            ("(seen)", "(from memory)", "(computed)", PRACTICE, f"({PRACTICE})")
        )
        for text in item.sources.values()
    )


@pytest.mark.parametrize("item", ITEMS, ids=lambda item: item.key)
def test_reads_itself_back(item):
    assert Ingredient.model_validate_json(item.model_dump_json()) == item


@pytest.mark.parametrize("wanted", ["lemon-juice", "Lemon juice", "  LEMON JUICE "])
def test_found_by_key_or_name(wanted):
    assert ingredient(wanted).key == "lemon-juice"


def test_unknown_ingredient_names_the_close_ones():
    with pytest.raises(InputError, match="did you mean lemon"):
        ingredient("lemon-juce")


def test_what_is_not_there_can_be_added():
    with pytest.raises(InputError, match="add it as an ingredient of your own"):
        ingredient("qqqq")


@pytest.mark.parametrize(
    ("wanted", "key"),
    [
        ("simple syrup", "simple-syrup-1-1"),
        ("Gin", "juniper-spirit"),
        ("vodka", "neutral-spirit"),
        ("rum", "aged-spirit"),
        ("tequila", "aged-spirit"),
        ("mint", "mint-leaves"),
        ("soda water", "sparkling-water"),
        ("baking soda", "sodium-bicarbonate"),
        ("vitamin C", "ascorbic-acid"),
        ("lemon", "lemon-juice"),
    ],
)
def test_found_by_what_bars_call_it(wanted, key):
    """Common practice, no source."""
    assert ingredient(wanted).key == key


def test_no_name_stands_for_two_ingredients():
    names = [name.casefold() for several in aliases().values() for name in several]
    taken = [item.name.casefold() for item in ITEMS] + [item.key for item in ITEMS]

    assert len(set(names)) == len(names)
    assert not set(names) & set(taken)


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
        ({"ranges": {"ph": (2, 3)}}, "does not include its value"),
        ({"ph": 3.2, "ranges": {"ph": (2, 3)}}, "does not include its value"),
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


DECLARED = [item for item in ITEMS if item.energy_kcal_per_100g]
GROUPS = {"protein": "protein", "fat": "fat", "fibre": "fibre", "polyols": "polyol"}


def accounted(item):
    """kcal of what a row names, and g of it, in 100 g (Regulation (EU) 1169/2011, Annex XIV)."""
    row = content.content(item)
    sugars, acids = 100 * row[content.SUGARS].sum(), 100 * row[content.ACIDS].sum()
    grams = {group: getattr(item, f"{name}_g_per_100g") or 0.0 for name, group in GROUPS.items()}
    kcal = (
        4 * sugars + 3 * (acids - (item.phosphoric_g_per_100g or 0)) + 7 * item.ethanol_g_per_100g
    )
    kcal += sum(PER_G[group][0] * mass for group, mass in grams.items())
    return kcal, sugars + acids + item.ethanol_g_per_100g + sum(grams.values())


@pytest.mark.parametrize("item", DECLARED, ids=lambda item: item.key)
def test_declared_energy_agrees_with_what_is_in_it(item):
    """No less than what is named brings, and no more than if all the rest were carbohydrate."""
    low, high = item.ranges["energy_kcal_per_100g"]
    kcal, grams = accounted(item)
    rest = 100 - item.water_g_per_100g - grams

    assert kcal <= high
    assert low <= kcal + 4 * rest
    assert kcal <= item.energy_kcal_per_100g <= kcal + 4 * rest


def degassed_ph(item):
    """pH of an ingredient without its CO2, as it is measured."""
    row, per_litre = content.content(item), 1000 * item.density_kg_per_l
    moles = row[content.ACIDS] * per_litre / acidity.MOLAR_MASS
    return float(acidity.solve_ph(moles[None], row[[content.CATIONS]] * per_litre)[0])


WITH_PH = [item for item in ITEMS if item.ph is not None]


@pytest.mark.parametrize("item", WITH_PH, ids=lambda item: item.key)
def test_ph_agrees_with_the_acids_and_minerals(item):
    low, high = item.ranges["ph"]

    assert low <= degassed_ph(item) <= high


@pytest.mark.parametrize("item", WITH_PH, ids=lambda item: item.key)
def test_no_acid_is_missing_for_the_ph(item):
    """Fewer cations than none would mean that an acid was forgotten."""
    assert content.content(item)[content.CATIONS] > 0


JUICES = [item for item in ITEMS if item.key.endswith("-juice")]


@pytest.mark.parametrize("item", JUICES, ids=lambda item: item.key)
def test_every_juice_has_vitamin_c(item):
    assert item.ascorbic_g_per_100g > 0


LIQUIDS = [item for item in ITEMS if item.form == "liquid"]
# Fat, gas, glycerol, long sugars and strong acids are heavier or lighter than the volume rule has
# them; the residue of the liquid stands for that.
OWN_VOLUME = {
    "agave-syrup",
    "cream",
    "egg-white",
    "glycerol",
    "lactic-acid",
    "maltose-syrup",
    "phosphoric-acid",
    "white-vinegar",
    "whole-milk",
}


@pytest.mark.parametrize(
    "item", [item for item in LIQUIDS if item.key not in OWN_VOLUME], ids=lambda item: item.key
)
def test_density_agrees_with_what_is_dissolved(item):
    """OIML R 22 and ICUMSA by way of the volume rule, within the row's own range and 0.3 %."""
    row = content.content(item)
    by_rule = 1 / content.model_volume_ml(row)
    low, high = item.ranges.get("density_kg_per_l", (item.density_kg_per_l, item.density_kg_per_l))

    assert 0.997 * low <= by_rule <= 1.003 * high


@pytest.mark.parametrize(("percent", "density"), [(10, 1.0707), (20, 1.1478)])
def test_brine_has_its_density(percent, density):
    """CRC Handbook, sodium chloride at 20 °C (from memory)."""
    made = compose(version(("salt", f"{percent} g"), ("water", f"{100 - percent} g")))

    assert made.density_kg_per_l == pytest.approx(density, abs=0.0015)


def test_hard_water_raises_the_ph_of_a_spritz():
    """5 meq/L in 90 mL of water of a 210 mL spritz: +0.07 (arithmetic of its buffers)."""
    hard = ingredient("sparkling-water").model_copy(
        update={"alkalinity_meq_per_100g": 0.5, "ranges": {}}
    )
    others = [("rhubarb-juice", "60 mL"), ("bay-syrup", "20 mL"), ("juniper-spirit", "30 mL")]
    others.append(("lemon-juice", "10 mL"))
    soft = compose(version(*others, ("sparkling-water", "90 mL")))
    after = compose(version(*others, (hard, "90 mL")))

    assert after.ph - soft.ph == pytest.approx(0.07, abs=0.02)
    assert after.ph <= soft.intervals["ph"].high


def test_phosphoric_acid_gives_no_energy():
    """Regulation (EU) No 1169/2011, Annex XIV: the factor is for organic acids."""
    assert compose(version(("phosphoric-acid", "10 g"))).energy_kcal_per_l == 0


@pytest.mark.parametrize(
    ("key", "figure", "expected"),
    [
        ("sodium-bicarbonate", "alkalinity_meq_per_100g", 1000 / 0.84007),
        ("potassium-sorbate", "sorbate_g_per_100g", 100 * 112.128 / 150.22),
        ("potassium-metabisulphite", "sulphite_mg_per_100g", None),
        ("quinine", "quinine_mg_per_100g", 1e5 * 324.42 / 396.91),
        ("salt", "sodium_mg_per_100g", 99.8 * 1000 * 22.990 / 58.443),
    ],
)
def test_salts_hold_what_their_molar_masses_say(key, figure, expected):
    """IUPAC atomic masses; metabisulphite has lost some of its 57.6 %."""
    item = ingredient(key)
    value = getattr(item, figure)

    if expected is None:
        assert value < item.ranges[figure][1] == pytest.approx(1e5 * 2 * 64.066 / 222.32, rel=1e-3)
    else:
        assert value == pytest.approx(expected, rel=1e-3)


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


def test_monohydrate_holds_its_water():
    """18.02 of 210.14 g/mol are water (arithmetic)."""
    crystal, dry = ingredient("citric-acid-monohydrate"), ingredient("citric-acid")
    share = crystal.citric_g_per_100g / dry.citric_g_per_100g

    assert share == pytest.approx(1 - 18.02 / 210.14, abs=0.003)
