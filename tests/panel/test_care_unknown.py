"""What nobody knows of a drink is cared for as if it were there."""

from tasting.drink.formula import Amount, Part, Version
from tasting.drink.pantry import Ingredient
from tasting.panel import care
from tests.conftest import NOW


def brew(**figures: None) -> Version:
    item = Ingredient(key="brew", name="brew", density_kg_per_l=1.0, **figures)
    part = Part(ingredient=item, amount=Amount(quantity=100, unit="mL"))
    return Version(id="b", label="b", parts=(part,), created_at=NOW)


def test_unknown_gas_goes_flat() -> None:
    assert care.going_flat([brew(co2_g_per_l=None)])
    assert not care.going_flat([brew()])


def test_unknown_strength_counts_as_alcohol() -> None:
    assert care.alcohol_percent_vol([brew(alcohol_percent_vol=None)]) > 0
    assert care.alcohol_percent_vol([brew()]) == 0
