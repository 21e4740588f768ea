"""Cost of a drink: prices by the rule of three, worked by hand."""

import pytest

from tasting.drink.cost import PackPrice, costs
from tasting.drink.formula import Amount, Part, Version
from tests.conftest import NOW


def drink(*lines: tuple[str, str], servings: float = 1) -> Version:
    parts = tuple(Part.model_validate({"ingredient": key, "amount": text}) for key, text in lines)
    return Version(id="x", label="x", parts=parts, servings=servings, created_at=NOW)


def pack(size: str, price: float, currency: str = "EUR") -> PackPrice:
    return PackPrice(Amount.parse(size), price, currency)


def test_a_serving_and_a_litre_cost_their_share_of_the_packs() -> None:
    """60 of 1000 mL at 4 and 140 of 700 mL at 1: 0.24 + 0.2 a serving of 0.2 L."""
    prices = {"rhubarb-juice": pack("1 L", 4), "water": pack("70 cl", 1)}
    (cost,) = costs(drink(("rhubarb-juice", "60 mL"), ("water", "140 mL")), prices)
    assert cost.per_serving == pytest.approx(0.44)
    assert cost.per_litre == pytest.approx(2.2, rel=0.01)
    assert cost.currency == "EUR"
    assert cost.without_price == ()


def test_a_recipe_for_two_is_shared() -> None:
    (cost,) = costs(drink(("water", "300 mL"), servings=2), {"water": pack("1 L", 2)})
    assert (cost.per_serving, cost.per_litre) == pytest.approx((0.3, 2.0), rel=1e-6)


def test_a_pack_by_mass_prices_a_volume() -> None:
    """100 mL of still water weigh 99.8 g at 20 °C (CRC Handbook, from memory)."""
    (cost,) = costs(drink(("water", "100 mL")), {"water": pack("998 g", 10)})
    assert cost.per_serving == pytest.approx(1.0, rel=0.002)


def test_what_has_no_price_is_named() -> None:
    (cost,) = costs(drink(("water", "100 mL"), ("sugar", "5 g")), {"water": pack("1 L", 1)})
    assert cost.without_price == ("white sugar",)


def test_two_currencies_are_never_added() -> None:
    prices = {"water": pack("1 L", 1), "sugar": pack("1 kg", 2, "CHF")}
    found = costs(drink(("water", "100 mL"), ("sugar", "5 g")), prices)
    assert [cost.currency for cost in found] == ["EUR", "CHF"]


def test_without_a_price_there_is_no_cost() -> None:
    assert costs(drink(("water", "100 mL")), {}) == ()
