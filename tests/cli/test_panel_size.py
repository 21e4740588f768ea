"""`tasting size` in all its ways, and `tasting methods`."""

import pytest
from scipy.stats import binom

from tasting.panel.methods import METHODS, TRIANGLE
from tests.cli.conftest import Tasting


def test_by_distance(tasting: Tasting) -> None:
    """d-prime 1.5 is p_d 0.2597 in a triangle; the rest agrees with scipy."""
    said = tasting("size", "triangle", "--d-prime", 1.5, "--json").json
    share = float(TRIANGLE.model.function(1.5))

    assert (said["method"], said["d_prime"], said["n"]) == ("triangle", 1.5, 53)
    assert said["actual_power"] == pytest.approx(binom.sf(said["critical_number"] - 1, 53, share))


def test_by_distance_the_share_that_goes_with_it_is_told(tasting: Tasting) -> None:
    first = tasting("size", "triangle", "--d-prime", 1.5).out.splitlines()[0]

    assert first == "Triangle test, one-sided: α = 0.05, β = 0.2, d′ = 1.5 (p_d = 0.260)"


def test_a_preference_is_planned_by_its_lead(tasting: Tasting) -> None:
    out = tasting("size", "preference").out

    assert out.startswith("Paired preference test, two-sided: α = 0.05, β = 0.2, lead = 0.5")
    assert "p_d" not in out


def test_for_similarity(tasting: Tasting) -> None:
    command = ("size", "triangle", "--similarity", "--alpha", 0.2, "--beta", 0.05)
    said = tasting(*command, "--json").json

    assert said["actual_beta"] == pytest.approx(binom.cdf(15, 39, 1 / 3 + 0.2))
    assert tasting(*command).out.splitlines()[1:] == [
        "You need 39 tastings (at most 15 correct answers).",
        "If nobody notices, 39 tastings show 4 times in 5 that fewer than 30 % notice: actual "
        "β = 0.0445, chance 80.4 % (exact binomial).",
        "From 46 on, that stays at 80 % or more.",
        "If nobody notices, 44 % of sessions score below guessing; these do not show similarity.",
    ]


def test_what_a_panel_can_detect(tasting: Tasting) -> None:
    """13 of 24 are needed; at the p_d told they come with 80 % (scipy)."""
    said = tasting("size", "triangle", "--detect", 24, "--json").json

    assert binom.sf(12, 24, 1 / 3 + 2 / 3 * said["p_d"]) == pytest.approx(0.8)
    assert "A difference that 41 % notice (d′ = 2) would be found 4 times in 5" in (
        tasting("size", "triangle", "--detect", 24).out
    )


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["triangle", "--detect", 2], "However large the difference, 2 tastings"),
        (["triangle", "--detect", 60, "--similarity"], "fewer than 24 % notice (d′ = 1.45)."),
        (["a-not-a", "--detect", 24], "A difference of d′ = 2.74 would be found 4 times in 5"),
        (["preference", "--detect", 24], "A lead of 59 % would be found 4 times in 5"),
        (["same-different", "--d-prime", 2], "60 sets, half of them with a difference"),
        (["3-afc", "--d-prime", 1, "--one-sided"], "You need 16 tastings"),
    ],
)
def test_each_way_has_its_words(tasting: Tasting, arguments: list[object], words: str) -> None:
    assert words in tasting("size", *arguments).out


def test_a_number_may_have_a_comma_or_be_a_fraction(tasting: Tasting) -> None:
    usual = tasting("size", "triangle", "--p-d", "0.25", "--json").json

    assert tasting("size", "triangle", "--p-d", "0,25", "--json").json == usual
    assert tasting("size", "triangle", "--p-d", "1/4", "--json").json == usual


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["size", "triangle", "--p-d", "1,300"], "'1,300' can mean 1.3 or 1300"),
        (["size", "triangle", "--detect", "22,5"], "'22,5' is not a whole number"),
        (["methods", "--ml", "0,5"], "0,5 is not between 1 and 500"),
        (["table", "triangle", "--to", "many"], "'many' is not a number"),
        (["app", "--port", "0"], "0 is not between 1 and 65535"),
    ],
)
def test_what_is_no_number_is_one_sentence(
    tasting: Tasting, arguments: list[object], sentence: str
) -> None:
    said = tasting(*arguments)

    assert (said.code, said.out) == (2, "")
    assert sentence in said.err
    assert said.err.count("\n") == 1


def test_a_contrast_for_machines(tasting: Tasting) -> None:
    said = tasting("size", "a-not-a", "--d-prime", 2, "--false-alarms", 0.2, "--json").json

    assert said["share_none"] == 0.2
    assert said["actual_alpha"] <= 0.05
    assert said["actual_power"] >= 0.8


def test_methods_side_by_side(tasting: Tasting) -> None:
    said = tasting("methods", "--d-prime", 1.5, "--ml", 20, "--json").json

    assert {need["method"] for need in said} == METHODS.keys() - {"preference"}
    assert all(need["ml"] == 20 * need["cups"] for need in said)


def test_what_is_not_planned_is_said_below_the_table(tasting: Tasting) -> None:
    out = tasting("methods").out

    assert "Triangle test                                     202  606 18180" in out
    assert out.splitlines()[-2].startswith("Same-different test: more than 400 sets")
    assert out.splitlines()[-1].startswith("A-not-A test with sureness: more than 400 sets")


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["triangle", "--p-d", 0.3, "--d-prime", 1], "give either --p-d or --d-prime"),
        (["triangle", "--p-d", 1], "p_d is 1 but must lie between 0 and 1"),
        (["triangle", "--d-prime", 0], "d_prime is 0 but must lie between 0 and 20"),
        (["triangle", "--d-prime", "nan"], "'nan' is not a number"),
        (["a-not-a"], "so there is no size by p_d; give --d-prime"),
        (["a-not-a", "--d-prime", 1, "--false-alarms", 1], "false_alarms is 1 but must lie"),
        (["a-not-a", "--similarity"], "with a chance of guessing"),
        (["paired", "--similarity"], "similarity is shown by a one-sided test"),
        (["triangle", "--similarity", "--beta", 0.6], "beta is 0.6 but must lie"),
        (["triangle", "--detect", 0], "n is 0; at least 1 tasting is needed"),
        (["triangle", "--detect", 9, "--p-d", 0.2], "leave out --p-d and --d-prime"),
        (["guess", "--d-prime", 1], "unknown method 'guess'"),
    ],
)
def test_what_cannot_be_planned_is_one_sentence(
    tasting: Tasting, arguments: list[object], sentence: str
) -> None:
    said = tasting("size", *arguments)

    assert (said.code, said.out) == (2, "")
    assert sentence in said.err
    assert said.err.count("\n") == 1


def test_side_by_side_refuses_a_distance_of_nothing(tasting: Tasting) -> None:
    assert "d_prime is 0 but must lie" in tasting("methods", "--d-prime", 0).err
