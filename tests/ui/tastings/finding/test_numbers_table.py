"""The numbers of a finding as tables, and the sequence as a chart."""

import pytest
from scipy.stats import binomtest, norm

from tasting.insight.findings.finding import conclude
from tasting.panel.methods import A_NOT_A, PAIRED, PREFERENCE, TRIANGLE
from tasting.ui.tastings.finding.numbers_table import NONE, contrast_table, numbers_table
from tasting.ui.tastings.finding.panel_tables import alarm_sentence
from tasting.ui.tastings.finding.sequence_chart import sequence_chart
from tests.insight.tallies import contrasted, tally_by_assessor, tally_in_order, tally_of


def numbers(tally) -> dict[str, tuple[str, str, str]]:
    """By the quantity; a second row of the same name is called "The same"."""
    every = conclude(tally).evidence.numbers(tally)
    return {one.quantity: (one.value, one.interval, one.how) for one in every}


def test_a_triangle_in_numbers() -> None:
    """20 of 30 by scipy's binomtest."""
    found = numbers(tally_of(TRIANGLE, 20, 30))
    test = binomtest(20, 30, 1 / 3, "greater")
    ends = binomtest(20, 30).proportion_ci(0.95, "exact")

    assert found["p"][0] == f"{test.pvalue:.4f}"
    assert found["Share of answers that count"][:2] == (
        "20 of 30, 66.7 %",
        f"{100 * ends.low:.0f}–{100 * ends.high:.0f} %",
    )
    assert found["Share who notice, p_d"][0] == "50 %"
    assert found["Sensory distance d′"] == (
        "2.32", "1.32–3.33", "exact: coverage is never below 95 %",
    )  # fmt: skip


def test_on_a_phone_the_interval_stands_behind_its_value() -> None:
    table = numbers_table(conclude(tally_of(TRIANGLE, 20, 30)))

    assert list(table.columns) == ["Quantity", "Value (95 % interval)", "How"]
    assert "2.32 (1.32–3.33)" in set(table["Value (95 % interval)"])
    assert table["Value (95 % interval)"][0] == "0.0002"


def test_the_approximate_formula_is_for_comparison_only() -> None:
    table = numbers_table(conclude(tally_of(TRIANGLE, 35, 100)))
    at = list(table["Quantity"]).index("Upper limit of p_d (80 % confidence)")

    assert table["Quantity"][at + 1] == "Upper limit of p_d, approximate"
    assert table["How"][at + 1] == "normal formula of the standards, for comparison only"
    assert table["How"][at] == "one-sided at β = 0.2, exact"


def test_replicates_show_their_spread_and_that_pooling_is_allowed() -> None:
    found = numbers(tally_by_assessor(TRIANGLE, [(3, 3)] * 7 + [(0, 3)] * 13))

    assert "pooled, which is allowed" in found["p"][2]
    assert float(found["Variation between assessors, γ"][0]) > 0.5
    assert "model of replicates" in found["Upper limit of p_d (80 % confidence)"][2]
    assert "from the share above" not in found["Share who notice, p_d"][2]


def test_replicated_preferences_show_the_inflation() -> None:
    """Three answers each, all alike: gamma 1, so the variance is 1 + 2 x 1 = 3 times binomial."""
    found = numbers(tally_by_assessor(PREFERENCE, [(3, 3)] * 7 + [(0, 3)] * 3))

    assert "exact sign-flip test of whole assessors" in found["p"][2]
    assert found["p if all answers were pooled"][0] == f"{binomtest(21, 30).pvalue:.4f}"
    assert "3.0 times what it assumes" in found["p if all answers were pooled"][2]


def test_answers_without_a_preference_are_shown_three_ways() -> None:
    found = numbers(tally_of(PREFERENCE, 20, 30, undecided=11))

    assert found["p, no preference left out"][0] == f"{binomtest(20, 30).pvalue:.4f}"
    assert found["p, no preference halved"][0] == f"{binomtest(25, 41).pvalue:.4f}"
    assert "Davidson 1970" in found["p, no preference modelled"][2]


