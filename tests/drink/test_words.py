"""Numbers and verdicts read as a person would write them."""

from dataclasses import replace

import pytest

from tasting.drink import words
from tasting.drink.adjust import Allowed, adjust
from tasting.drink.composition import compose
from tasting.drink.label import Reference, matches
from tasting.drink.uncertainty import Spread

from .glass import SPRITZ

BEFORE = compose(SPRITZ)
SOURER = adjust(
    SPRITZ,
    {"ta_g_per_l": BEFORE.ta_g_per_l + 1},
    [Allowed(ingredient="lemon-juice"), Allowed(ingredient="water")],
    hold={"volume_ml": 0.5},
)
LEMON = next(move for move in SOURER.singles if move.changes[0].key == "lemon-juice")


def test_an_interval_starts_at_zero_at_the_lowest():
    assert words.likely("sugar_g_per_l", Spread(-1.0, 2.0, "honey", 1.0)) == "0.0–2.0"


def test_an_interval_of_which_nothing_is_known_is_a_dash():
    assert words.likely("sugar_g_per_l", Spread(2.0, 2.0)) == "–"


def against(**values):
    return matches(SPRITZ, Reference(id="R", name="R", serving_ml=100, **values))[0]


@pytest.mark.parametrize(
    ("values", "text"),
    [
        ({"alcohol_percent_vol": 80.0}, "% vol below the label's range"),
        ({"sugar_g_per_100ml": 0.6}, "g/100 mL above the label's range"),
        ({"ta_g_per_l": round(BEFORE.ta_g_per_l, 2)}, "too uncertain to say"),
        ({"ph": 9.0}, "below the measured range"),
    ],
)
def test_a_verdict_says_by_how_much_and_which_way(values, text):
    said = words.verdict(against(**values))
    assert said.endswith(text)
    assert said.startswith("at least ") or text == words.TOO_UNCERTAIN
    assert "  " not in words.verdict(against(**values))


def test_a_tolerance_is_only_told_where_there_is_a_rule():
    assert words.tolerated(against(alcohol_percent_vol=80.0)) == "beyond"
    assert words.tolerated(against(energy_kcal_per_100ml=40.0)) == "no rule"
    alike = against(alcohol_percent_vol=round(BEFORE.alcohol_percent_vol, 1))
    assert words.tolerated(alike) == "within"


def test_a_change_has_a_sign_and_a_unit():
    (change,) = LEMON.changes
    ml = change.per_batch
    less = replace(change, per_batch=-ml)

    assert words.changed(change) == f"+{ml:.4g} mL lemon juice"
    assert words.changed(less) == f"leave out {ml:.4g} mL lemon juice"


def test_a_serving_gets_its_share():
    four = adjust(
        SPRITZ.model_copy(update={"servings": 4.0}),
        SOURER.goals,
        [Allowed(ingredient="lemon-juice")],
    )

    assert float(words.move(four.combined, "serving").split()[0][1:]) == pytest.approx(
        four.combined.changes[0].per_batch / 4, rel=0.01
    )


def test_an_effect_is_the_figure_after_and_the_difference():
    assert words.effects("ta_g_per_l", LEMON) == f"{BEFORE.ta_g_per_l + 1:.2f} (+1.00)"
    assert words.effects("volume_ml", LEMON, per=2.0).startswith(f"{LEMON.after.volume_ml / 2:.1f}")


def test_what_is_not_held_is_named():
    assert words.broken(LEMON) == "Not held: volume."
    assert words.broken(replace(LEMON, breaks=())) == ""


def test_the_reason_names_the_goal_and_the_move():
    assert words.reason(SOURER, LEMON) == f"TA +1.00 g/L: {words.move(LEMON)}"


def test_a_goal_without_unit_ends_in_its_number():
    sour = adjust(SPRITZ, {"ph": BEFORE.ph - 0.1}, [Allowed(ingredient="citric-acid")])

    assert words.reason(sour, sour.combined).startswith("pH −0.10: +")


def test_no_change_says_so():
    still = adjust(SPRITZ, {"ta_g_per_l": BEFORE.ta_g_per_l}, [Allowed(ingredient="water")])

    assert words.move(still.combined) == "nothing changes"
