"""The curve of what a panel can show, and what every method needs."""

import pytest
from scipy.stats import binom

from tasting.panel.design import TestDesign
from tasting.panel.methods import A_NOT_A, PREFERENCE, SAME_DIFFERENT, TRIANGLE
from tasting.ui.tastings.planning.power_chart import curve_of, needs_table, power_chart
from tasting.ui.tastings.planning.size import needs_of


def test_the_curve_is_scipys_power() -> None:
    """8 of 12 are needed (FAO document V7180E, Appendix A)."""
    curve = curve_of(TestDesign(TRIANGLE), 12)

    assert curve.shown == pytest.approx(100 * binom.sf(7, 12, 1 / 3 + curve.x / 150))
    assert curve.planned == 30


def test_for_similarity_scores_below_chance_do_not_count() -> None:
    curve = curve_of(TestDesign(TRIANGLE, aim="similarity", p_d=0.5), 12)
    # 12 tastings: P(X <= 5) at p_c 2/3 is 0.066, so 4 and 5 show similarity at beta 0.2.
    most = max(x for x in range(13) if binom.cdf(x, 12, 2 / 3) <= 0.2)

    assert curve.shown[0] == pytest.approx(
        100 * (binom.cdf(most, 12, 1 / 3) - binom.cdf(3, 12, 1 / 3))
    )


@pytest.mark.parametrize(
    "design",
    [
        TestDesign(TRIANGLE),
        TestDesign(PREFERENCE),
        TestDesign(TRIANGLE, sequential=True),
        TestDesign(SAME_DIFFERENT, d_prime=2.0),
    ],
    ids=lambda design: f"{design.method}-{design.sequential}",
)
def test_chart_text_and_table_tell_the_same(design: TestDesign) -> None:
    curve = curve_of(design, 12)
    chart, text, table = power_chart(curve)
    titles = str(chart.to_dict())

    assert curve.x_title in titles
    assert curve.y_title in titles
    assert list(table.columns) == [curve.x_title, curve.y_title]
    assert f"{curve.shown[-1]:.1f}" == table.iloc[-1, 1]
    assert f"at the planned {curve.planned:.3g}" in text
    assert 8 <= len(table) <= 12


def test_methods_side_by_side_mark_the_chosen_one() -> None:
    table = needs_table(TRIANGLE, needs_of(TestDesign(TRIANGLE, d_prime=1.5), 20.0))
    row = table.set_index("Method").loc["Triangle test (chosen)"]

    assert (row["Tastings"], row["Cups"], row["mL"]) == (
        "53",
        "159",
        "3\N{NARROW NO-BREAK SPACE}180",
    )
    assert PREFERENCE.name not in set(table["Method"])
    assert A_NOT_A.name in set(table["Method"])
