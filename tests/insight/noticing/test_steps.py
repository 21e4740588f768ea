"""Steps that are shown, and bounds where the weight may be nothing. By hand from the weights."""

import json
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from tasting.cli.noticing import figures
from tasting.errors import InputError
from tasting.insight.advice.forecast import curve, forecast
from tasting.insight.advice.next_session import next_sessions
from tasting.insight.advice.prior import about_distance
from tasting.insight.advice.target import aim_at_liking, aim_at_reference
from tasting.insight.noticing import words
from tasting.insight.noticing.design import POWERS
from tasting.insight.noticing.distance_model import fit_distance
from tasting.insight.noticing.model import fit_thresholds
from tasting.insight.noticing.steps import (
    NEXT_TO_NOTHING,
    DriverStep,
    StepBound,
    StepsIn,
    noticed_steps,
)
from tasting.stats.psychometric import TRIANGLE
from tests.insight.panels import LEVELS, TA_AND_SUGAR, compared
from tests.insight.workshop import bottle, noticed, versions
from tests.ui.workshop import SPRITZ, UNMEASURED, closed, planned

HALF = float(TRIANGLE.d_prime(2 / 3))
SHELF = {drink.id: drink for drink in (*SPRITZ.versions, UNMEASURED)}


def found(*some, scale="linear"):
    distance, _ = fit_distance(some, TA_AND_SUGAR, scale, (0, 1), 0.95)
    shown = StepsIn(np.array(LEVELS), scale, None, TRIANGLE)
    return distance, noticed_steps(distance, TA_AND_SUGAR, shown)


@pytest.fixture(scope="module")
def guessing():
    """A model of sessions in which 4 of 12 were right: what guessing gives."""
    some = [
        closed(planned("acid"), 4, 8),
        closed(planned("both", a="spritz-2", b="spritz-3"), 4, 8),
        closed(planned("syrup", a="spritz-1", b="spritz-3"), 4, 8),
    ]
    return fit_thresholds(some, SHELF)


def on_a_grid(some, d_prime):
    """Shortest and longest step at a distance among all weights and powers that are likely enough,
    by the binomial likelihood of one driver on a grid."""
    largest = max(one.delta[0] for one in some)
    top, powers = np.linspace(1e-3, 6, 1500), np.linspace(*POWERS, 221)[:, None]
    height = np.zeros((len(powers), len(top)))
    for one in some:
        p = TRIANGLE.function(top * (one.delta[0] / largest) ** powers)
        height += one.count * np.log(p) + (one.n - one.count) * np.log1p(-p)
    steps = largest * (d_prime / top) ** (1 / powers)
    inside = steps[2 * (height.max() - height) <= stats.chi2.ppf(0.95, 1)]
    return inside.min(), inside.max()


# Bound or step


def test_a_weight_that_may_be_zero_gives_a_bound_only():
    some = compared((0.5, 0), 9, 24), compared((0.9, 0), 10, 24)
    _, (acid,) = found(*some)

    assert isinstance(acid, StepBound)
    assert acid.largest_tasted == pytest.approx(0.9)
    for bound, d_prime in ((acid.step_at_d_prime_1, 1.0), (acid.difference_threshold, HALF)):
        assert bound.amount == pytest.approx(on_a_grid(some, d_prime)[0], rel=0.01)
    assert not hasattr(acid.difference_threshold, "percent")


def test_a_weight_that_is_shown_gives_a_step():
    some = compared((0.5, 0), 14, 24), compared((0.9, 0), 18, 24)
    distance, (acid,) = found(*some)

    assert isinstance(acid, DriverStep)
    half = acid.difference_threshold.amount
    assert (half.low, half.high) == pytest.approx(on_a_grid(some, HALF), rel=0.01)
    assert half.value == pytest.approx(HALF / distance.weights["ta"].estimate.value)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(6, 23), min_size=2, max_size=2), st.sampled_from(["linear", "log"]))
def test_every_step_that_is_told_has_two_ends_and_a_test_that_is_passed(counts, scale):
    steps = (0.5, 0.9) if scale == "linear" else (0.1, 0.2)
    some = [compared((d, 0), n, 24) for d, n in zip(steps, counts, strict=True)]
    for one in found(*some, scale=scale)[1]:
        if isinstance(one, DriverStep):
            amount = one.difference_threshold.amount
            assert 0 < amount.low <= amount.value <= amount.high < np.inf
            assert one.weight.p_value <= 0.05
        else:
            assert 0 < one.step_at_d_prime_1.amount <= one.difference_threshold.amount < np.inf


def test_what_counts_as_nothing_is_noticed_in_less_than_one_triangle_of_a_hundred():
    """By the psychometric function; at 1 % a triangle test needs tens of thousands of tastings."""
    assert 0.005 < float(TRIANGLE.p_d(NEXT_TO_NOTHING)) < 0.01


def test_on_the_log_scale_the_bound_is_a_share_of_the_level():
    distance, (acid,) = found(compared((0.1, 0), 9, 24), compared((0.2, 0), 9, 24), scale="log")
    low = distance.steps([1.0])[0, 0, 1]

    assert acid.largest_tasted == pytest.approx(LEVELS[0] * (np.exp(0.2) - 1))
    assert acid.step_at_d_prime_1.amount == pytest.approx(LEVELS[0] * (np.exp(low) - 1))


# Beyond what was tasted


def test_each_end_says_whether_somebody_tasted_it():
    _, (acid,) = found(compared((0.5, 0), 13, 24), compared((1.2, 0), 19, 24))
    half, marks = acid.difference_threshold, acid.difference_threshold.extrapolated

    for end in ("low", "value", "high"):
        assert marks[end] == (getattr(half.amount, end) > 1.05 * 1.2)
    assert marks["high"]


