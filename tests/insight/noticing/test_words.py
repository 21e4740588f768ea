"""What people notice, in sentences. The expected numbers follow from the definitions."""

import math
from dataclasses import replace
from math import inf

import pytest

from tasting import wording
from tasting.insight.noticing import words
from tasting.insight.noticing.distance_model import AgainstZero
from tasting.insight.noticing.drivers import SUGAR, TA
from tasting.insight.noticing.marks import noticed_by_triangle
from tasting.insight.noticing.model import fit_thresholds
from tasting.stats.results import Estimate, Interval
from tests.insight.workshop import bottle, document, noticed
from tests.ui.workshop import SPRITZ


def estimate(value, low, high):
    return Estimate(value, Interval(low, high, 0.95))


def test_each_step_is_told_in_grams_in_percent_and_in_practice():
    half, unit = words.step_in_words(noticed(), noticed().step("ta"))
    step = noticed().step("ta")

    assert f"{step.difference_threshold.amount.value:.2f} g/L" in half
    assert f"{step.difference_threshold.percent.value:.0f} %" in half
    assert "citric acid" in half
    assert half.startswith("Half of assessors notice ")
    assert "more acid in a triangle test, " in half
    assert "lemon juice, in a 225 mL serving. Extrapolated: the largest step tasted was" in half
    assert unit.endswith("lemon juice, in a 225 mL serving.")
    assert f"{step.step_at_d_prime_1.amount.value:.2f} g/L" in unit


def test_without_a_version_nothing_is_said_of_practice():
    found = replace(noticed(), at=None)
    step = found.steps[0]
    bare = replace(step, difference_threshold=replace(step.difference_threshold, practice=()))

    assert "serving" not in words.step_in_words(found, bare)[0]


def test_a_gap_that_may_be_nothing_says_so():
    gap = AgainstZero(estimate(1.0, 0.0, 2.0), 1.0, 0.3)
    sure = replace(gap, estimate=estimate(1.0, 0.5, 2.0))

    assert words.gap_in_words(gap, (TA,)).endswith("It could be zero.")
    assert not words.gap_in_words(sure, (TA,)).endswith("It could be zero.")


def test_a_gap_is_what_the_drivers_of_the_model_do_not_explain():
    gap = AgainstZero(estimate(1.0, 0.5, 2.0), 1.0, 0.3)

    assert words.gap_in_words(gap, (TA, SUGAR)) == (
        "What acid and sugar do not explain of the difference to the reference: d′ 1.0 (0.50–2.0). "
        "In a triangle test 13 % (3–41 %) of assessors would notice it."
    )
    assert words.gap_in_words(gap, (SUGAR,)).startswith("What sugar does not explain of the diff")


def test_a_distance_of_one_is_noticed_in_an_eighth_of_triangles():
    """p_c = 0.418 at d' = 1 in the triangle test (Ennis 1993, J Sens Stud 8:353, from memory)."""
    share = noticed_by_triangle(estimate(1.0, 0.0, inf))

    assert share.value == pytest.approx((0.418 - 1 / 3) / (2 / 3), abs=0.001)
    assert (share.low, share.high) == pytest.approx((0.0, 1.0), abs=1e-9)


@pytest.mark.parametrize(
    ("ends", "said"),
    [((0.1, 0.9), "more than each alone"), ((-0.9, -0.1), "hides a part"), ((-0.4, 0.7), "open")],
)
def test_how_acid_and_sugar_add_up_follows_the_interval(ends, said):
    assert said in words.together_in_words(estimate(sum(ends) / 2, *ends))


def test_an_attribute_tells_what_each_driver_does():
    sour = next(one for one in noticed().attributes if one.name == "more sour")

    said = words.attribute_in_words(sour, noticed())
    assert said.startswith("“more sour”: 1 g/L more TA adds d′")
    assert "1 g/L more sugar adds d′ −" in said


def test_on_the_log_scale_an_attribute_is_told_for_a_tenth_more():
    found = noticed(scale="log")

    assert "10 % more TA" in words.attribute_in_words(found.attributes[0], found)


def test_the_ideal_is_told_in_grams_on_both_scales():
    log = noticed(scale="log")
    told = wording.number(math.exp(log.ideals[0].level.value))

    assert words.ideal_in_words(noticed().ideals[0], noticed()).startswith("Liked best: 6.0 g/L")
    assert words.ideal_in_words(log.ideals[0], log).startswith(f"Liked best: {told} g/L")


def test_nothing_tasted_says_nothing():
    found = fit_thresholds([], {version.id: version for version in SPRITZ.versions})

    assert words.sentences(found) == words.details(found) == ()


def test_the_fit_says_what_it_rests_on():
    said = words.fit_in_words(noticed().fit)
    tests = [one for one in document().sessions if one.plan.procedure.question_kind == "difference"]

    assert said.startswith(f"{len(tests)} difference tests with ")
    assert "log-likelihood −" in said
    assert bottle().name not in said


def test_few_tastings_say_that_a_step_is_shown_by_luck():
    few = replace(noticed(), fit=replace(noticed().fit, tastings=18))

    assert words.assumptions(few).startswith("With 18 tastings a step is shown only if answers ran")
    assert "ran high" not in words.assumptions(noticed())
    assert "ran high" not in words.assumptions(replace(few, noticed=few.bounds))
