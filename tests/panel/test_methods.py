"""Each method's orders, chance and question, as the standards have them."""

from collections import Counter

import pytest

from tasting.errors import InputError
from tasting.panel.methods import METHODS, PAIRED, PREFERENCE, TRIANGLE, Method, method_named

each_method = pytest.mark.parametrize("method", METHODS.values(), ids=list(METHODS))


def test_the_first_methods_are_there_under_their_keys() -> None:
    assert {"triangle", "paired", "preference"} <= set(METHODS)
    assert all(key == method.key for key, method in METHODS.items())


def test_the_triangle_has_the_six_orders_of_the_standard() -> None:
    """ISO 4120: ABB, AAB, ABA, BAA, BBA, BAB (from memory)."""
    assert set(TRIANGLE.orders) == {"ABB", "AAB", "ABA", "BAA", "BBA", "BAB"}


@pytest.mark.parametrize("method", [PAIRED, PREFERENCE], ids=["paired", "preference"])
def test_a_pair_is_served_both_ways_round(method: Method) -> None:
    """ISO 5495: AB and BA equally often (from memory)."""
    assert sorted(method.orders) == ["AB", "BA"]


@each_method
def test_both_samples_stand_equally_often_in_each_place(method: Method) -> None:
    """Balance: over one block of orders no place favours a sample (ISO 4120, from memory)."""
    for place in range(method.cups):
        counts = Counter(order[place] for order in method.orders)

        assert counts["A"] == counts["B"]


@each_method
def test_the_chance_is_that_of_choosing_blindly(method: Method) -> None:
    for order in method.orders:
        hits = sum(method.counts(order, place) for place in range(method.cups))

        assert method.chance == pytest.approx(hits / method.cups)


@pytest.mark.parametrize(("order", "odd"), [("AAB", 2), ("ABA", 1), ("BAA", 0), ("BBA", 2)])
def test_the_odd_one_of_a_triangle_counts(order: str, odd: int) -> None:
    assert [TRIANGLE.counts(order, place) for place in range(3)] == [
        place == odd for place in range(3)
    ]


@pytest.mark.parametrize(("method", "fixed"), [(TRIANGLE, False), (TRIANGLE, True), (PAIRED, True)])
def test_one_side_for_a_difference_or_a_direction_fixed_beforehand(
    method: Method, fixed: bool
) -> None:
    assert method.sides(fixed) == 1


@pytest.mark.parametrize("method", [PAIRED, PREFERENCE], ids=["paired", "preference"])
def test_two_sides_where_either_sample_may_be_chosen(method: Method) -> None:
    assert method.sides(False) == 2


def test_a_preference_has_no_direction_to_expect() -> None:
    with pytest.raises(InputError, match="a preference is asked without a fixed direction"):
        PREFERENCE.sides(True)


@pytest.mark.parametrize(
    ("method", "attribute", "expected", "match"),
    [
        (PAIRED, "", None, "needs an attribute to ask about"),
        (PAIRED, "  ", "B", "needs an attribute to ask about"),
        (TRIANGLE, "more sour", None, "'triangle' takes no attribute"),
        (TRIANGLE, "", "B", "'triangle' takes no attribute and no expected sample"),
        (PREFERENCE, "", "A", "'preference' takes no attribute and no expected sample"),
    ],
)
def test_a_question_that_does_not_fit_is_refused(
    method: Method, attribute: str, expected: str | None, match: str
) -> None:
    with pytest.raises(InputError, match=match):
        method.check_question(attribute, expected)


def test_an_unknown_method_is_told_the_known_ones() -> None:
    with pytest.raises(InputError, match="unknown method 'guess'; use one of: triangle, paired"):
        method_named("guess")
