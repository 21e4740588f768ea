"""The plan in words: a risk that was asked for is not passed off as the one that was reached."""

import pytest
from scipy.stats import binom

from tasting.report.plan_facts import plan_facts
from tests.ui.workshop import planned


def missing(method: str, **more: object) -> str:
    facts = plan_facts(planned("one", method, **more).plan)
    (said,) = (text for name, text in facts.items() if name.startswith("Risk of missing"))
    return said


def test_a_risk_that_was_not_met_stands_beside_the_one_asked_for() -> None:
    """12 preferences show a lead of 40 % where 10 are needed of either: scipy, both tails."""
    power = binom.sf(9, 12, 0.7) + binom.cdf(2, 12, 0.7)

    said = missing("preference", p_d=0.4)
    assert said == f"β asked for: 0.2; with 12 tastings {1 - power:.2f}"
    assert said.endswith("0.75")


def test_a_risk_that_was_met_is_one_number() -> None:
    """8 of 12 are needed: scipy."""
    assert binom.sf(7, 12, 1 / 3 + 0.7 * 2 / 3) > 0.8
    assert missing("triangle", p_d=0.7) == "β = 0.2"


def test_where_assessors_are_counted_no_number_is_claimed() -> None:
    said = missing("preference", replicates=2)

    assert said == "β asked for: 0.2; the test counts assessors, so it may be larger"


def test_a_preference_speaks_of_a_lead_only() -> None:
    facts = plan_facts(planned("one", "preference", p_d=0.4).plan)

    assert facts["Lead not to be missed"] == "40 %"
    assert "Risk of missing a lead this large" in facts
    assert "p_d" not in str(facts)


@pytest.mark.parametrize("aim", ["similarity"])
def test_similarity_keeps_the_risk_that_its_limit_stands_at(aim: str) -> None:
    assert missing("triangle", aim=aim, beta=0.05, p_d=0.3) == "β = 0.05"
