"""What a sequential test weighs: Wald's decision, and estimates that allow for the stop."""

from math import log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tasting.insight.findings.evidence import evaluate
from tasting.insight.findings.verdict import Verdict
from tasting.panel.methods import TRIANGLE
from tests.insight.tallies import tally_in_order, tally_of

few = settings(max_examples=25, deadline=None)


def by_hand(answers: str, p_d: float, alpha: float, risk: float) -> tuple[Verdict, int | None]:
    """Wald 1947: the likelihood ratio against A = (1-β)/α and B = β/(1-α), answer by answer."""
    p_0, p_1 = 1 / 3, 1 / 3 + 2 / 3 * p_d
    ratio = 0.0
    for place, one in enumerate(answers, start=1):
        ratio += log(p_1 / p_0) if one == "+" else log((1 - p_1) / (1 - p_0))
        if ratio >= log((1 - risk) / alpha):
            return Verdict.DIFFERENCE, place
        if ratio <= log(risk / (1 - alpha)):
            return Verdict.SIMILARITY, place
    return Verdict.NEITHER, None


@given(st.text("+-", min_size=1, max_size=40), st.sampled_from([0.3, 0.5]), st.booleans())
@few
def test_a_sequential_test_decides_as_the_likelihood_ratio_does(answers, p_d, careful) -> None:
    alpha, risk = (0.01, 0.05) if careful else (0.05, 0.2)
    plan = {"sequential": True, "p_d": p_d, "alpha": alpha, "beta": risk, "similarity_aim": True}
    tally = tally_in_order(TRIANGLE, answers, **plan)
    found = evaluate(tally)

    assert (found.verdict, found.decided_after) == by_hand(answers, p_d, alpha, risk)


@pytest.mark.parametrize(
    ("answers", "verdict", "after"),
    [
        ("++++++--", Verdict.DIFFERENCE, 6),  # what comes after the decision is not looked at
        ("-----+++", Verdict.SIMILARITY, 5),
        ("+-+-", Verdict.NEITHER, None),
    ],
)
def test_the_first_decision_stands(answers: str, verdict: Verdict, after: int | None) -> None:
    found = evaluate(tally_in_order(TRIANGLE, answers, sequential=True, similarity_aim=True))

    assert (found.verdict, found.decided_after) == (verdict, after)


def test_estimates_of_a_sequential_test_rest_on_the_answers_up_to_the_decision() -> None:
    found, longer = (
        evaluate(tally_in_order(TRIANGLE, answers, sequential=True))
        for answers in ("-+++++++", "-+++++++-----")
    )

    assert found.decided_after == longer.decided_after == 8
    assert (found.noticed, found.distance) == (longer.noticed, longer.distance)
    # As many answers, planned so: p_d at least (1/40)-quantile of 7 of 8, (p_c - 1/3) / (2/3).
    fixed = evaluate(tally_of(TRIANGLE, 7, 8))
    assert found.noticed is not None
    assert fixed.noticed is not None
    # The share up to the stop leans upwards; the middle of the stopped test does not.
    assert found.noticed.value < fixed.noticed.value
    assert found.noticed.low < fixed.noticed.low


def test_looking_as_one_goes_leaves_no_p_value_and_no_critical_number() -> None:
    found = evaluate(tally_in_order(TRIANGLE, "++++++", sequential=True))

    assert not {"p_value", "critical", "detectable_p_d", "limit"} & set(found.__slots__)
    assert found.noticed is not None
