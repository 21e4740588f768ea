"""A plan says what is fixed beforehand, and refuses what makes no sense."""

from collections.abc import Mapping

import pytest

from tasting.errors import InputError
from tasting.panel.methods import METHODS
from tasting.panel.plan import NO_PREFERENCE, Plan, Sample
from tasting.panel.seal import sealed_text
from tasting.panel.serving import ServingSet
from tasting.records import checked
from tests.ui.workshop import planned, sample

PAIR = {"method": "paired", "attribute": "more sour"}
LIKING = {"method": "preference"}
SURENESS = {"method": "a-not-a"}
ALONE = {"alone": True, "assessors": ("Ann",)}
CODES = ("314", "271", "577", "628")


def plan(**more: object) -> Plan:
    fields = {"method": "triangle", "a": sample("spritz-1"), "b": sample("spritz-2")}
    return checked(Plan, {**fields, "assessors": ("Ann", "Bo"), **more})


@pytest.mark.parametrize(
    ("more", "match"),
    [
        ({"method": "guess"}, "unknown method 'guess'; use one of: triangle"),
        ({"alpha": 0.5}, "alpha: must be below 0.5"),
        ({"alpha": 0}, "alpha: must be above 0"),
        ({"alpha": float("nan")}, "alpha: must be a finite number"),
        ({"beta": 0.5}, "beta: must be below 0.5"),
        ({"p_d": 0}, "p_d: must be above 0"),
        ({"p_d": 1}, "p_d: must be below 1"),
        ({"assessors": ()}, "needs 1–500 assessors"),
        ({"assessors": [f"P{number}" for number in range(501)]}, "needs 1–500 assessors"),
        ({"assessors": ("Ann", "Bo", "ANN")}, "assessor 'ann' is listed twice"),
        ({"assessors": ("Ann", " Ann ")}, "assessor 'ann' is listed twice"),
        ({"assessors": ("Ann", " ")}, "assessors.1 is empty"),
        ({"replicates": 0}, "replicates: must be 1 or more"),
        ({"replicates": 21}, "replicates: must be 20 or less"),
        ({"serving_ml": 0}, "serving_ml: must be above 0"),
        ({"serving_celsius": -6}, "serving_celsius: must be −5 or more"),
        ({"serving_celsius": 81}, "serving_celsius: must be 80 or less"),
        ({"minutes_open": 0}, "minutes_open: must be 1 or more"),
        ({"pause_seconds": 901}, "pause_seconds: must be 900 or less"),
        ({"alcohol_percent_vol": 101}, "alcohol_percent_vol: must be 100 or less"),
        ({"b": sample("spritz-1")}, "samples A and B are the same drink; choose two different"),
        ({"method": "paired"}, "needs an attribute to ask about: 'more sour'"),
        ({"attribute": "more sour"}, "takes no attribute and no expected sample"),
        ({**LIKING, "expected": "B"}, "takes no attribute and no expected sample"),
        ({**PAIR, "expected": "C"}, "expected: must be 'A' or 'B'"),
        ({**PAIR, "method": "3-afc"}, "needs a direction: take as sample B"),
        ({**PAIR, "method": "tetrad-specified", "expected": "A"}, "expect B"),
        ({"aim": "equality"}, "aim: must be 'difference' or 'similarity'"),
        ({"colour": "red"}, "colour: this field is not known here"),
    ],
)
def test_a_plan_that_makes_no_sense_is_refused(more: Mapping[str, object], match: str) -> None:
    with pytest.raises(InputError, match=match):
        plan(**more)


@pytest.mark.parametrize(
    ("more", "match"),
    [
        ({"aim": "similarity", **PAIR}, "similarity is shown by a one-sided test"),
        ({"aim": "similarity", **LIKING}, "similarity is shown by a one-sided test"),
        ({"aim": "similarity", **SURENESS}, "similarity is shown by .* a chance of guessing"),
        ({"aim": "similarity", "replicates": 2}, "not shown by repeated answers of the same"),
        ({"sequential": True, **PAIR}, "a sequential test is one-sided"),
        ({"sequential": True, **LIKING}, "a sequential test is one-sided"),
        ({"sequential": True, **SURENESS}, "sequential test .* needs a chance of guessing"),
        ({"sequential": True, "aim": "similarity", "replicates": 2}, "not shown by repeated"),
        ({"sequential": True, "first_look": 5, "look_every": 5}, "look first after 6 or more"),
        ({"sequential": True, "first_look": 6, "look_every": 2}, "after every 3 or more"),
        ({"sequential": True, "first_look": 6}, "belong together"),
        ({"first_look": 6, "look_every": 3}, "only a sequential test has looks"),
        ({"no_preference": True}, 'only a preference test may offer "no preference"'),
        ({"no_preference": True, **PAIR}, 'only a preference test may offer "no preference"'),
        ({"alone": True}, "one person tastes alone; list one assessor"),
        ({**ALONE, **LIKING, "no_preference": True}, "chooses one cup and then reads its code"),
        ({**ALONE, "method": "tetrad"}, "take a method that asks for one cup, such as"),
        ({**ALONE, **SURENESS}, "take a method that asks for one cup, such as the triangle"),
        ({**ALONE, "method": "same-different"}, "take a method that asks for one cup"),
    ],
)
def test_an_aim_that_the_method_cannot_serve_is_refused(
    more: Mapping[str, object], match: str
) -> None:
    with pytest.raises(InputError, match=match):
        plan(**more)


