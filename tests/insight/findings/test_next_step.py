"""One thing to do next, and what it knows of the drinks and of later sessions."""

import pytest

from tasting.drink.label import Reference
from tasting.drink.pantry import Ingredient
from tasting.insight.findings.finding import conclude, finding
from tasting.insight.findings.levels import differing
from tasting.insight.findings.next_step import Surroundings, tasted_since
from tasting.insight.findings.tally import Tally
from tasting.panel.methods import PAIRED, PREFERENCE, THREE_AFC, TRIANGLE, Method
from tests.drink.glass import version
from tests.insight.tallies import tally_in_order, tally_of
from tests.ui.workshop import SPRITZ, closed, planned

DIRECTION = "Next: ask assessors what they noticed, then compare the two by that, in pairs."
CLOSER = "Next: move the formula towards v1 by less than this step; taste again."
UNDIRECTED = "Next: ask which of the two people prefer, or set a target before you change it again."
WHICH_WAY = "Next: ask each assessor for the direction: a two-sided paired comparison."
LIKED = "Next: build the next version on v2."
BARELY = "Next: v2 is the better base for these 30; the lead may be small."
WHY_LIKED = "Next: find out what people like about v2: compare one attribute at a time."
LARGER = "Next: plan a larger session: 40 tastings, 10 more, detect p_d = 30 % at 80 % power."
AGAIN = "Next: run it again with all 40 tastings that were planned."
ENOUGH = "Next: to find a difference that 33 % notice 4 times in 5, plan 35 tastings."
RISK = "Next: write p_d = 30 % and β = 0.2 beside the result; it holds for these only."
UNKNOWN = Ingredient(
    key="own-cordial",
    name="cordial",
    density_kg_per_l=1.0,
    sucrose_g_per_100g=None,
    citric_g_per_100g=None,
    alcohol_percent_vol=None,
)
KEY = "Next: check the serving key and the cups before you taste again."


@pytest.mark.parametrize(
    ("method", "count", "more", "sentence"),
    [
        (TRIANGLE, 20, {}, DIRECTION),
        (TRIANGLE, 18, {"p_d": 0.6}, DIRECTION),
        (PAIRED, 25, {}, UNDIRECTED),
        (PAIRED, 25, {"reference": "A"}, CLOSER),
        (THREE_AFC, 25, {"reference": "A"}, CLOSER),
        (
            THREE_AFC,
            17,
            {},
            "Next: ask each assessor for the direction: a two-sided paired comparison.",
        ),
        (PREFERENCE, 25, {}, LIKED),
        (PREFERENCE, 21, {}, BARELY),
        (PREFERENCE, 25, {"reference": "B"}, WHY_LIKED),
        (TRIANGLE, 9, {}, LARGER),
        (TRIANGLE, 9, {"planned": 40}, AGAIN),
        (TRIANGLE, 9, {"p_d": 0.5}, ENOUGH),
        (TRIANGLE, 1, {}, KEY),
        (PREFERENCE, 25, {"planned": 40}, LIKED),
        (TRIANGLE, 10, {"similarity_aim": True}, RISK),
    ],
)
def test_one_thing_to_do_next(method: Method, count: int, more, sentence: str) -> None:
    """40: ISO 4120:2004 Table A.3 (from memory); 35: exact binomial, as in `test_power`."""
    assert conclude(tally_of(method, count, 30, **more)).sentences[-1] == sentence


def test_nine_tastings_of_forty_need_thirty_one_more() -> None:
    assert conclude(tally_of(TRIANGLE, 4, 9)).sentences[-1] == (
        "Next: plan a larger session: 40 tastings, 31 more, detect p_d = 30 % at 80 % power."
    )


@pytest.mark.parametrize(
    ("around", "sentence"),
    [
        (
            Surroundings(("sugar",)),
            "Next: ask for the direction with a paired comparison: which one is sweeter? Sugar "
            "differs by more than is usually noticed.",
        ),
        (Surroundings(("acidity", "sugar")), DIRECTION),
        (Surroundings(()), DIRECTION),
        (
            Surroundings(("sugar",), ("Second look",)),
            'Next: read "Second look", which compared them later.',
        ),
    ],
)
def test_the_next_step_knows_what_differs_and_what_was_tasted_since(around, sentence) -> None:
    assert conclude(tally_of(TRIANGLE, 20, 30), around).sentences[-1] == sentence


@pytest.mark.parametrize(
    ("answers", "sentence"),
    [
        ("+-+-", "Next: plan it again with more room: it takes up to 26 tastings on average."),
        (
            "-----",
            "Next: to show similarity, plan for it, with its own β; otherwise plan for a smaller "
            "p_d.",
        ),
    ],
)
def test_after_a_sequence(answers: str, sentence: str) -> None:
    found = conclude(tally_in_order(TRIANGLE, answers, sequential=True))

    assert found.sentences[-1] == sentence


