"""Each method's orders, options, chance and question, as the standards have them."""

from collections import Counter
from itertools import combinations

import pytest

from tasting.errors import InputError
from tasting.panel import methods
from tasting.panel.methods import METHODS, PAIRED, PREFERENCE, TRIANGLE, Method, method_named

EVERY = tuple(METHODS.values())
GUESSED = tuple(method for method in EVERY if method.psychometric)
each_method = pytest.mark.parametrize("method", EVERY)


def test_ten_methods_are_there_under_their_keys() -> None:
    assert len(METHODS) == 10
    assert all(key == method.key == str(method) for key, method in METHODS.items())
    assert len({method.name for method in EVERY}) == 10


ORDERS = {
    "triangle": "AAB ABA BAA BBA BAB ABB",  # ISO 4120 (from memory)
    "duo-trio": "A:AB A:BA B:AB B:BA",  # ISO 10399, balanced reference (from memory)
    "duo-trio-constant": "A:AB A:BA",  # ISO 10399, constant reference (from memory)
    "tetrad": "AABB ABAB ABBA BAAB BABA BBAA",  # every arrangement of two and two
    "tetrad-specified": "AABB ABAB ABBA BAAB BABA BBAA",
    "3-afc": "AAB ABA BAA",  # one cup of the stronger among two of the weaker
    "paired": "AB BA",  # ISO 5495 (from memory)
    "preference": "AB BA",
    "same-different": "AA AB BA BB",  # two pairs without a difference, two with one
    "a-not-a": "A:A A:B",  # ISO 8588 (from memory)
}


@each_method
def test_the_serving_orders_are_those_of_the_standard(method: Method) -> None:
    assert sorted(method.orders) == sorted(ORDERS[method.key].split())


@each_method
def test_no_place_favours_a_sample_over_any_other_place(method: Method) -> None:
    """Over one block of orders each place holds B equally often (ISO 4120, from memory)."""
    places = Counter(
        (place, letter)
        for order in method.orders
        for place, letter in enumerate(methods.blind(order))
    )

    assert len({places[place, "B"] for place in range(method.cups)}) == 1
    assert len({places[place, "A"] for place in range(method.cups)}) == 1


@each_method
def test_both_samples_are_poured_equally_often_unless_one_is_the_weaker_or_the_reference(
    method: Method,
) -> None:
    poured = Counter("".join(method.orders).replace(":", ""))
    lopsided = {"duo-trio-constant": (4, 2), "3-afc": (6, 3), "a-not-a": (3, 1)}

    assert (poured["A"], poured["B"]) == lopsided.get(method.key, (poured["A"], poured["A"]))


@pytest.mark.parametrize("method", GUESSED)
def test_the_chance_is_the_share_of_options_that_count_when_choosing_blindly(
    method: Method,
) -> None:
    for order in method.orders:
        hits = [method.is_counted(order, option) for option in range(len(method.options))]

        assert method.chance == pytest.approx(sum(hits) / len(hits))


@pytest.mark.parametrize(
    ("key", "chance"),
    [
        ("triangle", 1 / 3),
        ("duo-trio", 1 / 2),
        ("duo-trio-constant", 1 / 2),
        ("tetrad", 1 / 3),
        ("tetrad-specified", 1 / 6),  # of 4 choose 2 pairs, one is right
        ("3-afc", 1 / 3),
        ("paired", 1 / 2),
        ("preference", 1 / 2),
    ],
)
def test_the_chances_are_those_of_the_literature(key: str, chance: float) -> None:
    """Ennis and Jesionka 2011, J Sens Stud 26:371, table 1 (from memory)."""
    assert METHODS[key].chance == pytest.approx(chance)


@pytest.mark.parametrize("key", ["same-different", "a-not-a"])
def test_where_the_assessor_sets_a_criterion_there_is_no_chance_of_guessing(key: str) -> None:
    method = METHODS[key]

    assert method.criterion_model is not None
    with pytest.raises(InputError, match=f"'{key}' has no fixed chance of guessing"):
        _ = method.chance


@each_method
def test_a_method_has_a_chance_of_guessing_or_a_contrast_never_both(method: Method) -> None:
    assert (method.psychometric is None) is (method.criterion_model is not None)


@each_method
def test_every_option_is_a_choice_of_cups_that_are_there_or_words(method: Method) -> None:
    assert len(set(method.options)) == len(method.options) >= 2
    for option in method.options:
        assert isinstance(option, str) or set(option) <= set(range(method.cups))


@pytest.mark.parametrize(
    ("key", "order", "counted"),
    [
        ("triangle", "AAB", [2]),
        ("triangle", "BAB", [1]),
        ("duo-trio", "A:AB", [0]),
        ("duo-trio", "B:AB", [1]),
        ("duo-trio-constant", "A:BA", [1]),
        ("tetrad", "AABB", [0]),  # the first cup goes with the second
        ("tetrad", "ABAB", [1]),
        ("tetrad", "ABBA", [2]),
        ("tetrad", "BAAB", [2]),
        ("3-afc", "ABA", [1]),
        ("paired", "BA", [0]),
        ("preference", "AB", [1]),
        ("same-different", "AB", [1]),
        ("same-different", "AA", [1]),
        ("a-not-a", "A:A", [2, 3]),
        ("a-not-a", "A:B", [2, 3]),
    ],
)
def test_what_counts_in_a_set(key: str, order: str, counted: list[int]) -> None:
    method = METHODS[key]

    assert [
        option for option in range(len(method.options)) if method.is_counted(order, option)
    ] == counted