@pytest.mark.parametrize(
    "more",
    [
        {"aim": "similarity"},
        {"aim": "similarity", "method": "duo-trio"},
        {"aim": "similarity", "method": "tetrad"},
        {"aim": "similarity", **PAIR, "expected": "A"},
        {"sequential": True},
        {"sequential": True, "replicates": 3},
        {"sequential": True, "replicates": 3, "first_look": 6, "look_every": 3},
        {"sequential": True, **PAIR, "expected": "B"},
        {"no_preference": True, **LIKING},
        {**ALONE},
        {**ALONE, **LIKING, "replicates": 5},
        {**ALONE, "method": "duo-trio-constant"},
    ],
)
def test_an_aim_that_the_method_serves_is_kept(more: Mapping[str, object]) -> None:
    kept = plan(**more)

    assert {name: getattr(kept, name) for name in more} == more


@pytest.mark.parametrize("method", METHODS)
def test_every_method_can_be_planned_and_asks_a_whole_question(method: str) -> None:
    made = planned("acid", method).plan

    assert made.procedure is METHODS[method]
    assert "{" not in made.question
    assert ("more sour" in made.question) is (METHODS[method].question_kind == "direction")


def test_a_version_and_a_reference_may_share_an_id() -> None:
    bottle = Sample(kind="reference", id="spritz-1", name="bottle")

    assert plan(b=bottle).b == bottle


@pytest.mark.parametrize(
    ("more", "sides"),
    [
        ({}, 1),
        (PAIR, 2),
        ({**PAIR, "expected": "A"}, 1),
        (LIKING, 2),
        ({**PAIR, "method": "3-afc", "expected": "B"}, 1),
    ],
)
def test_the_sides_are_fixed_by_the_plan(more: Mapping[str, object], sides: int) -> None:
    assert plan(**more).sides == sides


def test_the_ballot_asks_for_the_attribute() -> None:
    assert plan(**PAIR).question == "Which sample is more sour?"


def test_tastings_are_assessors_times_replicates() -> None:
    assert plan(replicates=3).tastings == 6


@pytest.mark.parametrize(
    ("more", "choices"),
    [
        ({}, ("314", "271", "577")),
        (LIKING, ("314", "271")),
        ({**LIKING, "no_preference": True}, ("314", "271", "no preference")),
        ({"method": "tetrad"}, ("314+271", "314+577", "314+628")),
        ({"method": "same-different"}, ("alike", "different")),
        (
            {**PAIR, "method": "tetrad-specified", "expected": "B"},
            ("314+271", "314+577", "314+628", "271+577", "271+628", "577+628"),
        ),
    ],
)
def test_the_ballot_offers_codes_pairs_of_codes_or_words(
    more: Mapping[str, object], choices: tuple[str, ...]
) -> None:
    made = plan(**more)

    assert made.choices(CODES[: made.procedure.cups]) == choices


def test_a_not_a_offers_four_grades_of_sureness() -> None:
    assert plan(**SURENESS).choices(("314",)) == (
        "like the reference, sure",
        "like the reference, not sure",
        "not like the reference, not sure",
        "not like the reference, sure",
    )


@pytest.mark.parametrize(
    ("more", "order", "counted"),
    [
        ({}, "AAB", {"577"}),
        (PAIR, "AB", {"271"}),
        ({**PAIR, "expected": "B"}, "BA", {"314"}),
        ({**PAIR, "expected": "A"}, "BA", {"271"}),
        (LIKING, "AB", {"271"}),
        ({**LIKING, "no_preference": True}, "AB", {"271"}),
        ({"method": "duo-trio"}, "B:AB", {"271"}),
        ({"method": "tetrad"}, "ABBA", {"314+628"}),
        ({**PAIR, "method": "tetrad-specified", "expected": "B"}, "ABBA", {"271+577"}),
        ({**PAIR, "method": "3-afc", "expected": "B"}, "BAA", {"314"}),
        ({"method": "same-different"}, "BB", {"different"}),
    ],
)
def test_what_counts_is_told_from_the_choice(
    more: Mapping[str, object], order: str, counted: set[str]
) -> None:
    made = plan(**more)
    codes = CODES[: made.procedure.cups]
    served = ServingSet(assessor="Ann", replicate=1, order=order, codes=codes)

    assert {one for one in made.choices(codes) if made.is_counted(served, one)} == counted


def test_no_preference_never_counts() -> None:
    served = ServingSet(assessor="Ann", replicate=1, order="AB", codes=("314", "271"))

    assert not plan(**LIKING, no_preference=True).is_counted(served, NO_PREFERENCE)


def test_a_plan_from_before_there_was_a_day_keeps_its_fingerprint() -> None:
    """Plans of older documents and sealed sessions say nothing of it."""
    old = plan()
    assert (old.taste_on, old.taste_at) == (None, None)
    assert "taste_" not in sealed_text("x", old, (), "salt")
    timed = plan(taste_on="2026-11-28", taste_at="19:30")
    again = Plan.model_validate_json(timed.model_dump_json())
    assert sealed_text("x", again, (), "salt") == sealed_text("x", timed, (), "salt")
    assert '"taste_on":"2026-11-28"' in sealed_text("x", timed, (), "salt")
