"""What is said of the number of tastings, on the plan page and on the command line alike."""

from dataclasses import replace

import pytest
from scipy.stats import binom

from tasting.errors import InputError
from tasting.panel.design import TestDesign
from tasting.panel.methods import A_NOT_A, METHODS, PREFERENCE, SAME_DIFFERENT, TRIANGLE
from tasting.panel.sizing_words import (
    needed,
    outlook,
    raised_risks,
    reach_in_words,
    repeated,
)
from tasting.stats.looks import balanced_looks, look_cost

PAIRED = METHODS["paired"]


def test_a_difference_by_its_share() -> None:
    """40: ISO 4120:2004 Table A.3 (from memory); the rest by scipy."""
    number, shown, lasting = needed(TestDesign(TRIANGLE))

    assert number == "You need 40 tastings (19 correct answers)."
    power = 100 * binom.sf(18, 40, 1 / 3 + 0.2)
    assert shown == (
        "If 30 % notice, 40 tastings show it 4 times in 5: actual α = "
        f"{binom.sf(18, 40, 1 / 3):.4f}, power {power:.3g} % (exact binomial)."
    )
    assert lasting == "From 42 on, power stays at 80 % or more."


def test_where_more_tastings_never_show_less_that_is_said() -> None:
    design = TestDesign(PAIRED, "B", p_d=0.9)
    # The power of every n up to 60, by scipy: once 80 % are reached they stay.
    power = [binom.sf(binom.isf(0.05, n, 0.5), n, 0.95) >= 0.8 for n in range(1, 61)]
    first = power.index(True) + 1

    assert all(power[first - 1 :])
    assert needed(design)[0].startswith(f"You need {first} tastings")
    assert needed(design)[-1] == "Any larger number keeps at least 80 %."


def test_a_difference_by_its_distance_names_both() -> None:
    number, shown, _ = needed(TestDesign(TRIANGLE, d_prime=1.5))

    assert number.startswith("You need 53 tastings")
    assert "If 26 % notice (d′ = 1.5), 53 tastings show it 5 times in 6" in shown


def test_a_fixed_direction_needs_fewer() -> None:
    one, two = (needed(TestDesign(PAIRED, expected))[0] for expected in ("B", None))

    assert one.startswith("You need 69 tastings (")
    assert one.endswith("choices of the expected sample).")
    assert two.startswith("You need 90 tastings (")
    assert two.endswith("choices of one of the two samples).")


def test_similarity_says_how_often_nothing_is_concluded() -> None:
    design = TestDesign(TRIANGLE, aim="similarity", alpha=0.2, beta=0.05)
    number, shown, lasting, below = needed(design)

    assert number == "You need 39 tastings (at most 15 correct answers)."
    assert "fewer than 30 % notice" in shown
    assert f"actual β = {binom.cdf(15, 39, 1 / 3 + 0.2):.4f}" in shown
    assert lasting == "From 46 on, that stays at 80 % or more."
    assert below == (
        "If nobody notices, 44 % of sessions score below guessing; these do not show similarity."
    )


def test_a_sequential_test_names_its_averages_and_its_earliest_ends() -> None:
    said = " ".join(needed(TestDesign(TRIANGLE, sequential=True)))

    assert "You need about 19 tastings on average if nobody notices, and about 26 if" in said
    assert "stops with a difference after 6 answers, and without one after 5." in said
    assert "A test of fixed size takes 40." in said


def test_only_a_plan_that_aims_at_it_concludes_similarity() -> None:
    aimed = TestDesign(TRIANGLE, aim="similarity", sequential=True, beta=0.05)
    said = " ".join(needed(aimed))

    assert "and with similarity, at a risk of β = 0.05, after 9." in said
    assert "imilar" not in " ".join(needed(TestDesign(TRIANGLE, sequential=True)))


def test_a_contrast_goes_by_distance() -> None:
    number, shown = needed(TestDesign(SAME_DIFFERENT, d_prime=2.0))

    assert number == "You need 60 sets, half of them with a difference."
    assert shown.startswith("At d′ = 2 a difference is expected to be reported for ")
    assert "Fisher's exact test" in shown


