"""What a pack of each ingredient costs, kept for all drinks."""

from collections.abc import Mapping

from sqlalchemy import Engine, insert, select

from tasting.drink.cost import PackPrice
from tasting.drink.formula import Amount
from tasting.errors import InputError
from tasting.reading import read_number
from tasting.records import now, one_line
from tasting.store import schema
from tasting.store.database import reading, writing
from tasting.store.mapping import stamp
from tasting.wording import short

Prices = Mapping[str, PackPrice]
"""By the key of the ingredient."""

_MOST, _LONGEST = 1e9, 20


def read_price(pack: str, price: str, currency: str) -> PackPrice:
    """What was typed: "700 mL", "18,50", "EUR". Raises InputError."""
    size, cost, coin = Amount.parse(pack).of("liquid"), read_number(price), currency.strip()
    if not 0 <= cost <= _MOST:
        raise InputError(f"a price of {short(cost)} cannot be; type a number from 0 on")
    if not 0 < len(coin) <= _LONGEST:
        raise InputError("the currency is missing or too long; type one, such as EUR")
    return PackPrice(size, cost, one_line(coin))


def keep_price(engine: Engine, ingredient: str, pack: PackPrice) -> None:
    """Note the price of a pack, by the key of its ingredient; the newest holds."""
    row = {
        "ingredient": ingredient,
        "pack": f"{pack.pack.quantity!r} {pack.pack.unit}",
        "price": repr(pack.price),
        "currency": pack.currency,
        "noted_at": stamp(now()),
    }
    with writing(engine) as connection:
        connection.execute(insert(schema.price).values(row))


def prices(engine: Engine) -> Prices:
    """The newest price of each ingredient, by its key, whenever an older one came."""
    table = schema.price
    wanted = select(table.c.ingredient, table.c.pack, table.c.price, table.c.currency)
    with reading(engine) as connection:
        rows = connection.execute(wanted.order_by(table.c.noted_at, table.c.id)).all()
    return {key: read_price(pack, price, currency) for key, pack, price, currency in rows}
