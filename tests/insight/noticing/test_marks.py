"""Sessions beside the curve."""

import pytest
from scipy.stats import binomtest

from tasting.errors import InputError
from tasting.insight.noticing.marks import marks
from tests.insight.workshop import noticed


def mark(id, key="ta", **more):
    return next(one for one in marks(noticed(**more), key) if one.session_id == id)


def test_only_difference_tests_are_marked():
    assert len(marks(noticed(), "ta")) == noticed().fit.sessions


def test_a_mark_lies_at_its_step_and_share():
    """The first session: 15 of 24 triangles at 0.2 g of citric acid in 226 mL (0.88 g/L).
    p_d = 1.5 x/n - 0.5; interval by scipy."""
    found = mark("session-01")
    exact = binomtest(15, 24).proportion_ci(0.95, method="exact")

    assert found.step == pytest.approx(0.2 / 0.226, rel=0.01)
    assert found.noticed.value == pytest.approx(1.5 * 15 / 24 - 0.5)
    assert found.noticed.high == pytest.approx(1.5 * exact.high - 0.5)


def test_what_else_moved_is_named():
    assert mark("session-01").others == ()
    assert mark("session-04").others == ("sugar",)
    assert mark("session-04", "sugar").others == ("titratable acidity",)


def test_one_person_alone_and_the_reference_are_told():
    alone = mark("session-16")

    assert alone.alone
    assert alone.with_reference
    assert not mark("session-01").alone


def test_steps_are_in_the_unit_of_the_driver_on_either_scale():
    assert mark("session-01", scale="log").step == pytest.approx(mark("session-01").step)


def test_a_driver_that_is_not_there_is_named():
    with pytest.raises(InputError, match="not among the drivers"):
        marks(noticed(), "salt")
