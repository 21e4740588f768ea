"""Forecasts and curves."""

import numpy as np
import pytest
from scipy import stats

from tasting.errors import InputError
from tasting.insight.advice.forecast import curve, forecast
from tasting.insight.noticing.model import fit_thresholds
from tasting.panel.methods import METHODS
from tasting.stats.psychometric import TRIANGLE
from tests.insight.workshop import bottle, noticed, versions


def between(a, b, **more):
    shelf = versions()
    return forecast(noticed(), shelf[a], shelf[b], **more)


def by_triangle(found):
    return next(one for one in found.outlooks if one.method is METHODS["triangle"])


def test_the_distance_follows_from_the_weights():
    """By hand: the formula of the squared distance at the estimates."""
    found, said = between("spritz-05", "spritz-04"), noticed()
    w_a, w_s = (said.step(key).weight.estimate.value for key in ("ta", "sugar"))
    a, b = (said.read(versions()[name]) for name in ("spritz-05", "spritz-04"))
    acid, sugar = (b.levels - a.levels) * [w_a, w_s]
    square = acid**2 + sugar**2 + 2 * said.rho.value * acid * sugar

    assert found.d_prime.value == pytest.approx(np.sqrt(square), rel=1e-9)


def test_the_interval_holds_the_estimate_and_carries_over_to_p_c():
    found = between("spritz-05", "spritz-04")
    outlook = by_triangle(found)
    shares = TRIANGLE.function([found.d_prime.low, found.d_prime.value, found.d_prime.high])

    assert found.d_prime.low < found.d_prime.value < found.d_prime.high
    assert [outlook.p_c.low, outlook.p_c.value, outlook.p_c.high] == pytest.approx(shares)


def test_the_chance_to_show_it_is_binomial():
    outlook = by_triangle(between("spritz-05", "spritz-04", n=30))
    # 15 of 30 are needed at alpha = 0.05 (ISO 4120, table A.1, from memory).
    chance = stats.binom.sf(14, 30, outlook.p_c.value)

    assert outlook.critical_number == 15
    assert outlook.shown.value == pytest.approx(chance, rel=1e-9)


def test_too_few_tastings_show_nothing():
    assert by_triangle(between("spritz-05", "spritz-04", n=2)).shown.value == 0


def test_swapping_the_drinks_leaves_the_distance():
    there, back = between("spritz-05", "spritz-04"), between("spritz-04", "spritz-05")

    assert back.d_prime.high == pytest.approx(there.d_prime.high, rel=1e-4)


def test_every_method_with_a_right_answer_is_forecast():
    keys = {m.key for m in METHODS.values() if m.question_kind == "difference" and m.psychometric}

    assert {outlook.method.key for outlook in between("spritz-01", "spritz-02").outlooks} == keys


def test_a_pair_that_was_tasted_is_forecast_near_what_was_found():
    """15 of 24 triangles were right (the sample's first session)."""
    outlook = by_triangle(between("spritz-01", "spritz-02"))

    assert outlook.p_c.low < 15 / 24 < outlook.p_c.high


def test_against_the_reference_the_character_gap_stays():
    found = forecast(noticed(), versions()["spritz-10"], bottle())

    assert found.d_prime.value >= noticed().character_gap.estimate.value


@pytest.mark.parametrize("more", [{}, {"scale": "log"}, {"drivers": ("ta", "sugar", "alcohol")}])
def test_no_drink_is_forecast_to_be_closer_to_the_reference_than_the_gap_alone(more):
    """The squared gap is one term of the squared distance, all of which are at least 0 (the model
    in `distance_model`), so no limit of the distance lies below that of the gap."""
    said = noticed(**more)
    gap = said.character_gap.estimate

    for version in versions().values():
        found = forecast(said, version, bottle()).d_prime
        assert found.high >= gap.high, version.label
        assert found.value >= gap.value - 1e-9


def test_going_beyond_experience_is_said():
    assert any("larger than any" in note for note in between("spritz-01", "spritz-11").cautions)
    assert between("spritz-01", "spritz-02").cautions == ()


def test_without_a_fit_there_is_no_forecast():
    shelf = versions()

    with pytest.raises(InputError, match="Run a triangle test"):
        forecast(fit_thresholds([], {}), shelf["spritz-01"], shelf["spritz-02"])


@pytest.mark.parametrize("scale", ["linear", "log"])
def test_the_curve_rises_from_nothing_inside_its_band(scale):
    drawn = curve(noticed(scale=scale), "ta")

    assert drawn.p_d[0] == pytest.approx([0, 0, 0], abs=1e-12)
    assert np.all(np.diff(drawn.p_d[:, 0]) > 0)
    assert np.all(drawn.p_d[1:, 1] < drawn.p_d[1:, 0])
    assert np.all(drawn.p_d[1:, 0] < drawn.p_d[1:, 2])


@pytest.mark.parametrize("scale", ["linear", "log"])
def test_the_curve_passes_through_the_unit_step(scale):
    said = noticed(scale=scale)
    step = said.step("sugar").step_at_d_prime_1.amount.value
    drawn = curve(said, "sugar", most=step, points=2)

    assert drawn.p_d[-1, 0] == pytest.approx(float(TRIANGLE.p_d(1.0)))


def test_an_unknown_weight_has_no_curve():
    with pytest.raises(InputError, match="not known yet"):
        curve(fit_thresholds([], {}), "ta")


def test_the_expected_distance_is_least_at_the_reference():
    ta, sugar = np.linspace(5.2, 7.2, 21), np.linspace(50, 70, 21)
    steps = np.array([(x - 6.2, y - 60.0) for y in sugar for x in ta])
    expected = noticed().distance.expected(steps, True)
    least = steps[expected.argmin()] + (6.2, 60.0)

    assert least == pytest.approx((6.2, 60.0))
    gap = noticed().character_gap.estimate.value
    assert expected.min() == pytest.approx(gap, rel=1e-4)


def test_without_the_gap_the_distance_starts_at_nothing():
    assert noticed().distance.expected(np.zeros((1, 2)), False) == pytest.approx(0, abs=1e-6)