def test_a_sequential_stop_is_not_passed_over() -> None:
    found = numbers(tally_in_order(TRIANGLE, "++++++", sequential=True))

    assert "allowing for the sequential stop" in found["Sensory distance d′"][2]
    assert "allowing for the sequential stop" in found["Share who notice, p_d"][2]
    assert found["Share of answers that count"][1] == NONE


def test_two_sided_the_share_names_its_sample() -> None:
    """10 of 30 chose v2, so 20 chose v1: sqrt 2 times the normal quantile of 2/3."""
    found = numbers(tally_of(PAIRED, 10, 30))

    assert found["Share of choices of v1"][0] == "20 of 30, 66.7 %"
    assert found["Sensory distance d′, in favour of v1"][:2] == (
        f"{2**0.5 * norm.ppf(2 / 3):.2f}",
        "−0.10 – 1.33",
    )
    assert found["Lead"][0] == "33.3 %"


def test_the_mean_of_assessors_is_told_of_the_sample_that_leads() -> None:
    found = numbers(tally_by_assessor(PAIRED, [(0, 2)] * 6 + [(1, 2)] * 2))

    assert float(found["Mean share of choices of v1, μ"][0]) == pytest.approx(14 / 16, abs=0.01)


@pytest.mark.parametrize("kind", [PREFERENCE, PAIRED])
def test_of_two_choices_there_is_a_lead_and_no_p_d(kind) -> None:
    tally = tally_of(kind, 10, 30)
    every = " ".join(f"{name} {how}" for name, (_, _, how) in numbers(tally).items())

    assert "p_d" not in every
    assert "smallest lead that this many tastings detect" in every


def test_exact_is_said_with_what_it_rests_on() -> None:
    """Uneven replicates have no model, so the interval takes answers as independent."""
    once, again = (numbers(tally_by_assessor(TRIANGLE, scores)) for scores in (
        [(1, 1)] * 9 + [(0, 1)] * 3, [(2, 3)] * 3 + [(1, 2)] * 3))  # fmt: skip

    assert once["Share of answers that count"][2].startswith("exact (")
    for name in ("Share of answers that count", "Share who notice, p_d", "Sensory distance d′"):
        assert again[name][2].startswith("exact if answers are independent")


def test_a_contrast_has_a_table_of_its_answers() -> None:
    found = conclude(contrasted(A_NOT_A, (6, 4, 3, 1), (2, 2, 4, 6)))
    table = contrast_table(found)

    assert list(table["Sets without a difference"]) == ["6", "4", "3", "1"]
    assert list(table["Sets with a difference"]) == ["2", "2", "4", "6"]
    assert "Fisher's exact test" in numbers(found.tally)["p"][2]
    assert contrast_table(conclude(tally_of(TRIANGLE, 5, 10))) is None


@pytest.mark.parametrize(
    ("answers", "outcome"),
    [
        ("++++++", "It reached the line for a difference after 6 answers."),
        ("-----", "It reached the lower line (no difference shown) after 5 answers."),
        ("+-+-", "It stayed between the lines for all 4 answers."),
    ],
)
def test_the_sequence_in_chart_text_and_table(answers: str, outcome: str) -> None:
    """Slope ln(0.6667/0.4667)/ln(2.2857) = 0.4315, upper line 3.354: Wald 1947, by hand."""
    tally = tally_in_order(TRIANGLE, answers, sequential=True)
    chart, text, table = sequence_chart(tally)

    assert outcome in text
    assert "Correct answers" in str(chart.to_dict())
    assert len(table) == len(answers)
    assert table["Difference at or above"].iloc[0] == f"{3.354 + 0.4315:.2f}"
    assert table["Test"].iloc[-1] != table["Test"].iloc[0] or "stayed" in outcome


@pytest.mark.parametrize(("looks", "words"), [(1, "a 5 % chance"), (3, "14 % chance")])
def test_how_soon_looking_gives_a_false_alarm(looks: int, words: str) -> None:
    assert words in alarm_sentence(looks)
