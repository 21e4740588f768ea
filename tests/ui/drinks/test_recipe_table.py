"""The table edits the same draft as the sheet."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.drink.formula import Amount, Part
from tasting.drink.pantry import pantry
from tasting.drink.recipe_text import read, write
from tasting.drink.shelf import shelf
from tasting.errors import InputError
from tasting.ui.drinks.recipe_table import AMOUNT, INGREDIENT, UNIT, rows_of, text_of
from tasting.units import UNITS

SHELF = shelf({item.name: item for item in pantry().values()})


@given(
    st.lists(
        st.tuples(st.sampled_from(sorted(pantry())), st.floats(1e-3, 1e5), st.sampled_from(UNITS)),
        min_size=1,
        max_size=6,
    ),
    st.floats(0.1, 1e3),
)
def test_a_table_that_nobody_edits_is_the_same_recipe(
    chosen: list[tuple[str, float, str]], servings: float
) -> None:
    parts = tuple(
        Part(ingredient=pantry()[key], amount=Amount(quantity=quantity, unit=unit))
        for key, quantity, unit in chosen
    )
    before = read(write([(part.ingredient.name, part.amount) for part in parts], servings), SHELF)
    again = read(text_of(rows_of(before), before), SHELF)
    assert (again.parts, again.servings) == (before.parts, before.servings)


@pytest.mark.parametrize(
    "text",
    [
        "60 ml rhubarb juice\ntop with soda to 225 ml",
        "60 ml rhubarb juice\nsoda to 225 ml",
        "60 ml rhubarb juice\ndilution 30 %",
        "60 ml rhubarb juice\n30 % dilution",
        "Ingredients:\n60 ml rhubarb juice\nserves 2\nMethod:\nshake",
    ],
)
def test_what_is_more_than_an_amount_stays(text: str) -> None:
    before = read(text, SHELF)
    again = read(text_of(rows_of(before), before), SHELF)
    assert (again.parts, again.servings) == (before.parts, before.servings)


def test_a_new_row_asks_for_its_amount() -> None:
    before = read("60 ml rhubarb juice", SHELF)
    rows = rows_of(before)
    rows.loc[1] = ["lemon juice", None, None]
    text = text_of(rows, before)
    assert text == "60 mL rhubarb juice\nlemon juice"
    with pytest.raises(InputError, match="line 2: how much"):
        _ = read(text, SHELF).parts


def test_an_edited_amount_and_a_removed_row_are_written() -> None:
    before = read("60 ml rhubarb juice\n1 oz gin", SHELF)
    rows = rows_of(before)
    rows.loc[0, [AMOUNT, UNIT]] = ["1/2", "cl"]
    assert text_of(rows.iloc[:1], before) == "1/2 cl rhubarb juice"
    assert rows[INGREDIENT].tolist()[0] == "rhubarb juice"


def test_a_recipe_that_is_not_understood_has_no_table_yet() -> None:
    with pytest.raises(InputError, match="line 1"):
        rows_of(read("2 lemons", SHELF))
