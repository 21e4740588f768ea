"""`tasting size` and `tasting table`."""

import pytest
from scipy.stats import binom

from tests.cli.conftest import Tasting
from tests.stats.published import SHIPPED, read


def test_a_size_is_told_in_words(tasting: Tasting) -> None:
    """66: ISO 4120:2004 Table A.3 (from memory); 73 and the rest computed."""
    said = tasting("size", "triangle", "--alpha", 0.05, "--beta", 0.05, "--p-d", 0.3)

    assert said.out.splitlines() == [
        "Triangle test, one-sided: α = 0.05, β = 0.05, p_d = 0.3",
        "You need 66 tastings (29 correct answers).",
        "If 30 % notice, 66 tastings show it 19 times in 20: actual α = 0.0469, power 95.1 % "
        "(exact binomial).",
        "From 73 on, power stays at 95 % or more.",
    ]


def test_a_size_for_machines_agrees_with_scipy(tasting: Tasting) -> None:
    said = tasting("size", "paired", "--p-d", 0.4, "--one-sided", "--json").json

    assert (said["method"], said["sides"], said["beta"]) == ("paired", 1, 0.2)
    beyond, n = said["critical_number"] - 1, said["n"]
    assert said["actual_alpha"] == pytest.approx(binom.sf(beyond, n, 0.5))
    assert said["actual_power"] == pytest.approx(binom.sf(beyond, n, 0.7))


def test_the_usual_share_is_that_of_a_new_tasting(tasting: Tasting) -> None:
    """16 for half of assessors: ISO 4120:2004 Table A.3 (from memory)."""
    assert "You need 16 tastings (9 correct answers)." in tasting("size", "triangle").out
    assert "fewer than 30 % notice" in tasting("size", "triangle", "--similarity").out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["paired"], "choices of one of the two samples"),
        (["paired", "--one-sided"], "choices of the expected sample"),
        (["preference"], "Paired preference test, two-sided"),
        (["3-afc"], "correct answers)."),
        (
            ["triangle", "--p-d", 0.5, "--alpha", 0.2, "--beta", 0.05],
            "Any larger number keeps at least 95 %.",
        ),
    ],
)
def test_the_words_fit_the_question(tasting: Tasting, arguments: list[str], words: str) -> None:
    assert words in tasting("size", *arguments).out


def printed(table: str, alpha: float) -> dict[int, int | None]:
    """The cells of a published table, as it was typed in."""
    rows = [row for row in read(SHIPPED) if row["table"] == table and float(row["alpha"]) == alpha]
    return {int(row["n"]): int(row["critical"]) if row["critical"] else None for row in rows}


def test_the_table_holds_the_printed_cells_with_their_source(tasting: Tasting) -> None:
    """FAO document V7180E, Appendix A (seen): every cell at 5 %."""
    expected = printed("fao-triangle", 0.05)
    command = ("table", "triangle", "--from", 3, "--to", max(expected), "--alpha", 0.05, "--json")
    cells = [cell for cell in tasting(*command).json["cells"] if cell["n"] in expected]

    assert {cell["n"]: cell["critical"] for cell in cells} == expected
    assert all(cell["source"].startswith("FAO") for cell in cells)


def test_beyond_print_the_cells_are_computed(tasting: Tasting) -> None:
    (cell,) = tasting(
        "table", "preference", "--from", 20, "--to", 20, "--alpha", 0.05, "--json"
    ).json["cells"]

    assert cell == {"n": 20, "alpha": 0.05, "critical": 15, "source": None}


def test_people_see_which_cells_stand_in_print(tasting: Tasting) -> None:
    lines = tasting("table", "triangle", "--from", 2, "--to", 7).out.splitlines()

    assert ["2", "–", "–", "–"] in map(str.split, lines)
    assert ["7", "5", "*", "6", "*", "7", "*"] in map(str.split, lines)
    assert lines[-2].startswith("* as printed in FAO document V7180E, Appendix A")
    assert lines[-1].startswith("Without *: exact binomial.")


def test_a_table_without_print_has_no_such_note(tasting: Tasting) -> None:
    assert "as printed in" not in tasting("table", "preference").out


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["size", "guess"], "unknown method 'guess'; use one of: triangle"),
        (["size", "triangle", "--alpha", 0.5], "alpha is 0.5 but must lie between 0 and 0.5"),
        (["size", "triangle", "--alpha", 0], "alpha is 0 but must lie between 0 and 0.5"),
        (["size", "triangle", "--alpha", "nan"], "'nan' is not a number"),
        (["size", "triangle", "--beta", 1], "beta is 1 but must lie between 0 and 0.5"),
        (["size", "triangle", "--p-d", 0], "p_d is 0 but must lie between 0 and 1"),
        (["size", "preference", "--one-sided"], "a preference is asked without a fixed direction"),
        (["size", "a-not-a"], "the method 'a-not-a' has no fixed chance of guessing"),
        (["table", "guess"], "unknown method 'guess'"),
        (
            ["table", "same-different"],
            "the method 'same-different' has no fixed chance of guessing",
        ),
        (["table", "preference", "--one-sided"], "a preference is asked without a fixed"),
        (["table", "triangle", "--from", 0], "n is 0; at least 1 tasting is needed"),
        (["table", "triangle", "--from", 9, "--to", 8], "give --from and --to in this order"),
        (["table", "triangle", "--to", 9999], "at most 1000 rows apart"),
        (["table", "triangle", "--alpha", 0.7], "alpha is 0.7 but must lie between 0 and 0.5"),
    ],
)
def test_bad_numbers_are_told_in_one_sentence(
    tasting: Tasting, arguments: list[object], sentence: str
) -> None:
    said = tasting(*arguments)

    assert (said.code, said.out) == (2, "")
    assert sentence in said.err
    assert said.err.count("\n") == 1
