"""The buttons of the bench: the pinches used last, none of which moves under the thumb."""

from tasting.drink.bench import Added, BenchStep, TastedAway, Undone
from tasting.drink.formula import Part
from tasting.ui.drinks.bench.taps import _MOST, _USUAL, names, pinches, sip_ml, used


def part(key: str, amount: str) -> Part:
    return Part.model_validate({"ingredient": key, "amount": amount})


def add(key: str, amount: str) -> Added:
    return Added(part=part(key, amount))


CITRIC, LEMON, SALT = ("citric-acid", "0.1 g"), ("lemon-juice", "2 mL"), ("salt", "0.1 g")


def test_a_first_glass_begins_with_the_usual_ones() -> None:
    assert pinches([], []) == _USUAL


def test_a_pinch_that_is_used_stays_where_it_is() -> None:
    steps: list[BenchStep] = []
    for one in (*_USUAL[::-1], *_USUAL):
        steps.append(Added(part=one))
        assert pinches(steps, []) == _USUAL


def test_a_new_pinch_comes_behind_and_an_undone_one_does_not() -> None:
    steps = [add(*SALT), add("citric-acid", "10 g"), Undone()]
    assert pinches(steps, []) == (*_USUAL, part(*SALT))


def test_another_amount_is_another_pinch() -> None:
    assert pinches([add("citric-acid", "0.2 g")], [])[-1] == part("citric-acid", "0.2 g")


def test_an_earlier_glass_says_what_is_likely() -> None:
    """What was used last in it comes first."""
    earlier = [part(*CITRIC), part(*SALT), part(*CITRIC)]
    offered = (part(*CITRIC), part(*SALT), *_USUAL[1:3])
    assert pinches([], earlier) == offered
    assert pinches([add("sugar", "1 g")], earlier) == (*offered, part("sugar", "1 g"))


def test_of_too_many_the_one_goes_that_was_not_used_for_longest() -> None:
    new = [add("salt", f"0.{digit} g") for digit in range(1, 5)]
    steps = [Added(part=_USUAL[3]), *new]
    offered = pinches(steps, [])
    assert len(offered) == _MOST
    assert offered == (_USUAL[0], _USUAL[3], *[one.part for one in new])


def test_buttons_are_short_unless_two_would_be_alike() -> None:
    spirit = part("neutral-spirit", "5 mL")
    other = spirit.model_copy(
        update={"ingredient": spirit.ingredient.model_copy(update={"name": "neutral spirit, 96 %"})}
    )
    assert names([part(*CITRIC)]) == ("+0.1 g citric acid",)
    assert names([spirit, other]) == (
        "+5 mL neutral spirit, 40 % vol",
        "+5 mL neutral spirit, 96 %",
    )


def test_a_sip_is_as_large_as_the_last() -> None:
    assert sip_ml([]) == 10
    assert sip_ml([TastedAway(volume_ml=5), TastedAway(volume_ml=7), add(*SALT)]) == 7


def test_what_is_in_is_told_in_order() -> None:
    steps = [add(*CITRIC), TastedAway(volume_ml=5), add(*SALT), add(*LEMON), Undone()]
    assert used(steps) == [part(*CITRIC), part(*SALT)]
