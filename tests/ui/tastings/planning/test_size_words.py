"""What the plan page says about the number of tastings."""

import pytest
from scipy.stats import binom

from tasting.errors import InputError
from tasting.panel.methods import A_NOT_A, METHODS, PREFERENCE, SAME_DIFFERENT, TRIANGLE
from tasting.ui.tastings.planning.power_chart import curve_of, needs_table, power_chart
from tasting.ui.tastings.planning.size import _needs
from tasting.ui.tastings.planning.size_words import Asked, needed, outlook
from tests.ui.workshop import planned


def plan(method: str = "triangle", asked: Asked | None = None, **more: object):
    return planned("next", method, **{**(asked or Asked()).fields, **more}).plan


def test_a_difference_by_its_share() -> None:
    """40: ISO 4120:2004 Table A.3 (from memory); the rest by scipy."""
    said = needed(TRIANGLE, Asked(), None)

    assert said.startswith(
        "To show a difference that 30 % of tastings notice takes **40 tastings**"
    )
    assert f"(actual α = {binom.sf(18, 40, 1 / 3):.3f}, exact power " in said
    assert "From 42 on the power stays at 80 % or more." in said


def test_a_difference_by_its_distance_names_both() -> None:
    asked = Asked(p_d=0.259684, d_prime=1.5)

    assert "that 26 % of tastings notice (d′ = 1.5) takes **53 tastings**" in needed(
        TRIANGLE, asked, None
    )


def test_a_fixed_direction_needs_fewer() -> None:
    one, two = (needed(METHODS["paired"], Asked(), expected) for expected in ("B", None))

    assert "**69 tastings**" in one
    assert "**90 tastings**" in two


def test_similarity_says_how_often_nothing_is_concluded() -> None:
    said = needed(TRIANGLE, Asked(aim="similarity", alpha=0.2, beta=0.05), None)

    assert "fewer than 30 % of tastings notice takes **39 tastings**" in said
    assert f"(actual β = {binom.cdf(15, 39, 1 / 3 + 0.2):.3f}" in said
    assert "With 44 % the score is even below chance, from which nothing is concluded." in said


def test_a_sequential_test_names_its_averages_and_its_earliest_ends() -> None:
    said = needed(TRIANGLE, Asked(is_sequential=True), None)

    assert "after 6 answers, similarity after 5" in said
    assert "a test of fixed size would take 40" in said


def test_a_contrast_goes_by_distance() -> None:
    said = needed(SAME_DIFFERENT, Asked(d_prime=2.0), None)

    assert said.startswith("To show d′ = 2 takes **60 sets**, half of them with a difference")
    assert "Fisher's exact test" in said


def test_what_is_too_small_to_plan_for_is_said() -> None:
    with pytest.raises(InputError, match="more than 400 sets"):
        needed(SAME_DIFFERENT, Asked(d_prime=0.5), None)


@pytest.mark.parametrize(
    ("method", "asked", "words"),
    [
        ("triangle", Asked(), "With a power of 80 % they show p_d = "),
        ("preference", Asked(), "they show p_d = "),
        ("a-not-a", Asked(d_prime=2.0), "for d′ = 2. However large the difference, so few"),
        ("triangle", Asked(is_sequential=True), "the test has decided by then with "),
        ("triangle", Asked(aim="similarity"), "if nobody notices, they can be expected to show"),
    ],
)
def test_the_outlook_of_a_panel(method: str, asked: Asked, words: str) -> None:
    said = outlook(plan(method, asked), asked)

    assert said.startswith("12 assessors × 1 = **12 tastings**: ")
    assert words in said


def test_too_few_tastings_are_told() -> None:
    two = plan(assessors=("P1", "P2"))

    assert "However large the difference, so few tastings show it with less than 80 %." in (
        outlook(two, Asked())
    )


def test_the_curve_is_scipys_power() -> None:
    """8 of 12 are needed (FAO document V7180E, Appendix A)."""
    curve = curve_of(plan(), Asked())

    assert curve.shown == pytest.approx(100 * binom.sf(7, 12, 1 / 3 + curve.x / 150))
    assert curve.planned == 30


def test_for_similarity_scores_below_chance_do_not_count() -> None:
    asked = Asked(aim="similarity", p_d=0.5)
    curve = curve_of(plan("triangle", asked), asked)
    # 12 tastings: P(X <= 5) at p_c 2/3 is 0.066, so 4 and 5 show similarity at beta 0.2.
    most = max(x for x in range(13) if binom.cdf(x, 12, 2 / 3) <= 0.2)

    assert curve.shown[0] == pytest.approx(
        100 * (binom.cdf(most, 12, 1 / 3) - binom.cdf(3, 12, 1 / 3))
    )


@pytest.mark.parametrize(
    ("method", "asked"),
    [
        ("triangle", Asked()),
        ("preference", Asked()),
        ("triangle", Asked(is_sequential=True)),
        ("same-different", Asked(d_prime=2.0)),
    ],
)
def test_chart_text_and_table_tell_the_same(method: str, asked: Asked) -> None:
    curve = curve_of(plan(method, asked), asked)
    chart, text, table = power_chart(curve)
    titles = str(chart.to_dict())

    assert curve.x_title in titles
    assert curve.y_title in titles
    assert list(table.columns) == [curve.x_title, curve.y_title]
    assert f"{curve.shown[-1]:.1f}" == table.iloc[-1, 1]
    assert f"at the planned {curve.planned:.3g}" in text
    assert 8 <= len(table) <= 12


def test_methods_side_by_side_mark_the_chosen_one() -> None:
    table = needs_table(TRIANGLE, _needs(1.5, 0.05, 0.2, 20.0))
    row = table.set_index("Method").loc["Triangle test (chosen)"]

    assert (row["Tastings"], row["Cups"], row["mL"]) == (
        "53",
        "159",
        "3\N{NARROW NO-BREAK SPACE}180",
    )
    assert PREFERENCE.name not in set(table["Method"])
    assert A_NOT_A.name in set(table["Method"])
