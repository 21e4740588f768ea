"""A recipe as on paper, read and written."""

from typing import get_args

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tasting.drink.composition import compose
from tasting.drink.formula import Amount, Part, Version
from tasting.drink.pantry import ingredient, pantry
from tasting.drink.recipe_text import RecipeLine, State, read, write
from tasting.drink.shelf import shelf
from tasting.errors import InputError
from tasting.units import UNITS
from tests.conftest import NOW

SHELF = shelf({item.name: item for item in pantry().values()})


def line(text: str) -> RecipeLine:
    (only,) = read(text, SHELF).lines
    return only


def amounts(text: str) -> list[str]:
    return [f"{part.amount} {part.ingredient.key}" for part in read(text, SHELF).parts]


typed_parts = st.lists(
    st.tuples(
        st.sampled_from(sorted(pantry())),
        st.floats(1e-3, 1e6),
        st.sampled_from(UNITS),
    ),
    min_size=1,
    max_size=8,
)


@given(typed_parts, st.floats(1e-2, 1e5), st.booleans())
@example([("lemon-juice", 1.125, "mL"), ("sugar", 1000.0, "mg")], 1.125, True)
def test_a_version_written_and_read_is_the_same(
    chosen: list[tuple[str, float, str]], servings: float, comma: bool
) -> None:
    """With decimal points and with decimal commas."""
    parts = tuple(
        Part(ingredient=pantry()[key], amount=Amount(quantity=quantity, unit=unit))
        for key, quantity, unit in chosen
    )
    text = write([(part.ingredient.name, part.amount) for part in parts], servings, comma=comma)
    again = read(text, SHELF)
    assert again.parts == parts
    assert again.servings == servings


@given(st.text(max_size=200))
def test_no_text_stops_the_reading(text: str) -> None:
    lines = read(text, SHELF).lines
    assert [known.number for known in lines] == list(range(1, len(text.splitlines()) + 1))
    assert {known.state for known in lines} <= set(get_args(State))


@given(st.sampled_from(sorted(pantry())), st.text("0123456789/., ½-", max_size=8))
def test_an_amount_is_a_part_or_a_question(key: str, amount: str) -> None:
    known = line(f"x\n{amount} mL {key}".split("\n")[1])
    assert (known.state == "read") == (known.part is not None)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("45 ml gin", "45 mL juniper-spirit"),
        ("1/2 oz lemon", "0.5 US fl oz lemon-juice"),
        ("0,2 g citric acid", "0.2 g citric-acid"),
        ("lemon juice: 22,5 mL", "22.5 mL lemon-juice"),
        ("gin - 1½ oz.", "1.5 US fl oz juniper-spirit"),
        ("a dash of bitters", "1 dash aromatic-bitters"),
        ("half an ounce of lime", "0.5 US fl oz lime-juice"),
        ("dash bitters", "1 dash aromatic-bitters"),
        ("2 dashes bitters", "2 dashes aromatic-bitters"),
        ("1. 45 ml gin", "45 mL juniper-spirit"),
        ("1.5 oz gin", "1.5 US fl oz juniper-spirit"),
        ("- 45 ml gin", "45 mL juniper-spirit"),
        ("• 45ml gin", "45 mL juniper-spirit"),
        ("[ ] 45 ml gin", "45 mL juniper-spirit"),
    ],
)
def test_a_line_is_read_as_it_is_meant(typed: str, meant: str) -> None:
    assert amounts(typed) == [meant]


def test_a_message_is_pasted_whole() -> None:
    text = """Hi Bo, this is the one from Friday!

    Ingredients:
    1) 60 ml rhubarb juice
    2) 20,5 ml bay syrup

    Method: stir
    on plenty of ice, then strain
    Garnish:
    a bay leaf
    """
    assert amounts(text) == ["60 mL rhubarb-juice", "20.5 mL bay-syrup"]


def test_what_follows_a_method_may_be_ingredients_again() -> None:
    assert amounts("Method:\nshake\nIngredients:\n45 ml gin") == ["45 mL juniper-spirit"]


def test_topping_fills_the_glass() -> None:
    text = "60 ml rhubarb juice\n5 g sugar\ntop with soda to 225 ml"
    parts = read(text, SHELF).parts
    whole = Version(id="x", label="x", parts=parts, created_at=NOW)
    assert parts[-1].ingredient == ingredient("soda")
    # Volumes of a juice and of water add up to within 1 mL (common practice, no source).
    assert compose(whole).serving().volume_ml == pytest.approx(225, abs=1)


