"""What is typed from paper: codes in any order, words in any case, and each fault with its line."""

import itertools

import pytest

from tasting.errors import InputError
from tasting.panel.ballots import TypedAnswer, typed_answers, typed_choice
from tasting.panel.methods import METHODS
from tasting.panel.plan import Plan
from tests.ui.workshop import planned

CODES = ("482", "517", "903", "264")


def plan(method: str, **more: object) -> Plan:
    """A plan of that method, with what it has to know."""
    asks = METHODS[method].question_kind
    asked = {"attribute": "more sour", "expected": "B"} if asks == "direction" else {}
    return planned("one", method, **{**asked, **more}).plan


@pytest.mark.parametrize("method", METHODS)
def test_every_choice_is_understood_as_it_is_printed(method: str) -> None:
    codes = CODES[: METHODS[method].cups]
    choices = plan(method).choices(codes)
    assert [typed_choice(choice, codes, choices) for choice in choices] == list(choices)


@pytest.mark.parametrize("typed", ["517+482", "517, 482", " 482 and 517 ", "482/517", "903 264"])
def test_pairs_may_be_typed_in_any_order_and_by_either_pair(typed: str) -> None:
    assert typed_choice(typed, CODES, plan("tetrad").choices(CODES)) == "482+517"


def test_where_every_pair_can_be_chosen_the_other_pair_is_another_answer() -> None:
    choices = plan("tetrad-specified").choices(CODES)
    assert typed_choice("903 264", CODES, choices) == "903+264"


def test_words_are_understood_in_any_case() -> None:
    choices = plan("preference", no_preference=True).choices(CODES[:2])
    assert typed_choice(" No Preference", CODES[:2], choices) == "no preference"


@pytest.mark.parametrize("typed", ["", "999", "482 517", "4825", "482 999", "yes"])
def test_what_fits_nothing_stays_as_it_is(typed: str) -> None:
    """In a triangle, two codes could be a pair that is alike or a slip: neither is guessed."""
    codes = CODES[:3]
    assert typed_choice(typed, codes, codes) == typed


def test_no_two_choices_are_taken_for_each_other() -> None:
    choices = plan("tetrad-specified").choices(CODES)
    for one, other in itertools.combinations(choices, 2):
        assert typed_choice(one, CODES, choices) != typed_choice(other, CODES, choices)


HEAD = "assessor,set,choice\n"


def test_a_file_is_read_with_its_lines() -> None:
    text = f"# from the kitchen table\n{HEAD}P01,1,482\n\nP02,1,517+903\n"
    assert typed_answers(text) == [
        (3, TypedAnswer(assessor="P01", set=1, choice="482")),
        (5, TypedAnswer(assessor="P02", set=1, choice="517+903")),
    ]


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("assessor,choice\nP01,482", "first line has to name the columns: assessor,set,choice"),
        (HEAD + "P01,1", "line 2: 2 cells where 3 are needed"),
        (HEAD + "P01,first,482", "line 2: set: "),
        (HEAD + "P01,1,", "line 2: choice is empty"),
        (HEAD + "P01,1,482\nP01,1,517", "line 3: set 1 of assessor 'P01' is in line 2 already"),
        (HEAD + "x" * 500_000, "the file is too large"),
    ],
)
def test_a_fault_is_told_with_its_line(text: str, match: str) -> None:
    with pytest.raises(InputError, match=match):
        typed_answers(text)
