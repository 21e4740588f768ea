"""What contributes what: bars that add up, numbers on them, and the same in a table."""

from typing import Any

import pytest

from tasting.drink.composition import Composition, compose
from tasting.drink.formula import Part
from tasting.drink.pantry import ingredient
from tasting.ui.drinks.composition_chart import contributions
from tests.ui.workshop import SPRITZ

FIRST = SPRITZ.versions[0]


def drink(**amounts: str) -> Composition:
    parts = tuple(
        Part.model_validate({"ingredient": key.replace("_", "-"), "amount": amount})
        for key, amount in amounts.items()
    )
    return compose(FIRST.model_copy(update={"parts": parts}))


def pieces(made: Composition) -> list[dict[str, Any]]:
    drawn = contributions(made)[0].to_dict()
    return drawn["datasets"][drawn["data"]["name"]]  # type: ignore[no-any-return]


def test_each_bar_adds_up_to_the_whole() -> None:
    made = compose(FIRST)
    for of in ("Acid", "Sugar", "Energy"):
        bar = [piece for piece in pieces(made) if piece["of"] == of]
        assert sum(piece["share"] for piece in bar) == pytest.approx(100, abs=2)
        assert [piece["from"] for piece in bar[1:]] == [piece["to"] for piece in bar[:-1]]


def test_what_is_not_there_has_no_bar() -> None:
    assert {piece["of"] for piece in pieces(compose(FIRST))} == {"Acid", "Sugar", "Energy"}
    assert pieces(drink(water="1 L")) == []


def test_pieces_bear_the_number_of_their_ingredient() -> None:
    acid = [piece for piece in pieces(compose(FIRST)) if piece["of"] == "Acid"]
    assert [piece["ingredient"] for piece in acid] == ["1 rhubarb juice", "2 lemon juice"]
    assert acid[0]["number"].startswith("1: ")
    assert acid[0]["number"].endswith(f"{acid[0]['share']:.0f} %")


def test_small_pieces_bear_no_words() -> None:
    small = drink(sugar="97 g", honey="3 g", water="1 L")
    (_, honey) = [piece for piece in pieces(small) if piece["of"] == "Sugar"]
    assert honey["number"] == ""


def test_base_goes_to_the_left_of_zero() -> None:
    lye = ingredient("water").model_copy(update={"key": "lye", "name": "lye"})
    lye = lye.model_copy(update={"other_cations_meq_per_100g": 50.0})
    sour = Part.model_validate({"ingredient": "citric-acid", "amount": "5 g"})
    some = Part.model_validate({"ingredient": lye, "amount": "20 mL"})
    mixed = compose(FIRST.model_copy(update={"parts": (sour, some)}))
    acid, base = [piece for piece in pieces(mixed) if piece["of"] == "Acid"]
    assert acid["share"] > 100
    assert base["to"] < 0 == base["from"]


def test_one_ingredient_in_two_rows_is_one_piece() -> None:
    twice = FIRST.model_copy(update={"parts": (*FIRST.parts, FIRST.parts[1])})
    acid = [piece["ingredient"] for piece in pieces(compose(twice)) if piece["of"] == "Acid"]
    assert acid == ["1 rhubarb juice", "2 lemon juice"]


def test_every_channel_has_a_title_and_one_for_the_axis() -> None:
    bars, numbers = (
        layer["encoding"] for layer in contributions(compose(FIRST))[0].to_dict()["layer"]
    )
    assert bars["color"]["title"] == "Ingredient"
    assert {bars["x"]["title"], bars["x2"]["title"], numbers["x"]["title"]} == {
        "Share of the whole, %"
    }


def test_the_table_holds_amounts_and_shares_of_all() -> None:
    made = compose(FIRST)
    _, _, table = contributions(made)
    assert table["Ingredient"].tolist()[3] == "4 carbonated water"
    lemon = table.iloc[1]["Acid, g/L"]
    assert float(lemon.split()[0]) == pytest.approx(made.contributions[1].ta_g_per_l, abs=0.005)
    assert table.iloc[3].tolist()[1:] == ["–"] * 4


def test_the_text_names_the_largest_share_of_each() -> None:
    text = contributions(compose(FIRST))[1]
    assert text.startswith("What contributes what: acid mostly from rhubarb juice (")
    assert contributions(drink(water="1 L"))[1] == "Nothing is contributed."
