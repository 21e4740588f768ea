"""From sessions to plain comparisons, and the doubts of the levels."""

import numpy as np
import pytest

from tasting.drink.composition import compose
from tasting.errors import InputError, SealedError
from tasting.insight.noticing.comparisons import comparisons, difference_components
from tasting.insight.noticing.drivers import DRIVERS, drivers_named, reading
from tasting.store.documents import Document
from tests.drink.glass import version
from tests.ui.workshop import (
    MEASURED,
    SPRITZ,
    UNMEASURED,
    answered,
    closed,
    opened,
    planned,
    some_closed,
)

DRINKS = Document(formulas=(SPRITZ,), references=(MEASURED, UNMEASURED))
BOTH = drivers_named(["ta", "sugar"])


def only(session, drivers=BOTH, scale="linear"):
    (one,) = comparisons([session], DRINKS.drink, drivers, scale)
    return one


def test_answers_are_counted_for_each_assessor():
    one = only(closed(planned("acid", replicates=2), 15, 9))

    assert (one.n, one.count, len(one.counts)) == (24, 15, 12)
    assert {counted.n for counted in one.counts} == {2}


def test_an_expected_sample_a_speaks_for_a():
    assert only(closed(planned("p", "paired", expected="A"), 9, 3)).lead == -1
    assert only(closed(planned("p", "paired", expected="B"), 9, 3)).lead == 1


def test_the_difference_is_b_minus_a_by_composition():
    one = only(closed(planned("acid"), 9, 3))
    made = [compose(version_).ta_g_per_l for version_ in SPRITZ.versions[:2]]

    assert one.delta[0] == pytest.approx(made[1] - made[0], rel=1e-12)


def test_logarithms_give_ratios():
    linear, log = (only(closed(planned("acid"), 9, 3), scale=s) for s in ("linear", "log"))

    assert np.exp(log.delta) == pytest.approx(linear.b.levels / linear.a.levels)


def test_a_level_of_zero_has_no_logarithm():
    drivers = drivers_named(["alcohol"])

    with pytest.raises(InputError, match="no logarithm"):
        only(closed(planned("acid"), 9, 3), drivers, "log")


def test_a_reference_without_acidity_is_not_known():
    assert not only(closed(planned("u", a="S"), 9, 3)).known


def test_sessions_without_answers_are_left_out():
    found = comparisons(some_closed(), DRINKS.drink, BOTH)

    assert [one.session_id for one in found] == ["acid", "syrup", "liking", "unknown"]


def test_an_open_session_stays_sealed():
    with pytest.raises(SealedError, match="close it first"):
        comparisons([answered(opened(planned("open")), 5, 5)], DRINKS.drink, BOTH)


def test_a_mapping_finds_drinks_too_and_names_one_that_is_missing():
    shelf = {drink.id: drink for drink in SPRITZ.versions[:2]}

    assert comparisons([closed(planned("acid"), 9, 3)], shelf, BOTH)[0].known
    with pytest.raises(InputError, match="spritz-3"):
        comparisons([closed(planned("more", b="spritz-3"), 9, 3)], shelf, BOTH)


@pytest.mark.parametrize(
    ("keys", "sentence"),
    [(["salt"], "unknown driver"), (["ta", "ta"], "given twice"), ([], "no driver")],
)
def test_drivers_are_checked_at_the_door(keys, sentence):
    with pytest.raises(InputError, match=sentence):
        drivers_named(keys)


@pytest.mark.parametrize("key", sorted(DRIVERS))
def test_every_driver_is_read_from_the_composition(key):
    driver = DRIVERS[key]
    drink = SPRITZ.versions[0]

    assert reading(drink, [driver]).levels == pytest.approx(getattr(compose(drink), driver.figure))


def test_doubts_add_up_to_the_interval_of_the_composition():
    """Root sum of squares of the shifts against half the width that the composition states."""
    drink = SPRITZ.versions[0]
    doubts = reading(drink, BOTH).components.values()
    spread = compose(drink).intervals["ta_g_per_l"]

    assert 1.96 * np.sqrt(sum(shift[0] ** 2 for shift in doubts)) == pytest.approx(
        (spread.high - spread.low) / 2, rel=0.02
    )


def test_a_doubt_that_both_share_cancels():
    """Lemon juice in both, and citric acid weighed into one: the step itself is sure."""
    base = (("lemon-juice", "30 mL"), ("water", "200 mL"))
    a = reading(version(*base), BOTH)
    b = reading(version(*base, ("citric-acid", "0.2 g")), BOTH)
    together = np.sqrt(sum(shift**2 for shift in difference_components(a, b).values()))
    alone = np.sqrt(sum(shift**2 for shift in a.components.values()))

    assert together[0] < 0.01 * alone[0]


def test_a_rounded_label_is_unsure_by_its_rounding():
    """Sugar is printed in steps of 0.1 g per 100 mL in the EU (guidance of December 2012): 1 g/L
    wide, evenly spread, so a standard deviation of 1/sqrt 12."""
    doubts = reading(MEASURED, BOTH).components

    assert doubts["reference R: sugar"] == pytest.approx([0, 1 / np.sqrt(12)])


def test_a_titration_is_unsure_by_its_repeatability():
    """2 % of 6.4 g/L, taken for a 95 % half-width (a judgement)."""
    assert reading(MEASURED, BOTH).components["reference R: ta"][0] == pytest.approx(
        0.02 * 6.4 / 1.96
    )


def test_an_assessor_has_one_number_in_every_session_and_no_name_is_kept():
    some = [closed(planned("one"), 9, 3), closed(planned("two"), 6, 6)]
    first, second = comparisons(some, DRINKS.drink, BOTH)

    assert [each.who for each in first.counts] == list(range(12))
    assert {each.who for each in second.counts} == {each.who for each in first.counts}
    assert not [who for who in some[0].plan.assessors if who in repr((first, second))]
