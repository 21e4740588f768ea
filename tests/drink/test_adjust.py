"""Moves reach their goals on the true figures, and say what else changes or stands in the way."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tasting.drink.adjust import Allowed, adjust, goals_of
from tasting.drink.composition import compose
from tasting.drink.formula import Part
from tasting.drink.label import Reference
from tasting.drink.mixture import FIGURES
from tasting.drink.pantry import ingredient
from tasting.errors import InputError

from .glass import NOON, SPRITZ, few, version

BEFORE = compose(SPRITZ)
SOURS = ("citric-acid", "lemon-juice", "verjus")


def allowed(*keys, **limits):
    return [Allowed(ingredient=key) for key in keys] + [
        Allowed(ingredient=key.replace("_", "-"), most=most) for key, most in limits.items()
    ]


def more_acid(step=1.0):
    return {"ta_g_per_l": BEFORE.ta_g_per_l + step}


def test_each_sour_ingredient_reaches_the_goal_alone():
    found = adjust(SPRITZ, more_acid(), allowed(*SOURS))

    assert [move.changes[0].key for move in found.singles] == list(SOURS)
    for move in found.singles:
        assert move.reached
        assert compose(move.child(SPRITZ, **CHILD)).ta_g_per_l == pytest.approx(
            BEFORE.ta_g_per_l + 1, abs=1e-4
        )


CHILD = {"id": "v2", "label": "v2", "reason": "more acid", "created_at": NOON}


def test_powder_is_a_pinch():
    """1 g/L in 0.21 L is about 0.21 g of citric acid (arithmetic)."""
    (move,) = adjust(SPRITZ, more_acid(), allowed("citric-acid")).singles

    assert move.changes[0].per_batch == pytest.approx(0.21, abs=0.003)
    assert move.changes[0].unit == "g"


def test_amounts_are_per_batch_and_per_serving():
    batch = SPRITZ.model_copy(update={"servings": 4.0})
    (move,) = adjust(batch, more_acid(), allowed("lemon-juice")).singles
    change = move.changes[0]

    assert change.per_batch == pytest.approx(4 * change.per_serving)
    assert change.grams_per_batch == pytest.approx(1.031 * change.per_batch)


def test_side_effects_are_the_difference_of_the_compositions():
    (move,) = adjust(SPRITZ, more_acid(), allowed("verjus")).singles

    assert set(move.effects) == set(FIGURES)
    assert move.effects["sugar_g_per_l"] == pytest.approx(
        move.after.sugar_g_per_l - BEFORE.sugar_g_per_l
    )
    assert move.effects["alcohol_percent_vol"] < 0 < move.effects["volume_ml"]


def test_what_is_in_already_grows_in_its_own_line():
    (move,) = adjust(SPRITZ, more_acid(), allowed("lemon-juice")).singles

    assert [part.ingredient.key for part in move.parts] == [
        part.ingredient.key for part in SPRITZ.parts
    ]
    assert move.parts[3].amount.unit == "mL"


def test_less_acid_takes_some_out_or_dilutes():
    found = adjust(SPRITZ, more_acid(-2), allowed("lemon-juice", "water"))

    assert [(m.changes[0].key, m.changes[0].per_batch > 0) for m in found.singles] == [
        ("lemon-juice", False),
        ("water", True),
    ]


def test_taking_all_of_it_out_drops_the_line():
    found = adjust(SPRITZ, {"alcohol_percent_vol": 0.0}, allowed("juniper-spirit"))

    assert "juniper-spirit" not in [part.ingredient.key for part in found.combined.parts]


def test_the_last_pinch_is_taken_out_without_a_trace():
    pinch = Part.model_validate({"ingredient": "citric-acid", "amount": "0.2 g"})
    pinched = SPRITZ.model_copy(update={"parts": (*SPRITZ.parts, pinch)})
    (move,) = adjust(pinched, {"ta_g_per_l": 0.0}, allowed("citric-acid")).singles

    assert move.parts == SPRITZ.parts


def test_several_goals_are_met_together():
    goals = {"ta_g_per_l": 7.0, "sugar_g_per_l": 55.0, "alcohol_percent_vol": 5.0}
    keys = ("citric-acid", "bay-syrup", "juniper-spirit", "sparkling-water")
    after = adjust(SPRITZ, goals | {"volume_ml": 220.0}, allowed(*keys)).combined.after

    for figure, goal in goals.items():
        assert getattr(after, figure) == pytest.approx(goal, rel=1e-4)
    assert after.volume_ml == pytest.approx(220, rel=1e-4)


def test_held_figures_stay_in_their_band():
    hold = {"sugar_g_per_l": 0.2, "alcohol_percent_vol": 0.05}
    move = adjust(
        SPRITZ, more_acid(), allowed(*SOURS, "sugar", "strong-spirit"), hold=hold
    ).combined

    assert move.reached
    assert move.breaks == ()
    assert abs(move.effects["sugar_g_per_l"]) <= 0.2 + 1e-3


def test_single_move_says_which_held_figure_it_breaks():
    found = adjust(SPRITZ, more_acid(), allowed("verjus"), hold={"sugar_g_per_l": 0.5})

    assert found.singles[0].breaks == ("sugar_g_per_l",)


def test_combination_is_no_larger_than_the_smallest_single_move():
    found = adjust(SPRITZ, more_acid(), allowed(*SOURS))
    size = sum(abs(change.grams_per_batch) for change in found.combined.changes)

    assert size <= abs(found.singles[0].changes[0].grams_per_batch) * (1 + 1e-6)


def test_limit_that_binds_is_named():
    found = adjust(SPRITZ, more_acid(), allowed(lemon_juice="2 mL", verjus="5 mL"))

    assert not found.combined.reached
    assert "no more lemon juice may be added" in found.combined.why
    assert "no more verjus may be added" in found.combined.why
    assert {c.key: round(c.per_batch, 6) for c in found.combined.changes} == {
        "lemon-juice": 2,
        "verjus": 5,
    }


def test_held_figure_that_binds_is_named():
    move = adjust(
        SPRITZ, more_acid(4), allowed("lemon-juice"), hold={"sugar_g_per_l": 0.2}
    ).combined

    assert "sugar is held" in move.why
    assert move.breaks == ()
    assert not move.reached


def test_what_cannot_be_taken_out_any_more_is_named():
    move = adjust(SPRITZ, {"ta_g_per_l": 1.0}, allowed("lemon-juice")).combined

    assert "no more lemon juice to take out" in move.why


def test_ingredient_without_effect_is_no_move():
    found = adjust(
        version(("sugar", "10 g"), ("water", "90 g")), {"ta_g_per_l": 2.0}, allowed("water")
    )

    assert found.singles == ()
    assert not found.combined.reached
    assert found.combined.why


def test_ph_can_be_a_goal():
    after = adjust(SPRITZ, {"ph": 2.8}, allowed("citric-acid", "lemon-juice")).combined.after

    assert after.ph == pytest.approx(2.8, abs=1e-3)


@few
@given(st.floats(0.05, 5), st.floats(0.3, 3))
def test_goals_that_a_recipe_exists_for_are_found(citric_g, sugar_factor):
    """The goal is read off a drink that was really mixed from the allowed ingredients."""
    aim = compose(
        version(
            *((p.ingredient.key, str(p.amount)) for p in SPRITZ.parts),
            ("citric-acid", f"{citric_g} g"),
            ("sugar", f"{10 * sugar_factor} g"),
        )
    )
    goals = {"ta_g_per_l": aim.ta_g_per_l, "sugar_g_per_l": aim.sugar_g_per_l}
    amounts = {
        change.key: change.per_batch
        for change in adjust(SPRITZ, goals, allowed("citric-acid", "sugar")).combined.changes
    }

    assert amounts["citric-acid"] == pytest.approx(citric_g, rel=2e-3)
    assert amounts["sugar"] == pytest.approx(10 * sugar_factor, rel=2e-3)


def test_goals_of_a_reference_are_what_is_known_of_it():
    reference = Reference(
        id="R", name="R", serving_ml=330, sugar_g_per_100ml=5.5, alcohol_percent_vol=5.0
    )

    assert goals_of(reference) == {"sugar_g_per_l": 55.0, "alcohol_percent_vol": 5.0}


@pytest.mark.parametrize(
    ("goals", "keys", "hold", "match"),
    [
        ({}, ["water"], {}, "at least one goal"),
        ({"ph": 3}, [], {}, "one ingredient"),
        ({"colour": 3}, ["water"], {}, "unknown figure 'colour'"),
        ({"ph": float("nan")}, ["water"], {}, "pH cannot be nan"),
        ({"ta_g_per_l": -1}, ["water"], {}, "TA cannot be -1"),
        ({"ph": 3}, ["water"], {"ph": 0.1}, "both a goal and held"),
        ({"ph": 3}, ["water"], {"brix": -1}, "cannot be -1"),
        ({"ph": 3}, ["water", "water"], {}, "allowed twice"),
    ],
)
def test_bad_request_is_refused(goals, keys, hold, match):
    with pytest.raises(InputError, match=match):
        adjust(SPRITZ, goals, allowed(*keys), hold=hold)


def test_unknown_ingredient_is_refused():
    with pytest.raises(ValidationError, match="no ingredient called"):
        Allowed(ingredient="dust")


@pytest.mark.parametrize("figure", ["ta_g_per_l", "sugar_g_per_l", "alcohol_percent_vol", "ph"])
def test_a_goal_that_is_there_already_needs_no_move(figure):
    found = adjust(SPRITZ, {figure: getattr(BEFORE, figure)}, allowed("water", "lemon-juice"))

    assert found.singles == ()
    assert (found.combined.changes, found.combined.reached) == ((), True)


def test_two_lots_of_one_ingredient_may_both_be_allowed():
    sour = ingredient("lemon-juice").model_copy(update={"citric_g_per_100g": 5.5})

    found = adjust(SPRITZ, more_acid(), [Allowed(ingredient=sour), *allowed("lemon-juice")])

    assert [move.reached for move in found.singles] == [True, True]


MILKY = version(("whole-milk", "240 mL"), ("lemon-juice", "15 mL"), ("sugar", "10 g"))


def test_what_cannot_be_computed_cannot_be_a_goal():
    with pytest.raises(InputError, match="whole milk buffers the pH"):
        adjust(MILKY, {"ta_g_per_l": 5.0}, [Allowed(ingredient=ingredient("lemon-juice"))])


def test_what_would_hide_the_goal_cannot_be_added():
    with pytest.raises(InputError, match="whole milk buffers the pH"):
        adjust(SPRITZ, {"ta_g_per_l": 3.0}, [Allowed(ingredient=ingredient("whole-milk"))])


def test_sugar_of_a_milk_drink_can_be_adjusted_all_the_same():
    """1 g/L more in 261 mL is 0.26 g (arithmetic); what it does to the pH is not known."""
    start = compose(MILKY)
    move = adjust(
        MILKY, {"sugar_g_per_l": start.sugar_g_per_l + 1}, [Allowed(ingredient=ingredient("sugar"))]
    ).singles[0]

    assert move.changes[0].grams_per_batch == pytest.approx(0.28, abs=0.03)
    assert move.effects["ph"] != move.effects["ph"]
