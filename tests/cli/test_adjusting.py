"""`tasting adjust`."""

from pathlib import Path

import pytest

from tasting.drink.composition import compose
from tests.cli.conftest import Tasting
from tests.ui.workshop import SPRITZ

BEFORE = compose(SPRITZ.version("spritz-1"))
FROM = ("--version", "spritz-1")


def singles(tasting: Tasting, document: Path, *more: object) -> list[dict[str, object]]:
    found = tasting("adjust", document, *FROM, *more, "--json").json["singles"]
    return found  # type: ignore[no-any-return]


def test_moves_are_told_with_amounts_and_side_effects(tasting: Tasting, document: Path) -> None:
    said = tasting(
        "adjust", document, *FROM, "--ta", "+1.0", "--with", "lemon-juice", "--with", "citric-acid"
    )

    assert said.code == 0, said.err
    assert f"v1 to TA {BEFORE.ta_g_per_l + 1:.2f} g/L" in said.out
    assert "0.2 g citric acid, anhydrous is good to 25 % on this scale." in said.out
    assert "Rounding costs: TA" in said.out
    assert f"Before: TA {BEFORE.ta_g_per_l:.2f} g/L" in said.out


@pytest.mark.parametrize(
    ("text", "goal"),
    [("6.5", 6.5), ("+1.0", BEFORE.ta_g_per_l + 1), ("-0.5", BEFORE.ta_g_per_l - 0.5)],
)
def test_a_sign_makes_it_a_difference(
    tasting: Tasting, document: Path, text: str, goal: float
) -> None:
    fine = ("--scale-g", "0,001")
    (lemon,) = singles(tasting, document, "--ta", text, "--with", "lemon-juice", *fine)

    assert lemon["after"]["ta_g_per_l"] == pytest.approx(goal, abs=1e-3)  # type: ignore[index]


def test_the_reference_may_be_the_goal(tasting: Tasting, document: Path) -> None:
    said = tasting("adjust", document, *FROM, "--ta-of", "R", "--sugar-of", "R", "--json").json

    assert said["goals"] == {"ta_g_per_l": 6.4, "sugar_g_per_l": 81.0}


def test_without_names_the_own_ingredients_may_change(tasting: Tasting, document: Path) -> None:
    keys = {part.ingredient.key for part in SPRITZ.versions[0].parts}
    found = singles(tasting, document, "--ta", "+1.0")

    assert {move["changes"][0]["key"] for move in found} <= keys  # type: ignore[index]


def test_the_scale_is_remembered_in_a_log(tasting: Tasting, document: Path, log: Path) -> None:
    tasting("import", document, "--database", log)
    question = ("--ta", "+1.0", "--with", "citric-acid", "--database", log)

    (first,) = singles(tasting, document, *question, "--scale-g", "0,02")
    (second,) = singles(tasting, document, *question)

    assert first["changes"] == second["changes"]
    assert first["changes"][0]["per_batch"] == 0.18  # type: ignore[index]


def test_taking_out_is_said(tasting: Tasting, document: Path) -> None:
    said = tasting("adjust", document, *FROM, "--ta", "-1,0", "--with", "lemon-juice")

    assert "leave out" in said.out
    assert "takes out lemon juice, which is already in" in said.out


def test_a_limit_binds_and_is_said(tasting: Tasting, document: Path) -> None:
    said = tasting("adjust", document, *FROM, "--ta", "+1.0", "--with", "Lemon juice = 1 mL")

    assert "Move 1: The nearest is TA" in said.out
    assert "no more lemon juice may be added." in said.out


def test_what_is_held_is_kept_by_the_best_move(tasting: Tasting, document: Path) -> None:
    names = ("--with", "lemon-juice", "--with", "sugar", "--scale-g", "0.001")
    said = tasting(
        "adjust", document, *FROM, "--ta", "+1.0", "--hold", "sugar", *names, "--json"
    ).json

    assert said["combined"]["breaks"] == []
    assert said["combined"]["after"]["sugar_g_per_l"] >= 0.9899 * BEFORE.sugar_g_per_l
    assert said["combined"]["reason"].startswith("TA +1.00 g/L: +")


@pytest.mark.parametrize(
    ("more", "match"),
    [
        (["--ta", "sour"], "--ta: 'sour' is not a number"),
        (["--ta", "1,500"], "'1,500' can mean 1.5 or 1500"),
        (["--scale-g", "0", "--ta", "+1"], "0 is not between 0.0001 and 100"),
        ([], "at least one goal"),
        (["--ta", "+1", "--hold", "ta"], "both a goal and held"),
        (["--ta", "+1", "--hold", "colour"], "'colour' cannot be held"),
        (["--ta-of", "S"], "the ta of reference 'S' is not known"),
        (["--ta-of", "Q"], "contains no reference 'Q'; it contains: R, S"),
        (["--ta", "+1", "--with", "lemmon-juice"], "did you mean lemon"),
        (["--ta", "+1", "--with", "lemon-juice=much"], "'much' is not an amount"),
    ],
)
def test_bad_questions_are_told_in_one_sentence(
    tasting: Tasting, document: Path, more: list[str], match: str
) -> None:
    said = tasting("adjust", document, *FROM, *more)

    assert (said.code, said.out) == (2, "")
    assert match in said.err
    assert said.err.count("\n") == 1
