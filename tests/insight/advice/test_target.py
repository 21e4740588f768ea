"""Where to go with acid and sugar."""

import numpy as np
import pytest

from tasting.drink.composition import compose
from tasting.errors import InputError
from tasting.insight.advice.target import aim_at_liking, aim_at_reference
from tasting.insight.noticing.model import fit_thresholds
from tests.insight.workshop import bottle, noticed, versions
from tests.ui.workshop import UNMEASURED

LAST = "spritz-11"


def at_reference():
    return aim_at_reference(noticed(), versions()[LAST], bottle())


def test_the_tweak_arrives_at_the_acid_and_sugar_of_the_reference():
    """By the composition of the tweaked version; label and titration of the bottle."""
    after = compose(at_reference().version(versions()[LAST]))

    assert (after.ta_g_per_l, after.sugar_g_per_l) == pytest.approx((6.2, 60.0), rel=1e-3)


def test_what_is_left_at_the_reference_is_the_character_gap():
    left, gap = at_reference().left, noticed().character_gap.estimate

    assert left.value == pytest.approx(gap.value, rel=1e-3)


def test_the_region_is_as_wide_as_what_is_not_known():
    """The outline reaches sqrt(5.991/3.841) times the single half-width (chi-square, 2 and 1)."""
    found = at_reference()
    acid = found.region[:, 0]
    half = (found.target["ta"].high - found.target["ta"].low) / 2

    assert (acid.max() - acid.min()) / 2 == pytest.approx(half * np.sqrt(5.991 / 3.841), rel=0.01)


def test_on_the_edge_of_the_room_one_d_prime_is_added():
    found, said = at_reference(), noticed()
    w_a, w_s = (said.step(key).weight.estimate.value for key in ("ta", "sugar"))
    acid, sugar = ((found.room - [6.2, 60.0]) * [w_a, w_s]).T
    added = acid**2 + sugar**2 + 2 * said.rho.value * acid * sugar

    assert added == pytest.approx(np.ones_like(added))


def test_levels_that_are_less_sure_than_noticeable_are_said():
    (caution,) = at_reference().cautions

    assert caution.endswith("(0.41 g/L; about 1 in 8 notice). Titrate both.")


def test_a_reference_without_acidity_cannot_be_aimed_at():
    with pytest.raises(InputError, match="not known; measure"):
        aim_at_reference(noticed(), versions()[LAST], UNMEASURED)


def test_the_reference_can_be_aimed_at_before_anybody_tasted():
    found = aim_at_reference(fit_thresholds([], {}), versions()[LAST], bottle())

    assert (found.left, found.room) == (None, None)
    assert found.move.reached


def test_what_is_left_is_open_where_a_driver_of_the_reference_is_not_known():
    """A label says nothing of dissolved gas."""
    said = noticed(drivers=("ta", "sugar", "co2"))

    assert aim_at_reference(said, versions()[LAST], bottle()).left is None


def test_the_best_liked_acidity_is_arrived_at():
    found = aim_at_liking(noticed(), versions()[LAST])
    after = compose(found.version(versions()[LAST]))

    assert after.ta_g_per_l == pytest.approx(noticed().ideals[0].level.value, rel=1e-3)


def test_a_liking_that_is_not_bracketed_names_the_session_that_would_tell():
    with pytest.raises(InputError, match="Run preference tests"):
        aim_at_liking(fit_thresholds([], {}), versions()[LAST])