def test_undecided_answers_are_planned_for() -> None:
    """90 choices are needed (ISO 5495 Table A.5, from memory); 2 of 3 people choose."""
    found = conclude(tally_of(PREFERENCE, 10, 20, undecided=10))

    assert found.sentences[-1] == (
        "Next: plan a larger session: 135 tastings, 105 more, detect a lead of 30 % at 80 % power."
    )


def strength(percent_vol: float, **known: float) -> Reference:
    return Reference(id="S", name="S", serving_ml=200, alcohol_percent_vol=percent_vol, **known)


@pytest.mark.parametrize(
    ("one", "other", "levels"),
    [
        (strength(5.33), strength(5.50), ()),  # 3 %
        (strength(5.0), strength(6.1), ("alcohol",)),  # 22 %
        (strength(5.0, ta_g_per_l=5.0), strength(5.0, ta_g_per_l=6.0), ()),  # 20 %
        (strength(5.0, ta_g_per_l=6.2), strength(5.0, ta_g_per_l=5.0), ("acidity",)),  # 24 %
        (strength(5.0, ta_g_per_l=6.2), strength(5.0), ()),
        (strength(0.0, sugar_g_per_100ml=5.0), strength(1.0, sugar_g_per_100ml=6.0),
         ("sugar", "alcohol")),
    ],
)  # fmt: skip
def test_only_more_than_a_noticeable_step_is_named(one, other, levels) -> None:
    """22 % of citric acid and 17 % of sucrose in water: Schutz and Pilgrim 1957 (from memory);
    20 % of alcohol: common practice, no source."""
    assert differing(one, other) == levels


def test_the_levels_of_versions_are_computed() -> None:
    """v3 has 4 mL more syrup than v1 has."""
    first, _, sweet = SPRITZ.versions

    assert differing(first, first) == ()
    assert set(differing(first, sweet)) <= {"sugar"}


def test_what_is_not_known_of_both_may_still_differ() -> None:
    """A pinch of acid in milk; a cordial of unknown acid, and more of it."""
    milk, sour, hidden, more = (
        version(*parts)
        for parts in (
            [("whole-milk", "200 mL")],
            [("whole-milk", "200 mL"), ("citric-acid", "0.5 g")],
            [(UNKNOWN, "20 mL"), ("water", "100 mL")],
            [(UNKNOWN, "30 mL"), ("water", "90 mL")],
        )
    )

    assert differing(milk, sour) == ("acidity",)
    assert differing(milk, milk) == ()
    assert differing(hidden, more) == ()


def test_later_sessions_of_the_same_two_are_found() -> None:
    first = closed(planned("one"), 10, 2, day=32)
    later = closed(planned("two", "duo-trio", "spritz-2", "spritz-1"), 9, 3, day=34)
    other = closed(planned("three", b="spritz-3"), 9, 3, day=35)
    known = [first, later, other, planned("next")]

    assert tasted_since(first, known) == ("Session two",)
    assert tasted_since(later, known) == ()
    said = finding(first, since=tasted_since(first, known)).sentences[-1]
    assert said == 'Next: read "Session two", which compared them later.'


def test_a_session_knows_which_sample_is_the_reference() -> None:
    against = closed(planned("one", a="R"), 10, 2)

    assert Tally.of_session(against).reference == "A"
    assert Tally.of_session(closed(planned("two"), 10, 2)).reference is None
    both = closed(planned("three", a="R", b="S"), 10, 2)
    assert Tally.of_session(both).reference is None


@pytest.mark.parametrize(
    ("method", "count", "around", "asked"),
    [
        (TRIANGLE, 20, Surroundings(("sugar",)), ("paired", "sweeter", 0)),
        (TRIANGLE, 20, Surroundings(), ("paired", "", 0)),
        (TRIANGLE, 9, Surroundings(), ("triangle", "", 40)),
        (TRIANGLE, 1, Surroundings(), ("", "", 0)),
        (PAIRED, 25, Surroundings(), ("preference", "", 0)),
        (PAIRED, 16, Surroundings(), ("paired", "more sour", 90)),
        (PREFERENCE, 25, Surroundings(), ("", "", 0)),
    ],
)
def test_the_tasting_that_it_asks_for_can_be_planned(method: Method, count, around, asked) -> None:
    """40: ISO 4120:2004 Table A.3, from memory; 90: scipy.stats.binom, two-sided."""
    step = conclude(tally_of(method, count, 30), around).following
    assert (step.method, step.attribute, step.tastings) == asked
