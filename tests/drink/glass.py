"""Short ways to make versions and to read the published values."""

from datetime import UTC, datetime

from hypothesis import settings
from hypothesis import strategies as st

from tasting.drink.formula import Part, Version
from tasting.drink.pantry import pantry
from tests.stats.published import rows

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


def numbers(name, *columns):
    """The rows of a published table as tuples of numbers."""
    return [tuple(float(row[column]) for column in columns) for row in rows(name)]


def version(*parts, servings=1, id="v1", **more):
    """version(("lemon-juice", "30 mL"), ("water", "70 mL"))"""
    lines = tuple(Part(ingredient=key, amount=amount) for key, amount in parts)
    return Version(id=id, label=id, parts=lines, servings=servings, created_at=NOON, **more)


SPRITZ = version(
    ("rhubarb-juice", "60 mL"),
    ("bay-syrup", "20 mL"),
    ("juniper-spirit", "30 mL"),
    ("lemon-juice", "10 mL"),
    ("sparkling-water", "90 mL"),
)

# Enough examples to find a slip, few enough to run while working; the machine may be busy.
few = settings(max_examples=25, deadline=None)

# Every figure of what is mixed of these can be computed.
liquids = st.sampled_from(
    sorted(k for k, item in pantry().items() if item.form == "liquid" and not item.holds_ph)
)
millilitres = st.floats(1, 500).map(lambda quantity: f"{quantity!r} mL")
recipes = st.lists(st.tuples(liquids, millilitres), min_size=1, max_size=8)