@pytest.mark.parametrize(
    "typed",
    [
        "top with soda to 225 ml",
        "Top up with soda to 225 ml",
        "soda, top up to 225 ml",
        "soda to 225 ml",
        "fill up with soda to 22.5 cl",
        "top soda to 225 ml",
    ],
)
def test_topping_is_said_in_many_ways(typed: str) -> None:
    assert amounts(f"100 ml water\n{typed}")[1] == "125 mL sparkling-water"


def test_topping_may_stand_first() -> None:
    assert amounts("top with soda to 225 ml\n100 ml water")[0] == "125 mL sparkling-water"


@pytest.mark.parametrize(
    ("more", "sizes"),
    [
        ("1 part = 30 ml", ["60 mL", "30 mL"]),
        ("one part is 1 oz", ["2 US fl oz", "1 US fl oz"]),
        ("total 180 ml", ["120 mL", "60 mL"]),
    ],
)
def test_parts_have_a_size_or_a_total(more: str, sizes: list[str]) -> None:
    parts = read(f"2 parts gin\n1 part lemon\n{more}", SHELF).parts
    assert [str(part.amount) for part in parts] == sizes


@pytest.mark.parametrize("text", ["serves 4", "makes 4 servings", "Makes 4 drinks", "servings: 4"])
def test_servings_are_a_line(text: str) -> None:
    assert read(f"200 ml gin\n{text}", SHELF).servings == 4


@pytest.mark.parametrize(
    ("typed", "asked"),
    [
        ("2 lemons", "2 of what"),
        ("12 ml", "the ingredient is missing"),
        ("gin", "how much"),
        ("half a lime", "such as 15 ml lime juice"),
        ("a splash of gin", "how much"),
        ("1,000 ml gin", "can mean 1 or 1000"),
        ("-3 ml gin", "above zero"),
        ("9e9 ml gin", "is too large"),
        ("2 parts gin", "how large is a part"),
        ("2 parts gin\n1 part = 30 g", "a volume"),
        ("top with soda", "up to what"),
        ("top with soda to 3 g", "a volume"),
        ("300 ml water\ntop with soda to 225 ml", "75.* more than 225 mL"),
        ("2 dashes orange bitters", "not known here"),
        ("makes 0 servings\n45 ml gin", "above 0"),
    ],
)
def test_what_is_not_clear_is_asked(typed: str, asked: str) -> None:
    with pytest.raises(InputError, match=f"line [12]: .*{asked}"):
        _ = read(typed, SHELF).parts


def test_all_that_is_not_clear_is_asked_at_once() -> None:
    with pytest.raises(InputError, match=r"Line 1: .* Line 3: "):
        _ = read("2 lemons\n45 ml gin\n12 ml", SHELF).parts


def test_a_recipe_without_ingredients_says_how_to_begin() -> None:
    with pytest.raises(InputError, match="no ingredient yet"):
        _ = read("Dear all", SHELF).parts


def test_an_offer_is_the_line_with_the_other_name() -> None:
    known = line("2 dashes orange bitters")
    assert known.unknown == "orange bitters"
    assert amounts(known.offers[0].line) == ["2 dashes aromatic-bitters"]


def test_an_offer_for_topping_tops_up_too() -> None:
    known = line("top with sodda to 225 ml")
    assert known.offers[0].line == "top with carbonated water to 225 ml"


def test_how_a_line_was_understood_is_said_in_ml_and_g() -> None:
    assert line("1 oz vodka").said == "29.57 mL neutral spirit, 40 % vol"
    assert line("20,5 ml bay syrup").said == "20.5 mL bay syrup, 1:1"
    assert line("2 dashes bitters").said == "about 1.8 mL aromatic bitters, 45 % vol"


@pytest.mark.parametrize("typed", ["dilution 30 %", "Dilution: 30%", "30 % dilution"])
def test_dilution_is_ice_that_melts(typed: str) -> None:
    """30 mL of water on 100 mL weigh 29.9 g at 20 °C (0.9982 kg/L, CRC Handbook, from memory)."""
    assert amounts(f"100 ml water\n{typed}")[1] == "29.9 g ice"


def test_a_glass_is_topped_up_after_the_ice_has_melted() -> None:
    text = "100 ml water\ntop with soda to 225 ml\ndilution 30 %"
    assert amounts(text)[1:] == ["95 mL sparkling-water", "29.9 g ice"]


@pytest.mark.parametrize(
    ("typed", "asked"), [("dilution 900 %", "between"), ("dilution x%", "not")]
)
def test_a_dilution_that_cannot_be_is_asked(typed: str, asked: str) -> None:
    with pytest.raises(InputError, match=f"line 2: .*{asked}"):
        _ = read(f"100 ml water\n{typed}", SHELF).parts


def test_dilution_of_nothing_is_asked() -> None:
    with pytest.raises(InputError, match="nothing to dilute"):
        _ = read("dilution 30 %", SHELF).parts
