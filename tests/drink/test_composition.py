"""The mass balance: nothing is lost, and only proportions matter."""

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.drink.composition import compose
from tasting.drink.formula import Amount, Part
from tasting.drink.mixture import FIGURES
from tasting.units import ML_PER_US_FL_OZ

from .glass import SPRITZ, few, recipes, version

CONCENTRATIONS = sorted(set(FIGURES) - {"volume_ml", "mass_g"})


def concentrations(composition):
    return [getattr(composition, name) for name in CONCENTRATIONS]


def scaled(recipe, factor):
    parts = [
        Part(
            ingredient=part.ingredient,
            amount=Amount(quantity=factor * part.amount.quantity, unit=part.amount.unit),
        )
        for part in recipe.parts
    ]
    return recipe.model_copy(update={"parts": tuple(parts)})


@few
@given(recipes)
def test_mass_is_conserved(parts):
    recipe = version(*parts)
    poured = sum(p.amount.quantity * p.ingredient.density_kg_per_l for p in recipe.parts)

    assert compose(recipe).mass_g == pytest.approx(poured, rel=1e-9)


@few
@given(recipes, st.floats(0.01, 100))
def test_scaling_changes_no_concentration(parts, factor):
    recipe = version(*parts)

    assert concentrations(compose(scaled(recipe, factor))) == pytest.approx(
        concentrations(compose(recipe)), rel=1e-7, abs=1e-9
    )


@few
@given(recipes)
def test_mixing_two_equal_drinks_gives_the_same_drink(parts):
    once, twice = compose(version(*parts)), compose(version(*parts, *parts))

    assert concentrations(twice) == pytest.approx(concentrations(once), rel=1e-7, abs=1e-9)
    assert twice.volume_ml == pytest.approx(2 * once.volume_ml)


@few
@given(recipes, recipes)
def test_sugar_adds_up_in_grams(first, second):
    def sugar_g(*parts):
        drink = compose(version(*parts))
        return drink.sugar_g_per_l * drink.volume_ml / 1000

    assert sugar_g(*first, *second) == pytest.approx(sugar_g(*first) + sugar_g(*second), abs=1e-9)


def test_a_liquid_alone_keeps_its_volume():
    assert compose(version(("honey", "100 mL"))).volume_ml == pytest.approx(100)


def test_diluting_a_spirit_expands_a_little():
    """45 mL of 40 % vol and 310 mL of water make 355.31 mL at 5.066 % vol (OIML R 22)."""
    drink = compose(version(("neutral-spirit", "45 mL"), ("water", "310 mL")))

    assert drink.volume_ml == pytest.approx(355.314, abs=0.002)
    assert drink.alcohol_percent_vol == pytest.approx(5.066, abs=0.001)


def test_one_and_a_half_ounces_of_spirit_is_a_us_standard_drink():
    """0.6 US fl oz of ethanol, 14.0 g (common practice in the US)."""
    drink = compose(version(("neutral-spirit", "1.5 US fl oz")))

    assert drink.volume_ml == pytest.approx(1.5 * ML_PER_US_FL_OZ)
    assert drink.serving().alcohol_g == pytest.approx(14.0, abs=0.05)


def test_a_kilogram_of_sugar_in_a_litre_of_water():
    """1.6247 L (from ICUMSA's densities), less 0.2 % of water in the sugar."""
    drink = compose(version(("water", "1 L"), ("sugar", "1 kg")))

    assert drink.volume_ml == pytest.approx(1624.7, abs=1)


def test_hundred_grams_of_sugar_per_litre_are_not_ten_brix():
    """100 g/L of sucrose is 9.65 °Brix (ICUMSA SPS-4)."""
    syrup = version(("sugar", "100.2 g"), ("water", "938 mL"))

    assert compose(syrup).sugar_g_per_l == pytest.approx(100, abs=0.1)
    assert compose(syrup).brix == pytest.approx(9.65, abs=0.01)


def test_a_gram_of_citric_acid_is_20_8_ml_of_lemon_juice():
    """At 48 g/L, Penniston et al. 2008; the juice's potassium and its malic acid nearly cancel."""
    lemon = compose(version(("lemon-juice", "20.8 mL"), ("water", "979.2 mL")))
    powder = compose(version(("citric-acid", "1 g"), ("water", "999.4 mL")))

    assert lemon.ta_g_per_l == pytest.approx(powder.ta_g_per_l, rel=0.03)


def test_serving_is_the_share_of_the_batch():
    batch = compose(SPRITZ.model_copy(update={"servings": 3.0}))
    serving = batch.serving()

    assert serving.volume_ml == pytest.approx(batch.volume_ml / 3)
    assert serving.ta_g == pytest.approx(batch.ta_g_per_l * serving.volume_ml / 1000)
    assert serving.energy_kcal == pytest.approx(batch.energy_kcal_per_l * serving.volume_ml / 1000)


def test_ratio_of_a_drink_without_acid_is_not_known():
    assert compose(version(("water", "1 L"))).sugar_acid_ratio is None


