"""What people notice, from sessions to steps at the bar; the sample workshop's stated truth."""

import json

import numpy as np
import pytest

from sample_sessions import FOLDER
from tasting.drink.composition import compose
from tasting.drink.formula import Part
from tasting.errors import InputError, SealedError
from tasting.insight.noticing.fit_check import fit_check
from tasting.insight.noticing.model import fit_thresholds
from tasting.stats.psychometric import TETRAD, TRIANGLE
from tests.insight.workshop import bottle, document, noticed, versions
from tests.ui.workshop import SPRITZ, UNMEASURED, closed, opened, planned

TRUTH = json.loads((FOLDER / "truth.json").read_text("utf-8"))


def holds(estimate, truth):
    return estimate.low <= truth <= estimate.high


# The truth that the invented answers were drawn from


@pytest.mark.parametrize("key", ["ta", "sugar"])
def test_the_workshop_gives_its_weights_back(key):
    found = noticed().step(key).weight.estimate

    assert holds(found, TRUTH["difference"][f"{key}_per_g_per_l"])


def test_the_workshop_gives_its_character_gap_and_correlation_back():
    assert holds(noticed().character_gap.estimate, TRUTH["difference"]["character_gap"])
    assert holds(noticed().rho, TRUTH["difference"]["rho"])


@pytest.mark.parametrize("name", ["more sour", "sweeter"])
@pytest.mark.parametrize("key", ["ta", "sugar"])
def test_the_workshop_gives_its_attributes_back(name, key):
    attribute = next(one for one in noticed().attributes if one.name == name)

    assert holds(attribute.weights[key].estimate, TRUTH["directions"][name][f"{key}_per_g_per_l"])


def test_the_workshop_gives_its_ideal_back():
    (ideal,) = noticed().ideals

    assert holds(ideal.level, TRUTH["preference"]["ideal_ta_g_per_l"])
    assert holds(ideal.curvature, TRUTH["preference"]["curvature"])


def test_the_invented_panel_does_not_differ_among_itself():
    assert holds(noticed().spread, 0.0)


# Steps


def test_the_unit_step_is_one_over_the_weight():
    step = noticed().step("ta")

    assert step.step_at_d_prime_1.amount.value == pytest.approx(1 / step.weight.estimate.value)
    assert step.step_at_d_prime_1.amount.low < 1 / step.weight.estimate.high


def test_half_detect_the_half_step():
    """p_d = 1/2: two thirds of the triangles are right (ISO 4120: p_c = p_d + (1 - p_d)/3)."""
    step = noticed().step("sugar")
    d_prime = step.weight.estimate.value * step.difference_threshold.amount.value

    assert float(TRIANGLE.function(d_prime)) == pytest.approx(2 / 3, rel=1e-9)


def test_half_may_be_meant_for_another_test():
    step = fit_thresholds(document().sessions, document().drink, half_by=TETRAD).step("ta")
    d_prime = step.weight.estimate.value * step.difference_threshold.amount.value

    assert float(TETRAD.function(d_prime)) == pytest.approx(2 / 3, rel=1e-9)


@pytest.mark.parametrize("key", ["ta", "sugar"])
def test_the_pinch_makes_the_step(key):
    """Composing the version with the pinch in it gives the level plus the step."""
    step = noticed().step(key)
    at = noticed().at
    for pinch in step.step_at_d_prime_1.practice:
        part = Part.model_validate(
            {
                "ingredient": pinch.key,
                "amount": f"{pinch.amount.value * at.servings!r} {pinch.unit}",
            }
        )
        after = compose(at.model_copy(update={"parts": (*at.parts, part)}))
        reached = getattr(after, step.driver.figure) - step.level
        assert reached == pytest.approx(step.step_at_d_prime_1.amount.value, rel=1e-5)


def test_a_step_is_made_of_grams_or_millilitres_in_a_serving():
    acid, juice, *_ = noticed().step("ta").step_at_d_prime_1.practice

    assert (acid.key, acid.unit, juice.key, juice.unit) == (
        "citric-acid",
        "g",
        "lemon-juice",
        "mL",
    )
    assert acid.amount.value == pytest.approx(0.093, abs=5e-4)
    assert juice.amount.value == pytest.approx(2.3, abs=0.05)
    assert juice.serving_ml == pytest.approx(225, abs=0.5)


def test_steps_are_told_for_the_version_that_is_asked_for():
    first = versions()["spritz-01"]
    step = fit_thresholds(document().sessions, document().drink, at=first).step("ta")

    assert step.level == pytest.approx(compose(first).ta_g_per_l)
    assert step.step_at_d_prime_1.percent.value == pytest.approx(
        100 * step.step_at_d_prime_1.amount.value / step.level
    )


def test_sugar_steps_lie_among_published_ones():
    """Plausibility only, the answers are invented: noticed cuts of sugar from 4.2 % (fruit nectars,
    2018, Food Res Int 107:371), Weber fractions up to 33 % (npj Sci Food 2022, 6:33)."""
    assert 4.2 <= noticed().step("sugar").step_at_d_prime_1.percent.value <= 33


def test_on_the_log_scale_a_step_is_a_ratio():
    step = noticed(scale="log").step("ta")
    ratio = 1 + step.step_at_d_prime_1.percent.value / 100

    assert step.weight.estimate.value * np.log(ratio) == pytest.approx(1)


def test_a_bottle_that_nobody_titrated_is_left_out_and_said_so():
    sessions = [closed(planned("known"), 8, 4), closed(planned("unknown", a="S"), 8, 4)]
    shelf = {drink.id: drink for drink in (*SPRITZ.versions, UNMEASURED)}
    found = fit_thresholds(sessions, shelf)

    assert found.session_ids == ("known",)
    assert "TA" in next(one.remedy for one in found.refusals if one.why == "level unknown")


def test_without_sessions_everything_is_refused_with_a_cure():
    found = fit_thresholds([], {})

    assert found.steps == ()
    assert {one.about for one in found.refusals} == {"difference", "direction", "preference"}
    assert all(one.remedy for one in found.refusals)


def test_an_open_session_stays_sealed():
    with pytest.raises(SealedError):
        fit_thresholds([opened(planned("open"))], {})


# Fit


def test_the_model_fits_the_data_that_it_drew():
    found = fit_check(noticed(), draws=99)

    assert found.p_value > 0.05
    assert found.deviance == pytest.approx(noticed().fit.deviance)


def test_a_drink_that_spoiled_on_one_evening_does_not_fit():
    """The same pair: noticed by nobody, then by everybody."""
    sessions = [
        closed(planned("fresh", replicates=2), 8, 16),
        closed(planned("spoiled", replicates=2), 24, 0),
    ]
    shelf = {drink.id: drink for drink in SPRITZ.versions}

    assert fit_check(fit_thresholds(sessions, shelf), draws=99).p_value < 0.05


def test_a_fit_that_is_not_there_is_not_checked():
    with pytest.raises(InputError, match="no difference test"):
        fit_check(fit_thresholds([], {}))
    with pytest.raises(InputError, match="at least 19"):
        fit_check(noticed(), draws=5)


def test_the_fit_counts_what_it_rests_on():
    fit = noticed().fit

    assert fit.sessions == 13
    assert fit.aic == pytest.approx(2 * fit.parameters - 2 * fit.log_likelihood)
    assert bottle().id in {
        session.plan.b.id for session in document().sessions if session.plan.b.kind == "reference"
    }
