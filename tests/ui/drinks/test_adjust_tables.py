"""Goals as they are asked for, and moves as they are shown and kept."""

import pytest

from tasting.drink.adjust import Adjustment, Allowed, adjust
from tasting.drink.composition import compose
from tasting.drink.weighable import rounded
from tasting.errors import InputError
from tasting.ui.drinks import adjust_tables
from tasting.ui.drinks.adjust_tables import BEST, BY, FREE, HELD, LIKE, TO, AdjustmentGoal
from tests.ui.workshop import MEASURED, SPRITZ, UNMEASURED

FIRST = SPRITZ.versions[0]
BEFORE = compose(FIRST)


def moves(*names: str, goals: dict[str, float] | None = None, **hold: float) -> Adjustment:
    wanted = goals or {"ta_g_per_l": BEFORE.ta_g_per_l + 1}
    return adjust(FIRST, wanted, [Allowed(ingredient=name) for name in names], hold=hold)


SOURS = moves("citric-acid", "lemon-juice", "bay-syrup", "sugar")


def test_wishes_become_goals_and_holds() -> None:
    goals, hold = adjust_tables.asked(
        {
            "ta_g_per_l": AdjustmentGoal(LIKE),
            "sugar_g_per_l": AdjustmentGoal(HELD),
            "alcohol_percent_vol": AdjustmentGoal(TO, 0.0),
            "energy_kcal_per_l": AdjustmentGoal(FREE),
            "volume_ml": AdjustmentGoal(BY, -10.0),
        },
        BEFORE,
        MEASURED,
    )
    volume = BEFORE.volume_ml - 10
    assert goals == {"ta_g_per_l": 6.4, "alcohol_percent_vol": 0.0, "volume_ml": volume}
    assert hold == {"sugar_g_per_l": pytest.approx(BEFORE.sugar_g_per_l / 100)}


def test_a_label_per_100_ml_is_a_goal_per_litre() -> None:
    assert adjust_tables.like("sugar_g_per_l", MEASURED) == pytest.approx(81.0)
    assert adjust_tables.like("energy_kcal_per_l", MEASURED) == pytest.approx(380)
    assert adjust_tables.like("volume_ml", MEASURED) is None


@pytest.mark.parametrize(
    ("wish", "match"),
    [
        (AdjustmentGoal(FREE), "no target is set yet"),
        (AdjustmentGoal(HELD), "no target is set yet"),
        (AdjustmentGoal(TO), "number for TA is missing"),
        (AdjustmentGoal(LIKE), "TA of the reference is not known"),
        (AdjustmentGoal(BY, -50.0), "cannot be −4"),
    ],
)
def test_an_incomplete_wish_is_refused(wish: AdjustmentGoal, match: str) -> None:
    with pytest.raises(InputError, match=match):
        adjust_tables.asked({"ta_g_per_l": wish}, BEFORE, UNMEASURED)


@pytest.mark.parametrize(
    ("figure", "now", "known", "kind"),
    [
        ("ta_g_per_l", 5.0, 6.4, LIKE),
        ("ta_g_per_l", 6.35, 6.4, BY),
        ("ta_g_per_l", 5.0, None, BY),
        ("sugar_g_per_l", 80.0, 81.0, FREE),
    ],
)
def test_acidity_begins_at_the_reference_unless_it_is_there(
    figure: str, now: float, known: float | None, kind: str
) -> None:
    assert adjust_tables.usual_kind(figure, now, known) == kind


def test_what_is_in_comes_first_among_what_may_change() -> None:
    offered = {"citric-acid": "citric acid, anhydrous", "lemon-juice": "lemon juice"}
    names = adjust_tables.usually_allowed(FIRST, offered)
    assert names[:2] == ["rhubarb juice", "lemon juice"]
    assert names[-1] == "citric acid, anhydrous"
    assert len(names) == len(set(names))


def test_every_move_is_a_row_with_its_side_effects() -> None:
    table = adjust_tables.moves_table(SOURS, 1.0).set_index("Move")
    assert [*table.index] == ["1", "2", "3", BEST]
    assert table.loc["1", "Per serving"].endswith("g citric acid, anhydrous")
    assert table.loc["2", "TA, g/L"].endswith("(+1.00)")
    assert table.loc["2", "Sugar, g/L"].split()[1].startswith("(−")
    assert "Per batch" not in table


def test_volume_is_told_for_one_serving() -> None:
    (row,) = adjust_tables.moves_table(SOURS, 4.0).to_dict("records")[1:2]
    after = SOURS.singles[1].after.volume_ml
    assert row["Volume of a serving, mL"].startswith(f"{after / 4:.1f} (")
    assert row["Per batch"].startswith("+")


def test_what_falls_short_says_what_binds() -> None:
    said = list(adjust_tables.remarks(SOURS))
    assert said[0].startswith("Move 3: The nearest is TA")
    assert "no more bay syrup, 1:1 may be taken out." in said[0]
    assert said[0].endswith("a mixed one cannot be changed this way.")
    assert said[1] == f"{BEST}: the same as move 1."


def test_a_goal_that_rounding_misses_is_reached_nearly() -> None:
    table = adjust_tables.moves_table(rounded(FIRST, SOURS, 0.1), 1.0).set_index("Move")
    assert table.loc["1", "Goals reached"] == "nearly, see below"
    assert table.loc["1", "Per serving"] == "+0.2 g citric acid, anhydrous"


def test_what_is_not_held_is_said() -> None:
    said = list(adjust_tables.remarks(moves("lemon-juice", "citric-acid", volume_ml=0.5)))
    assert "Move 2: Not held: volume." in said


def test_what_alone_is_of_no_use_is_named() -> None:
    assert adjust_tables.useless(SOURS, ["lemon juice", "white sugar"]) == ["white sugar"]


def test_the_best_combination_is_offered_once() -> None:
    assert [*adjust_tables.to_keep(SOURS)] == ["1", "2", "3"]


def test_a_combination_that_alone_reaches_all_goals_is_offered_first() -> None:
    goals = {"ta_g_per_l": BEFORE.ta_g_per_l + 1, "sugar_g_per_l": BEFORE.sugar_g_per_l + 5}
    found = moves("citric-acid", "sugar", goals=goals)
    assert found.combined.reached
    assert [*adjust_tables.to_keep(found)][0] == BEST
