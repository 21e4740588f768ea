"""Cautions appear where they apply, defer, and never promise that something is absent."""

import pytest

from tasting.drink.cautions import DEFER, cautions
from tasting.drink.composition import compose
from tasting.drink.dosed import dose
from tasting.drink.lots import Measured, lot
from tasting.drink.pantry import Ingredient, ingredient

from .glass import SPRITZ, version


def kinds(*parts, sealed=False):
    return {caution.kind for caution in cautions(version(*parts), sealed=sealed)}


@pytest.mark.parametrize(
    ("parts", "kind"),
    [
        ([("dry-white-wine", "100 mL")], "allergens"),
        ([("wheat-beer", "100 mL")], "gluten"),
        ([("neutral-spirit", "20 mL"), ("water", "80 mL")], "alcohol"),
        ([("rhubarb-juice", "10 mL")], "ingredient"),
        ([("whole-milk", "100 mL")], "pH"),
        ([("apple-juice", "100 mL")], "pH"),
        ([("lemon-juice", "10 mL"), ("sodium-benzoate", "0.1 g")], "benzene"),
        ([("cranberry-juice", "10 mL"), ("sodium-benzoate", "0.1 g")], "benzene"),
        ([("bay-leaves", "5 g"), ("water", "1 L")], "pH"),
        ([("mint-leaves", "5 g"), ("water", "1 L")], "pH"),
        ([("tea", "100 mL")], "pH"),
        ([("ginger", "10 g"), ("water", "1 L")], "pH"),
        ([("neutral-spirit", "20 mL"), ("water", "80 mL")], "fire"),
        ([("coffee", "100 mL")], "caffeine"),
        ([("tonic-water", "100 mL")], "quinine"),
        ([("rhubarb", "10 g"), ("water", "90 mL")], "oxalate"),
        ([("malic-acid", "1 g"), ("water", "90 mL")], "acid powder"),
        ([("succinic-acid", "1 g"), ("water", "90 mL")], "acid powder"),
        ([("phosphoric-acid", "1 mL"), ("water", "90 mL")], "strong acid"),
        ([("potassium-sorbate", "0.2 g"), ("water", "1 L")], "preservatives"),
        ([("potassium-metabisulphite", "0.05 g"), ("water", "1 L")], "sulphites"),
    ],
)
def test_caution_appears(parts, kind):
    assert kind in kinds(*parts)


@pytest.mark.parametrize(
    ("parts", "kind"),
    [
        ([("water", "1 L")], "pH"),
        ([("water", "1 L")], "alcohol"),
        ([("lemon-juice", "10 mL")], "benzene"),
        ([("lemon-juice", "10 mL")], "pH"),
        ([("water", "90 mL"), ("sodium-benzoate", "0.1 g")], "benzene"),
        ([("neutral-spirit", "100 mL"), ("whole-milk", "10 mL")], "pH"),
        ([("water", "1 L"), ("salt", "1 g"), ("ice", "100 g")], "pH"),
        ([("dry-white-wine", "100 mL")], "fire"),
        ([("lemon-juice", "10 mL")], "caffeine"),
        ([("trisodium-citrate", "1 g"), ("water", "1 L")], "acid powder"),
        ([("lemon-juice", "10 mL")], "not known"),
    ],
)
def test_caution_does_not_appear(parts, kind):
    assert kind not in kinds(*parts)


@pytest.mark.parametrize(
    ("ph", "words"), [(4.8, "not an acid food"), (4.5, "not an acid food"), (4.2, "near the limit")]
)
def test_ph_is_judged_by_the_upper_end_of_its_interval(ph, words):
    """4.6 ends the acid foods (21 CFR 114.3, seen); the computed pH is good to 0.2."""
    item = lot(ingredient("apple-juice"), Measured(ph=ph), key="mild", name="mild juice")
    (text,) = [c.text for c in cautions(version((item, "100 mL"))) if c.kind == "pH"]

    assert words in text


def test_a_sealed_bottle_brings_pressure_and_fermentation():
    parts = [("apple-juice", "50 mL"), ("sparkling-water", "50 mL")]

    assert {"pressure", "fermentation"} <= kinds(*parts, sealed=True)
    assert not {"pressure", "fermentation"} & kinds(*parts)


def test_milk_sugar_is_not_fermented_by_common_yeast():
    assert "fermentation" not in kinds(("whole-milk", "100 mL"), sealed=True)


def test_fermentation_says_how_much_gas():
    """20 g/L of hexose makes about 5 volumes (from the equation of fermentation)."""
    parts = (("fructose", "20.1 g"), ("water", "987.5 mL"))
    (text,) = [c.text for c in cautions(version(*parts), sealed=True) if c.kind == "fermentation"]

    assert "up to 5 more volumes" in text


def test_the_same_notice_is_said_once():
    found = cautions(version(("rhubarb-juice", "10 mL"), ("rhubarb", "10 g")))

    assert [caution.kind for caution in found].count("ingredient") == 1