def test_a_not_a_is_planned_for_the_rule_that_tells_less() -> None:
    """Fisher's test is checked in `test_contrast_power`; here, which rule is taken."""
    number, shown, informed = needed(TestDesign(A_NOT_A, d_prime=2.0))
    same = needed(TestDesign(SAME_DIFFERENT, d_prime=2.0))

    assert number == same[0] == "You need 60 sets, half of them with a difference."
    assert "if assessors judge by how far a cup is from the labelled reference" in shown
    assert informed.startswith("If all of them know what differs, 18 are enough.")


def test_a_preference_is_planned_in_its_own_words() -> None:
    said = " ".join([*needed(TestDesign(PREFERENCE)), *outlook(TestDesign(PREFERENCE), 30)])

    assert "If the lead is 30 % of answers, 90 tastings show it 4 times in 5" in said
    assert not [word for word in ("right", "guess", "notice", "distinguish") if word in said]


@pytest.mark.parametrize(
    ("design", "match"),
    [
        (TestDesign(SAME_DIFFERENT, d_prime=0.5), "more than 400 sets"),
        (TestDesign(SAME_DIFFERENT), "there is no size by p_d; give --d-prime"),
        (TestDesign(TRIANGLE, p_d=0.0001), "more than two million tastings"),
    ],
)
def test_what_cannot_be_planned_is_said(design: TestDesign, match: str) -> None:
    with pytest.raises(InputError, match=match):
        needed(design)


@pytest.mark.parametrize(
    ("design", "words"),
    [
        (TestDesign(TRIANGLE), "would be found 4 times in 5 (power 80 %)."),
        (TestDesign(PREFERENCE), "A lead of 74 % would be found 4 times in 5"),
        (
            TestDesign(PREFERENCE, p_d=0.4),
            "A lead of 40 % would be missed 3 times in 4 (power 25 %).",
        ),
        (TestDesign(A_NOT_A, d_prime=2.0), "A difference of d′ = 2 would be missed "),
        (
            TestDesign(TRIANGLE),
            "A difference that 30 % notice would be missed 3 times in 4 (power ",
        ),
        (TestDesign(TRIANGLE, sequential=True), "By then the test has decided in "),
        (TestDesign(TRIANGLE, aim="similarity"), "If nobody notices, 12 tastings can be expected"),
    ],
    ids=lambda one: one.method.key if isinstance(one, TestDesign) else "",
)
def test_the_outlook_of_a_panel(design: TestDesign, words: str) -> None:
    assert words in " ".join(outlook(design, 12))


def test_the_power_of_a_panel_is_scipys() -> None:
    """8 of 12 are needed (FAO document V7180E, Appendix A)."""
    power = 100 * binom.sf(7, 12, 1 / 3 + 0.2)

    assert outlook(TestDesign(TRIANGLE), 12)[0] == (
        f"A difference that 30 % notice would be missed 3 times in 4 (power {power:.0f} %)."
    )


def test_too_few_tastings_are_told() -> None:
    assert reach_in_words(TestDesign(TRIANGLE), 2) == (
        "However large the difference, 2 tastings detect it with less than 80 % power."
    )


def test_answers_of_one_assessor_are_not_counted_as_if_by_several_in_silence() -> None:
    """By scipy: with 8 answers 6 are needed (ISO 4120, from memory)."""
    design = TestDesign(TRIANGLE, p_d=0.5)
    said = repeated(design, assessors=8, replicates=2)

    assert said.startswith("This counts all 16 answers as independent")
    assert f"with one tasting each, power would be {100 * binom.sf(5, 8, 2 / 3):.0f} %." in said
    assert len(outlook(design, 16)) == 1  # found often enough: how small it may be is no question
    assert repeated(design, 16, 1) == repeated(design, 1, 16) == ""


def test_looks_that_raise_a_risk_are_warned_of_and_not_stated_as_if_planned() -> None:
    """By hand: decided at n = 4, 6, ... the exact risk is counted by `tests/stats/test_looks`."""
    plan = TestDesign(TRIANGLE, p_d=0.5, sequential=True)
    plan = replace(plan, looks=balanced_looks(plan.wald_test))
    risk = look_cost(plan.wald_test).alpha

    assert risk > 0.05
    assert raised_risks(plan.wald_test).startswith(
        f"These looks raise a risk: α = {risk:.3f} instead of 0.05."
    )
    assert "actual risks" not in " ".join(needed(plan))
    kept = TestDesign(TRIANGLE, sequential=True)
    kept = replace(kept, looks=balanced_looks(kept.wald_test))
    assert raised_risks(kept.wald_test) == ""
    assert "actual risks" in " ".join(needed(kept))