def test_a_step_well_within_what_was_tasted_is_not_extrapolated():
    _, (acid,) = found(*[compared((d, 0), n, 200) for d, n in ((1.0, 130), (3.0, 190))])

    assert not any(acid.difference_threshold.extrapolated.values())
    assert words.extrapolated_in_words(acid.difference_threshold, "g/L") == ""


# In words and figures


def numbers(said):
    return [float(text) for text in re.findall(r"\d+(?:\.\d+)?", said)]


def test_a_bound_is_said_without_estimate_percent_or_pinch(guessing):
    said = words.sentences(guessing)
    acid, sugar = guessing.bounds

    assert guessing.steps == ()
    assert len(said) == 2
    for sentence, bound in zip(said, (acid, sugar), strict=True):
        assert f"{words.more_than(bound)}; the largest step tasted was" in sentence
        assert "in a triangle test" in sentence.casefold()
        assert not re.search(r"%|serving|\(|d′", sentence)
        told = [bound.difference_threshold.amount, bound.largest_tasted]
        assert numbers(sentence) == pytest.approx(told, rel=0.05)


def test_what_would_tell_comes_with_it(guessing):
    (acid,) = [one for one in guessing.refusals if one.about == "ta"]

    assert acid.why == "not shown"
    largest = words.amount_in(guessing.drivers[0], guessing.bounds[0].largest_tasted)
    assert f"larger than {largest}, at least 24 tastings" in acid.remedy


def test_json_keeps_its_keys_and_has_null_where_nothing_can_be_said(guessing):
    bound, step = (figures(one)["steps"][0] for one in (guessing, noticed()))

    assert set(bound) == set(step)
    assert bound["unit_step"] is bound["half_step"] is bound["weight"]["estimate"]["value"] is None
    assert bound["largest_tasted"] == guessing.bounds[0].largest_tasted
    assert bound["larger_than"]["half_step"]["extrapolated"] in (True, False)
    assert step["larger_than"] is None
    assert step["half_step"]["extrapolated"] == {"value": True, "low": False, "high": True}
    assert "Infinity" not in json.dumps(figures(guessing))


# What follows from it


def test_a_bound_has_no_curve(guessing):
    with pytest.raises(InputError, match="not known yet"):
        curve(guessing, "ta")


def test_a_forecast_over_a_bound_says_that_nothing_is_shown(guessing):
    first, second = SPRITZ.versions[:2]

    assert "It is not shown yet that TA is noticed at all." in (
        forecast(guessing, first, second).cautions
    )


def test_no_contour_follows_from_a_bound(guessing):
    assert aim_at_reference(guessing, SPRITZ.versions[0], bottle()).room is None
    assert aim_at_reference(noticed(), versions()["spritz-01"], bottle()).room is not None


def test_the_next_session_assumes_no_smaller_step_than_the_bound_and_says_so(guessing):
    levels = np.array([5.0, 60.0])
    steps = about_distance(guessing, "ta", levels).steps
    best = next_sessions(guessing, "ta", list(SPRITZ.versions), count=1)[0]

    for step, bound in zip(steps, guessing.bounds, strict=True):
        assert step >= bound.step_at_d_prime_1.amount - 1e-12
    said = " ".join(best.reasons)
    assert "No answers show how much TA is noticed yet; " in said
    assert "is assumed as the step of d′ = 1." in said
    assert "No difference test shows that TA is noticed" in said


def test_a_known_step_is_not_called_assumed():
    best = next_sessions(noticed(), "ta", [*versions().values()], count=1)[0]

    assert "No answers show" not in " ".join(best.reasons)


# Tweaks


def test_no_tweak_far_below_a_noticeable_step_is_advised():
    """Each version stays if and only if the whole way is at most a quarter of a d-prime."""
    said = noticed()
    high = [said.step(key).weight.estimate.high for key in ("ta", "sugar")]
    stays = {}
    for id_, version in versions().items():
        aim = aim_at_reference(said, version, bottle())
        way = np.array([aim.target[key].value for key in ("ta", "sugar")])
        way = np.abs(way - said.read(version).levels) @ high
        stays[id_] = bool(aim.stay)
        assert stays[id_] == (way < NEXT_TO_NOTHING)
    assert [id_ for id_, stay in stays.items() if stay] == ["spritz-10", "spritz-12"]


def test_levels_that_are_not_sure_limit_the_advice_to_stay():
    aim = aim_at_reference(noticed(), versions()["spritz-12"], bottle())

    assert aim.stay.startswith("At the computed values no step")
    assert aim.there == {"ta", "sugar"}


def test_before_anybody_tasted_sugar_a_speck_of_it_is_not_advised():
    """2 % of the level is less than any published noticed cut (see `identifiability`)."""
    said = fit_thresholds([closed(planned("acid"), 11, 1)], SHELF)
    assert said.step("sugar") is said.bound("sugar") is None

    assert aim_at_reference(said, versions()["spritz-12"], bottle()).stay
    assert not aim_at_reference(said, versions()["spritz-01"], bottle()).stay


def test_a_step_towards_what_is_liked_says_that_it_may_do_nothing():
    aim = aim_at_liking(noticed(), versions()["spritz-11"])
    assert (aim.stay, aim.cautions) == ("", ())
    there = versions()["spritz-11"].model_copy(update={"parts": aim.move.parts})

    assert aim_at_liking(noticed(), there).stay


def test_a_way_that_nobody_is_shown_to_notice_says_so(guessing):
    aim = aim_at_reference(guessing, SPRITZ.versions[0], bottle())

    assert any("not shown yet that TA is noticed" in one for one in aim.cautions)