@pytest.mark.parametrize("order", ORDERS["tetrad-specified"].split())
def test_of_the_six_pairs_of_a_tetrad_only_the_two_cups_of_b_count(order: str) -> None:
    method = METHODS["tetrad-specified"]
    chosen = [
        option for index, option in enumerate(method.options) if method.is_counted(order, index)
    ]

    assert method.options == tuple(combinations(range(4), 2))
    assert chosen == [tuple(place for place, letter in enumerate(order) if letter == "B")]


@pytest.mark.parametrize(
    ("order", "blind", "labelled"), [("A:AB", "AB", "A"), ("B:BA", "BA", "B"), ("ABA", "ABA", "")]
)
def test_the_cup_before_a_colon_is_labelled_as_the_reference(
    order: str, blind: str, labelled: str
) -> None:
    assert (methods.blind(order), methods.labelled(order)) == (blind, labelled)


@pytest.mark.parametrize(
    ("key", "cups", "poured"),
    [("triangle", 3, 3), ("duo-trio", 2, 3), ("a-not-a", 1, 2), ("tetrad", 4, 4), ("paired", 2, 2)],
)
def test_the_reference_is_poured_but_not_coded(key: str, cups: int, poured: int) -> None:
    assert (METHODS[key].cups, METHODS[key].poured) == (cups, poured)


@pytest.mark.parametrize(
    ("order", "held"),
    [("AA", False), ("BB", False), ("AB", True), ("A:A", False), ("A:B", True), ("BA", True)],
)
def test_a_set_holds_a_difference_when_both_samples_are_in_it(order: str, held: bool) -> None:
    assert methods.holds_difference(order) is held


@each_method
def test_half_of_the_sets_of_a_method_without_chance_hold_no_difference(method: Method) -> None:
    held = [methods.holds_difference(order) for order in method.orders]

    assert sum(held) == (len(held) / 2 if method.criterion_model else len(held))


@pytest.mark.parametrize(
    ("key", "fixed", "sides"),
    [
        ("triangle", False, 1),
        ("triangle", True, 1),
        ("duo-trio", False, 1),
        ("tetrad", False, 1),
        ("same-different", False, 1),
        ("paired", True, 1),
        ("paired", False, 2),
        ("preference", False, 2),
        ("3-afc", True, 1),
        ("tetrad-specified", True, 1),
    ],
)
def test_one_side_for_a_difference_or_a_direction_fixed_beforehand(
    key: str, fixed: bool, sides: int
) -> None:
    assert METHODS[key].sides(fixed) == sides


def test_a_preference_has_no_direction_to_expect() -> None:
    with pytest.raises(InputError, match="a preference is asked without a fixed direction"):
        PREFERENCE.sides(True)


@pytest.mark.parametrize(
    ("method", "attribute", "expected", "match"),
    [
        (PAIRED, "", None, "needs an attribute to ask about"),
        (PAIRED, "  ", "B", "needs an attribute to ask about"),
        (methods.THREE_AFC, "", "B", "needs an attribute to ask about"),
        (TRIANGLE, "more sour", None, "'triangle' takes no attribute"),
        (TRIANGLE, "", "B", "'triangle' takes no attribute and no expected sample"),
        (PREFERENCE, "", "A", "'preference' takes no attribute and no expected sample"),
        (methods.A_NOT_A, "more sour", None, "'a-not-a' takes no attribute"),
    ],
)
def test_a_question_that_does_not_fit_is_refused(
    method: Method, attribute: str, expected: str | None, match: str
) -> None:
    with pytest.raises(InputError, match=match):
        method.check_question(attribute, expected)


@pytest.mark.parametrize("key", ["3-afc", "tetrad-specified"])
@pytest.mark.parametrize("expected", [None, "A"])
def test_b_has_to_be_the_stronger_where_only_b_is_asked_for(key: str, expected) -> None:
    with pytest.raises(InputError, match=f"'{key}' needs a direction: take as sample B the one"):
        METHODS[key].check_question("more sour", expected)


def test_only_these_two_need_b_to_be_the_stronger() -> None:
    assert {method.key for method in EVERY if method.directional_b} == {"3-afc", "tetrad-specified"}


@each_method
def test_only_a_question_about_a_direction_names_the_attribute(method: Method) -> None:
    assert ("{attribute}" in method.question) is (method.question_kind == "direction")


def test_an_unknown_method_is_told_the_known_ones() -> None:
    known = "triangle, duo-trio, duo-trio-constant, tetrad, tetrad-specified, 3-afc, paired, "
    with pytest.raises(InputError, match=f"unknown method 'guess'; use one of: {known}"):
        method_named("guess")
