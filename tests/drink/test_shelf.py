"""A name on paper finds its ingredient, or is asked about."""

import pytest

from tasting.drink.pantry import aliases, ingredient, pantry
from tasting.drink.shelf import Shelf, shelf

SHELF = shelf({item.name: item for item in pantry().values()})


@pytest.mark.parametrize("name", [name for names in aliases().values() for name in names])
def test_every_other_name_of_the_pantry_is_found(name: str) -> None:
    assert SHELF.find(name) == (ingredient(name).name,)


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("Fresh Lemon Juice", "lemon-juice"),
        ("freshly squeezed limes", "lime-juice"),
        ("lemon juice (strained)", "lemon-juice"),
        ("rhubarb juice, chilled", "rhubarb-juice"),
        ("CURAÇAO", "orange-liqueur"),
        ("bay syrup", "bay-syrup"),
        ("water", "water"),
    ],
)
def test_spelling_without_meaning_is_passed_over(name: str, key: str) -> None:
    assert SHELF.find(name) == (pantry()[key].name,)


@pytest.mark.parametrize("name", ["maleic acid", "melon juice", "orange bitters", "lemmon juice"])
def test_what_is_only_alike_is_offered_and_never_taken(name: str) -> None:
    assert SHELF.find(name) == ()
    assert 1 <= len(SHELF.alike(name)) <= 3


def test_the_best_offer_comes_first() -> None:
    assert SHELF.alike("lemmon juice")[0] == "lemon juice"
    assert SHELF.alike("maleic acid")[0] == "malic acid"


def test_nothing_is_offered_for_what_is_like_nothing() -> None:
    assert SHELF.alike("xqzzt") == ()


def test_two_that_share_a_name_are_both_offered() -> None:
    two = {"cordial, red": ingredient("bay-syrup"), "cordial, white": ingredient("sugar")}
    assert shelf(two).find("cordial") == ("cordial, red", "cordial, white")


def test_an_empty_shelf_finds_nothing() -> None:
    empty: Shelf = shelf({})
    assert empty.find("gin") == ()
    assert empty.alike("gin") == ()
    assert not empty.mentioned("gin")
