"""Cautions appear where they apply, defer, and never promise that something is absent."""

import pytest

from tasting.drink.cautions import DEFER, cautions

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
    ],
)
def test_caution_does_not_appear(parts, kind):
    assert kind not in kinds(*parts)


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


def test_all_defer_to_codes_and_practice():
    found = cautions(SPRITZ, sealed=True)

    assert len(found) >= 4
    assert all(caution.text.endswith(DEFER) for caution in found)


def test_no_claim_of_absence_is_ever_made():
    drinks = [SPRITZ, version(("water", "1 L")), version(("wheat-beer", "1 L"))]
    texts = " ".join(c.text for drink in drinks for c in cautions(drink, sealed=True)).lower()

    assert "gluten-free" not in texts
    assert "alcohol-free" not in texts
    assert "safe" not in texts
