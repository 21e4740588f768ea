"""Limits and demands as people write them, and what a reference asks for."""

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.drink.demands import Limits, demand, demands_of, read_demand, read_limits
from tasting.drink.formula import Amount
from tasting.drink.label import Reference, bands
from tasting.drink.pantry import ingredient
from tasting.errors import InputError

from .glass import few

BOTTLE = Reference(
    id="R", name="Reference bottle R", serving_ml=200, alcohol_percent_vol=5.5, ph=2.9, brix=8.5
)


def ends(text):
    read = read_limits(text)
    return read.ingredient.key, *(str(end) if end else None for end in (read.least, read.most))


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("rhubarb juice", ("rhubarb-juice", None, None)),
        ("sugar syrup only", ("simple-syrup-1-1", None, None)),
        ("rhubarb juice 40–80 mL", ("rhubarb-juice", "40 mL", "80 mL")),
        ("rhubarb juice 40 to 80 ml", ("rhubarb-juice", "40 mL", "80 mL")),
        ("40-80 mL rhubarb juice", ("rhubarb-juice", "40 mL", "80 mL")),
        ("2,5-7,5 mL lemon juice", ("lemon-juice", "2.5 mL", "7.5 mL")),
        ("0-80 mL rhubarb juice", ("rhubarb-juice", None, "80 mL")),
        ("no more than 0.5 g citric acid", ("citric-acid", None, "0.5 g")),
        ("citric acid <= 0,5 g", ("citric-acid", None, "0.5 g")),
        ("citric acid ≤ 0.5 g", ("citric-acid", None, "0.5 g")),
        ("at least 10 mL lemon juice", ("lemon-juice", "10 mL", None)),
        ("lemon juice >= 1/2 oz", ("lemon-juice", "0.5 US fl oz", None)),
        ("60 ml rhubarb juice", ("rhubarb-juice", "60 mL", "60 mL")),
        ("citric acid 0.2 g", ("citric-acid", "0.2 g", "0.2 g")),
    ],
)
def test_limits_are_read_as_they_are_said(text, read):
    assert ends(text) == read


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("40-80 rhubarb juice", "does not say how much"),
        ("rhubarb juice 80-40 mL", "is an empty range; give the lower end first"),
        ("no more than citric acid", "does not say how much"),
        ("rhubarb jiuce 40-80 mL", "did you mean rhubarb juice"),
        ("1,500-2 mL lemon juice", "can mean 1.5 or 1500"),
        ("-5 mL lemon juice", "must be a number above zero"),
    ],
)
def test_what_cannot_be_read_is_refused(text, match):
    with pytest.raises(InputError, match=match):
        read_limits(text)


def test_own_ingredients_come_before_the_pantry():
    own = ingredient("lemon-juice").model_copy(update={"name": "my lemon", "key": "my-lemon"})

    assert read_limits("My lemon 5-10 mL", {"My lemon": own}.__getitem__).ingredient is own


@few
@given(st.floats(0.1, 500), st.floats(0.1, 500))
def test_limits_are_written_so_that_they_are_read_again(one, other):
    low, high = sorted(round(end, 3) for end in (one, other))
    wanted = Limits(
        ingredient("lemon-juice"), Amount(quantity=low, unit="mL"), Amount(quantity=high, unit="mL")
    )

    again = read_limits(str(wanted).removeprefix("just "))
    assert (again.least, again.most) == (wanted.least, wanted.most)


def test_what_is_printed_is_asked_for_as_it_may_have_been_rounded():
    asked = {one.figure: one for one in demands_of(BOTTLE)}
    rounding, _ = bands(BOTTLE)["alcohol_percent_vol"]
    alcohol = asked["alcohol_percent_vol"]

    assert (alcohol.low, alcohol.high) == pytest.approx((rounding.low, rounding.high))
    assert (asked["volume_ml"].low, asked["volume_ml"].high) == pytest.approx((199, 201))


def test_what_a_model_leaves_open_is_allowed_for():
    """A meter repeats to 0.05, the pH model to 0.2: 0.206 in quadrature (arithmetic)."""
    asked = {one.figure: one for one in demands_of(BOTTLE)}

    assert asked["ph"].half == pytest.approx(0.2062, abs=1e-4)
    assert asked["refractometer_brix"].half > 0.1


@pytest.mark.parametrize(
    ("args", "match"),
    [(("colour", 1, 2), "cannot be demanded"), (("ph", 3, 2.5), "an empty range")],
)
def test_no_such_demand(args, match):
    with pytest.raises(InputError, match=match):
        demand(*args)


@pytest.mark.parametrize(
    ("ends_", "text"),
    [
        ((6.0, 6.5), "TA 6.00–6.50 g/L"),
        ((0.0, 6.5), "TA at most 6.50 g/L"),
        ((6.0, inf), "TA at least 6.00 g/L"),
    ],
)
def test_a_demand_says_itself(ends_, text):
    assert str(demand("ta_g_per_l", *ends_)) == text


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("co2 5.5-6.5", (5.5, 6.5)),
        ("CO2 5,5 to 6,5", (5.5, 6.5)),
        ("sweetness <= 80", (0.0, 80.0)),
        ("ph ≥ 3", (3.0, inf)),
        ("CO₂ 5.5–6.5 g/L", (5.5, 6.5)),
        ("alcohol 5 to 5.5 % vol", (5.0, 5.5)),
        ("sugar no more than 60 g/L", (0.0, 60.0)),
        ("density at least 1.01", (1.01, inf)),
    ],
)
def test_demands_are_read(text, ends):
    read = read_demand(text)

    assert (read.low, read.high) == ends


@pytest.mark.parametrize("text", ["co2 6", "colour 3-4", "co2", "6-7", ""])
def test_demands_that_say_nothing(text):
    with pytest.raises(InputError, match="is not understood"):
        read_demand(text)