def test_ratio_is_sugar_over_acid():
    drink = compose(SPRITZ)

    assert drink.sugar_acid_ratio == pytest.approx(drink.sugar_g_per_l / drink.ta_g_per_l)


def test_allergens_are_sorted_and_named_once():
    drink = compose(version(("verjus", "1 mL"), ("egg-white", "1 mL"), ("dry-white-wine", "1 mL")))

    assert drink.allergens == ("eggs", "sulphites")


@pytest.mark.parametrize("key", ["sugar", "citric-acid", "salt"])
def test_a_powder_alone_does_not_break_it(key):
    assert compose(version((key, "1 g"))).volume_ml > 0


def test_contributions_add_up_to_the_whole():
    drink = compose(SPRITZ)

    for figure in ("ta_g_per_l", "sugar_g_per_l", "alcohol_g_per_l", "energy_kcal_per_l"):
        parts = sum(getattr(part, figure) for part in drink.contributions)
        assert parts == pytest.approx(getattr(drink, figure), rel=1e-3)


def test_sugars_and_acids_are_kept_apart():
    drink = compose(SPRITZ)

    assert drink.acids.malic > drink.acids.citric > 0 == drink.acids.lactic
    assert drink.sugars.sucrose + drink.sugars.glucose + drink.sugars.fructose == pytest.approx(
        drink.sugar_g_per_l
    )


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ((("simple-syrup-2-1", "100 mL"),), "crystals"),
        ((("orange-liqueur", "100 mL"),), "less certain"),
    ],
)
def test_ranges_of_validity_are_said(parts, words):
    assert any(words in warning for warning in compose(version(*parts)).warnings)


def test_an_ordinary_drink_gives_no_warning():
    assert compose(version(("apple-juice", "100 mL"))).warnings == ()


def test_composition_survives_pickling():
    """Caches of web apps pickle it."""
    assert pickle.loads(pickle.dumps(compose(SPRITZ))) == compose(SPRITZ)


def test_a_spritz_by_hand():
    """Grams and millilitres added up on paper: volumes add within 0.1 %, sugar and alcohol exactly.

    60 mL rhubarb juice 1.018 kg/L with 1.1 % sugar; 20 mL syrup 1.22965 with 50 %; 10 mL lemon
    juice 1.031 with 2.52 %; 30 mL spirit at 40 % vol.
    """
    drink = compose(SPRITZ)
    sugar_g = 60 * 1.018 * 0.011 + 20 * 1.22965 * 0.5 + 10 * 1.031 * 0.0252

    assert drink.volume_ml == pytest.approx(210, rel=1e-3)
    assert drink.serving().sugar_g == pytest.approx(sugar_g, rel=1e-9)
    assert drink.serving().alcohol_g == pytest.approx(30 * 0.4 * 0.78924, rel=1e-5)
    assert drink.co2_g_per_l == pytest.approx(7 * 90 / 210, rel=1e-3)


def test_acid_of_a_mixture_by_hand():
    """Titratable acidity is nearly what the juices bring each by itself, over the whole volume."""
    alone = {key: compose(version((key, "100 mL"))) for key in ("rhubarb-juice", "lemon-juice")}
    by_hand = (60 * alone["rhubarb-juice"].ta_g_per_l + 10 * alone["lemon-juice"].ta_g_per_l) / 210

    assert compose(SPRITZ).ta_g_per_l == pytest.approx(by_hand, rel=0.005)


@pytest.mark.parametrize("unit", ["mL", "L", "US fl oz", "tbsp", "tsp", "dash"])
def test_units_of_volume_change_nothing(unit):
    """The same quantity of everything, whatever the unit: the same concentrations."""
    one = compose(version(("lemon-juice", f"2 {unit}"), ("honey", f"1 {unit}")))
    ml = compose(version(("lemon-juice", "2 mL"), ("honey", "1 mL")))

    assert concentrations(one) == pytest.approx(concentrations(ml), rel=1e-7)


@few
@given(recipes)
def test_order_of_the_parts_does_not_matter(parts):
    there, back = compose(version(*parts)), compose(version(*reversed(parts)))

    assert concentrations(there) == pytest.approx(concentrations(back), rel=1e-7, abs=1e-9)


@few
@given(recipes)
def test_water_dilutes_and_never_sweetens_or_sours(parts):
    before = compose(version(*parts))
    after = compose(version(*parts, ("water", "100 mL")))

    assert after.sugar_g_per_l <= before.sugar_g_per_l
    assert after.alcohol_percent_vol <= before.alcohol_percent_vol
    assert after.co2_g_per_l <= before.co2_g_per_l


@few
@given(recipes)
def test_energy_adds_up_over_the_parts(parts):
    recipe = version(*parts)
    whole = compose(recipe)
    single = [compose(recipe.model_copy(update={"parts": (part,)})) for part in recipe.parts]

    assert whole.serving().energy_kcal == pytest.approx(
        sum(drink.serving().energy_kcal for drink in single)
    )
