"""What a sequential test weighs: Wald's decision, and estimates that allow for the stop."""

from dataclasses import replace
from datetime import timedelta
from math import log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tasting.insight.findings.evidence import evaluate
from tasting.insight.findings.finding import Finding, finding
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import Verdict
from tasting.panel.entries import Exclusion
from tasting.panel.methods import TRIANGLE
from tasting.panel.session import Session
from tasting.stats.sequential import EACH, Looks
from tests.insight.tallies import tally_in_order, tally_of
from tests.ui.workshop import START, answered, opened, planned

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


LOOKS = {"sequential": True, "p_d": 0.5, "beta": 0.1, "first_look": 5, "look_every": 2}
CORRECTED = START + timedelta(days=31, hours=2)


def with_looks(right: int, wrong: int, **more: object) -> Finding:
    session = answered(opened(planned("run", **LOOKS)), right, wrong)
    return finding(Session.model_validate({**dict(session), "closed_at": CORRECTED, **more}))


def test_it_decides_at_looks_only_and_says_when_they_were() -> None:
    """5 of 5 decide at the first look; the sixth is not looked at."""
    found = with_looks(6, 0)

    assert (found.evidence.verdict, found.evidence.decided_after) == (Verdict.DIFFERENCE, 5)
    assert "p_d = 0.5; it looks after 5 answers, then after every 2 more)" in found.sentences[0]
    numbers = {one.quantity: one.value for one in found.evidence.numbers(found.tally)}
    assert (numbers["Actual α"], numbers["Actual β"]) == ("0.0303", "0.0303")


def test_between_looks_no_line_is_crossed() -> None:
    """4 of 4 wrong are below the lower line, and a right one brings it back before the look."""
    tally = Tally.of_session(answered(opened(planned("run", **LOOKS)), 0, 4))
    assert evaluate(tally).decided_after is None
    assert evaluate(replace(tally, design=replace(tally.design, looks=EACH))).decided_after == 4


def test_an_excluded_assessor_leaves_the_looks_where_they_were() -> None:
    """Attack: no answer more or less moves a look. 4 of 4 count at the first, which is short of 5
    of 5 there, and 6 of 6 at the second, after 7 answers."""
    gone = Exclusion(assessor="Assessor 1", reason="a cold", made_at=CORRECTED)
    session = answered(opened(planned("run", **LOOKS)), 7, 0)
    excluded = session.model_copy(update={"exclusions": (gone,)})

    assert excluded.told_after == session.told_after == 5
    assert excluded.counted_looks == Looks((4, 6), 2)
    assert evaluate(Tally.of_session(excluded)).decided_after == 6


def test_what_corrections_changed_after_a_look_is_a_caution() -> None:
    gone = Exclusion(assessor="Assessor 1", reason="a cold", made_at=CORRECTED)
    found = with_looks(5, 2, exclusions=(gone,))

    assert (
        "The host was shown a decision after 5 answers, as first given. With the "
        "corrections, of the answers that count, it had not decided."
    ) in found.cautions
    assert not any("as first given" in one for one in with_looks(5, 2).cautions)
