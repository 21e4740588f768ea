"""Prices of packs, as typed."""

import pytest
from sqlalchemy import Engine

from tasting.drink.cost import PackPrice
from tasting.drink.formula import Amount
from tasting.errors import InputError
from tasting.store.prices import keep_price, prices, read_price


def test_the_newest_price_holds(engine: Engine) -> None:
    keep_price(engine, "water", read_price("1 l", "2", "EUR"))
    keep_price(engine, "water", read_price("70 cl", "18,50", " £ "))
    size = Amount(quantity=70, unit="cl")
    assert prices(engine) == {"water": PackPrice(size, 18.5, "£")}


@pytest.mark.parametrize(
    ("pack", "price", "currency", "match"),
    [
        ("one", "2", "EUR", "not an amount"),
        ("1 l", "x", "EUR", "not a number"),
        ("1 l", "-2", "EUR", "cannot be"),
        ("1 l", "2", " ", "currency is missing"),
        ("1 l", "2", "E\nUR", "control character"),
    ],
)
def test_what_is_no_price_is_refused(pack: str, price: str, currency: str, match: str) -> None:
    with pytest.raises(InputError, match=match):
        read_price(pack, price, currency)
