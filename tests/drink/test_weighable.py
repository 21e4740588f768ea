"""Moves in amounts that a scale shows: what is rounded, what it costs, and what is said of it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.drink import words
from tasting.drink.adjust import Allowed, adjust
from tasting.drink.composition import compose
from tasting.drink.weighable import is_on_scale, on_scale, rounded
from tasting.errors import InputError

from .glass import NOON, SPRITZ, few, version

BEFORE = compose(SPRITZ)
SOURS = [Allowed(ingredient=key) for key in ("citric-acid", "lemon-juice", "sparkling-water")]


def found(step_g=0.1, more=1.0, start=SPRITZ, allowed=SOURS):
    exact = adjust(start, {"ta_g_per_l": compose(start).ta_g_per_l + more}, allowed)
    return rounded(start, exact, step_g)


def by_key(result):
    return {move.changes[0].key: move for move in result.singles if move.changes}


@few
@given(st.floats(1e-3, 1e5), st.sampled_from([0.001, 0.01, 0.1, 0.2, 1, 5]))
def test_the_nearest_multiple_is_on_the_scale_and_half_a_step_away_at_most(quantity, step):
    shown = on_scale(quantity, step)

    assert abs(shown - quantity) <= step / 2 * (1 + 1e-9)
    assert is_on_scale(shown, step)


@pytest.mark.parametrize("step_g", [0.01, 0.1, 0.5])
def test_every_new_amount_is_on_the_scale_and_the_others_stay(step_g):
    for move in found(step_g).singles:
        changed = {change.key for change in move.changes}
        for part in move.parts:
            if part.ingredient.key in changed:
                assert is_on_scale(part.amount.quantity, step_g)
            else:
                assert part in SPRITZ.parts


def test_what_is_shown_is_computed_from_the_rounded_amounts():
    for move in found().singles:
        made = compose(move.child(SPRITZ, id="v2", label="v2", reason="sour", created_at=NOON))

        assert made.ta_g_per_l == move.after.ta_g_per_l
        assert move.effects["ta_g_per_l"] == made.ta_g_per_l - BEFORE.ta_g_per_l


def test_rounding_says_what_it_costs():
    """1 g/L in 0.21 L is 0.21 g of citric acid; 0.2 g give 0.95 g/L (arithmetic)."""
    citric = by_key(found())["citric-acid"]

    assert citric.changes[0].per_batch == 0.2
    assert citric.effects["ta_g_per_l"] == pytest.approx(0.95, abs=0.01)
    goal = BEFORE.ta_g_per_l + 1
    assert f"Rounding costs: TA {citric.after.ta_g_per_l:.2f}" in citric.rounding
    assert f"instead of {goal:.2f} g/L." in citric.rounding
    assert "0.2 g citric acid, anhydrous is good to 25 % on this scale." in citric.rounding


def test_a_fine_scale_costs_nothing():
    citric = by_key(found(0.001, more=5))["citric-acid"]

    assert citric.rounding == "Rounding to 0.001 g changes none of the figures as shown."


def test_less_than_the_scale_shows_is_no_move_and_said():
    result = found(1.0)

    assert "citric-acid" not in by_key(result)
    (said,) = [move.rounding for move in result.singles if not move.changes]
    assert "0.21 g citric acid, anhydrous is too little for a scale in steps of 1 g" in said


def test_what_takes_something_out_says_so():
    water = by_key(found())["sparkling-water"]
    citric = by_key(found())["citric-acid"]

    assert words.move(water).startswith("leave out ")
    assert "takes out carbonated water, which is already in: make the drink from scratch" in (
        words.taken_out(water)
    )
    assert words.taken_out(citric) == ""


def test_bar_units_become_what_is_weighed_or_poured():
    start = version(("lemon-juice", "1/2 oz"), ("water", "0.2 L"), ("sugar", "1 oz"))
    allowed = [Allowed(ingredient=key) for key in ("lemon-juice", "water", "sugar")]
    (lemon, *_) = found(start=start, allowed=allowed).singles
    first = lemon.parts[0]

    assert first.amount.unit == "mL"
    assert is_on_scale(first.amount.quantity, 0.1)
    water = by_key(found(start=start, more=-1.0, allowed=allowed))["water"]
    assert water.parts[1].amount.unit == "L"
    assert is_on_scale(1000 * water.parts[1].amount.quantity, 0.1)


@pytest.mark.parametrize("step_g", [0, -0.1, 1e-9, 1e6])
def test_a_step_that_no_scale_has_is_refused(step_g):
    with pytest.raises(InputError, match="is not usual; give 0.0001–100 g"):
        found(step_g)