def test_who_decides_is_left_to_whoever_shows_the_cautions():
    """It stands once on a page, not behind each caution."""
    found = cautions(SPRITZ, sealed=True)

    assert len(found) >= 4
    assert not any(DEFER in caution.text for caution in found)


def test_no_claim_of_absence_is_ever_made():
    drinks = [SPRITZ, version(("water", "1 L")), version(("wheat-beer", "1 L"))]
    texts = " ".join(c.text for drink in drinks for c in cautions(drink, sealed=True)).lower()

    assert "gluten-free" not in texts
    assert "alcohol-free" not in texts
    assert "safe" not in texts


def own(name, **figures):
    """An ingredient of somebody's own, of which little is known."""
    given = {"key": "own-x", "name": name, "density_kg_per_l": 1.0} | figures
    return Ingredient.model_validate(given)


def text(kind, *parts, sealed=False):
    """The one caution of a kind."""
    found = [c.text for c in cautions(version(*parts), sealed=sealed) if c.kind == kind]
    (only,) = found
    return only


@pytest.mark.parametrize("name", ["garlic", "rosemary", "green tea leaves"])
def test_infusions_with_little_acid_name_botulism(name):
    """Spores of Clostridium botulinum grow above pH 4.6 without air (21 CFR 114 rests on it)."""
    leaves = own(name, form="solid", density_kg_per_l=0.3)

    assert "botulism" in text("pH", (leaves, "5 g"), ("water", "1 L"))


def test_oil_over_fresh_plants_names_botulism():
    """Garlic in oil is the textbook case (common practice, no source)."""
    oil, garlic = own("olive oil", fat_g_per_100g=100), own("garlic", form="solid", key="own-y")

    assert "botulism" in text("oil", (oil, "100 mL"), (garlic, "10 g"))
    assert "oil" not in kinds((oil, "100 mL"))


def test_essential_oil_is_a_concentrate():
    assert "by the drop" in text("essential oil", (own("essential oil of orange"), "0.05 mL"))


@pytest.mark.parametrize(
    ("figure", "kind", "sealed"),
    [
        ("co2_g_per_l", "pressure", True),
        ("sucrose_g_per_100g", "fermentation", True),
        ("alcohol_percent_vol", "alcohol", False),
        ("caffeine_mg_per_100g", "not known", False),
        ("sorbate_g_per_100g", "not known", False),
    ],
)
def test_what_is_not_known_silences_nothing(figure, kind, sealed):
    item = own("kombucha of the house", **{figure: None})

    assert "kombucha of the house" in text(kind, (item, "100 mL"), sealed=sealed)


def test_benzoate_that_nobody_knows_of_beside_vitamin_c_is_cautioned():
    soda = own("lemon soda", benzoate_g_per_100g=None)

    assert "not known" in text("benzene", (soda, "100 mL"), ("lemon-juice", "10 mL"))


def test_benzoate_over_what_is_allowed():
    """150 mg/L in flavoured drinks (Regulation (EC) No 1333/2008, from memory): 0.2 g/L of sodium
    benzoate are 169 mg/L of benzoic acid (molar masses), 0.15 g/L 127."""
    assert "169 mg/L" in text("preservatives", ("sodium-benzoate", "0.2 g"), ("water", "1 L"))
    assert "preservatives" not in kinds(("sodium-benzoate", "0.15 g"), ("water", "1 L"))


def test_caffeine_of_a_serving():
    """A cup of 200 mL of coffee at 40 mg/100 g holds 80 mg (USDA, from memory)."""
    found = dose(
        version(("coffee", "200 mL")),
        compose(version(("coffee", "200 mL"))),
        "caffeine_mg_per_100g",
    )

    assert found.mg_per_serving == pytest.approx(80, abs=0.5)
    assert "masks drunkenness" in text("caffeine", ("coffee", "60 mL"), ("neutral-spirit", "40 mL"))


def test_pure_caffeine_can_kill():
    """The FDA's warning of 2018 (from memory): a teaspoon of powder holds about 3.2 g."""
    found = cautions(version(("caffeine", "0.05 g"), ("water", "1 L")))

    assert any("can kill" in caution.text for caution in found)


def test_a_kept_version_is_cautioned_by_what_the_pantry_knows_now():
    """A juice that was kept without its vitamin C has it all the same."""
    juice = ingredient("cranberry-juice").model_copy(
        update={"ascorbic_g_per_100g": 0.0, "ranges": {}}
    )

    assert "benzene" in kinds((juice, "100 mL"), ("sodium-benzoate", "0.1 g"))


def test_sealed_juice_is_not_to_be_heated_by_guess():
    assert "pasteurising" in kinds(("apple-juice", "100 mL"), sealed=True)
    assert "pasteurising" not in kinds(("apple-juice", "100 mL"))
    assert "pasteurising" not in kinds(("neutral-spirit", "100 mL"), sealed=True)
