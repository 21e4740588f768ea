"""Reminders of how long ingredients keep: common practice, no source, and never a promise."""

import pytest

from tasting.drink.keeping import PRACTICE, keeping
from tasting.drink.pantry import Ingredient, ingredient

from .glass import version


def told(*keys):
    drink = version(*((key, "10 g") for key in keys))
    return [one.text for one in keeping(drink)]


@pytest.mark.parametrize(
    ("key", "lasts"),
    [
        ("lemon-juice", "2–3 days"),
        ("mint-leaves", "2–3 days"),
        ("bay-syrup", "2–4 weeks"),
        ("simple-syrup-2-1", "1–2 months"),
        ("dry-vermouth", "1–4 weeks after opening"),
        ("whole-milk", "the same day"),
        ("sparkling-water", "it goes flat"),
    ],
)
def test_what_spoils_is_named_with_how_long_it_usually_keeps(key, lasts):
    """Common practice, no source."""
    first, whole = told(key)

    assert ingredient(key).name in first
    assert lasts in first
    assert whole.startswith("The batch keeps no longer than its shortest-lived ingredient: ")
    assert "no source" in PRACTICE


@pytest.mark.parametrize("key", ["water", "neutral-spirit", "citric-acid", "honey", "sugar", "ice"])
def test_what_keeps_by_itself_is_not_reminded_of(key):
    assert told(key) == []


def test_the_batch_keeps_as_long_as_what_keeps_worst():
    *_, whole = told("bay-syrup", "rhubarb-juice", "neutral-spirit", "sparkling-water")

    assert "2–3 days" in whole
    assert "weeks" not in whole


def test_what_nobody_knows_counts_as_what_keeps_worst_of_its_kind():
    """An ingredient of one's own whose sugar is not known: like a juice."""
    own = Ingredient(
        key="own-cordial",
        name="Cordial of the house",
        density_kg_per_l=1.1,
        sucrose_g_per_100g=None,
    )
    (first, _) = (one.text for one in keeping(version((own, "20 mL"))))

    assert first.startswith("Fresh juice and anything watery (Cordial of the house)")
