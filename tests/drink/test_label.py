"""References refuse what no label can say."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tasting.drink.composition import compose
from tasting.drink.label import Reference, bands, corrected, known, matches
from tasting.drink.pantry import ingredient
from tasting.errors import InputError

from .glass import NOON, SPRITZ, few, version


def reference(**values):
    return Reference(**{"id": "R", "name": "Reference bottle R", "serving_ml": 330} | values)


def test_values_that_nobody_knows_are_none():
    assert reference().sugar_g_per_100ml is None


def test_reads_itself_back():
    whole = reference(alcohol_percent_vol=5.0, ta_g_per_l=6.1, allergens=("sulphites",))

    assert Reference.model_validate_json(whole.model_dump_json()) == whole


@pytest.mark.parametrize(
    "values",
    [
        {"serving_ml": 0},
        {"alcohol_percent_vol": 101},
        {"sugar_g_per_100ml": -1},
        {"ta_g_per_l": float("nan")},
        {"ph": 15},
        {"colour": "red"},
    ],
)
def test_bad_value_is_refused(values):
    with pytest.raises(ValidationError, match=next(iter(values))):
        reference(**values)


def sure(key):
    return ingredient(key).model_copy(update={"ranges": {}})


SYRUP = compose(version((sure("sugar"), "100 g"), (sure("water"), "1 kg")))


def only(match, **values):
    """The one match of a reference with one value, whose `verdict` and `by` are looked at."""
    (found,) = matches(match, reference(**values))
    return found


def test_inside_what_the_label_can_mean():
    per_100ml = SYRUP.sugar_g_per_l / 10

    found = only(SYRUP, sugar_g_per_100ml=round(per_100ml, 1))

    assert (found.verdict, found.by, found.tolerated) == ("inside", 0.0, True)


def test_outside_says_by_how_much():
    per_100ml = SYRUP.sugar_g_per_l / 10

    too_sweet, too_dry = (only(SYRUP, sugar_g_per_100ml=value) for value in (5.0, 14.0))

    assert too_sweet.by == pytest.approx(per_100ml - 5.05, rel=1e-6)
    assert too_dry.by == pytest.approx(per_100ml - 13.5, rel=1e-6)
    assert {too_sweet.verdict, too_dry.verdict} == {"outside"}
    assert not too_sweet.tolerated


def test_outside_the_rounding_may_be_within_the_tolerance():
    found = only(SYRUP, sugar_g_per_100ml=8.5)

    assert (found.verdict, found.tolerated) == ("outside", True)


def test_an_unsure_drink_is_not_decidable():
    found = only(version(("lemon-juice", "20 mL"), ("water", "180 mL")), ta_g_per_l=4.7)

    assert found.verdict == "not decidable"
    assert found.likely.low < found.rounding.low < found.rounding.high < found.likely.high


def test_values_that_are_not_declared_are_not_compared():
    found = matches(SPRITZ, reference(alcohol_percent_vol=5.7, ph=3.0))

    assert [match.figure for match in found] == ["alcohol_percent_vol", "ph"]


def test_us_label_is_rounded_per_serving():
    """50 kcal in 330 mL: 47.5 to 55 a serving, where printing in tens begins (21 CFR 101.9)."""
    found = only(SYRUP, energy_kcal_per_100ml=50 / 3.3, rules="US")

    assert found.rounding.low == pytest.approx(47.5 / 3.3)
    assert found.rounding.high == pytest.approx(55 / 3.3)


@few
@given(st.floats(0, 30))
def test_verdict_and_distance_agree(printed):
    found = only(SYRUP, sugar_g_per_100ml=round(printed, 1))

    assert (found.by != 0) == (found.verdict == "outside")
    assert (found.by > 0) == (found.likely.low > found.rounding.high)


@pytest.mark.parametrize(
    ("values", "half"), [({"ta_g_per_l": 6.0}, 0.12), ({"ph": 3.1}, 0.05), ({"brix": 7.0}, 0.1)]
)
def test_measured_values_have_their_repeatability(values, half):
    """A judgement about small kitchens: 2 % in acidity, 0.05 in pH, 0.1 in °Brix."""
    found = only(SPRITZ, **values)

    assert found.rounding.high - found.rounding.low == pytest.approx(2 * half)
    assert found.tolerance is None
    assert found.tolerated is None


def test_brix_of_a_reference_is_compared_with_what_the_instrument_shows():
    assert only(SPRITZ, brix=9.0).computed == compose(SPRITZ).refractometer_brix


def test_brix_of_a_drink_with_alcohol_carries_its_caveat():
    assert "alcohol" in only(SPRITZ, brix=9.0).remark
    assert only(SYRUP, brix=9.0).remark == ""


def test_version_and_composition_give_the_same():
    bottle = reference(alcohol_percent_vol=5.7, sugar_g_per_100ml=6.3)

    assert matches(SPRITZ, bottle) == matches(compose(SPRITZ), bottle)


def test_reference_without_values_matches_nothing():
    assert matches(SPRITZ, reference()) == ()


def test_bands_are_in_the_units_of_a_composition():
    """8.1 g per 100 mL means 8.05 to 8.15, which is 80.5 to 81.5 g/L (arithmetic)."""
    known = bands(reference(sugar_g_per_100ml=8.1, ta_g_per_l=6.4))
    rounding, tolerance = known["sugar_g_per_l"]

    assert set(known) == {"sugar_g_per_l", "ta_g_per_l"}
    assert (rounding.low, rounding.high) == pytest.approx((80.5, 81.5))
    assert (tolerance.low, tolerance.high) == pytest.approx((61.0, 101.0))
    assert known["ta_g_per_l"][1] is None


def test_decimals_of_a_label_narrow_what_it_can_mean():
    """4.50 was rounded to hundredths, 4.5 to tenths (arithmetic)."""
    fine, coarse = (
        only(SYRUP, sugar_g_per_100ml=4.5, decimals={"sugar_g_per_100ml": places})
        for places in (2, 1)
    )

    assert fine.rounding.high == pytest.approx(4.505)
    assert coarse.rounding.high == pytest.approx(4.55)


def test_only_what_is_printed_has_decimals():
    with pytest.raises(ValidationError, match="not printed on a label"):
        reference(decimals={"ph": 2})


@pytest.mark.parametrize(
    ("values", "half"),
    [
        ({"alcohol_percent_vol": 5.0}, 0.5),
        ({"alcohol_percent_vol": 5.0, "kind": "cider"}, 5.0),
        ({"alcohol_percent_vol": 0.4}, 5.0),
    ],
)
def test_us_labels_of_alcoholic_drinks_are_printed_to_one_calorie(values, half):
    """TTB Procedure 2020-1, III (seen in a copy); cider below 7 % vol is labelled as food (27 CFR
    4.10, memory), as what has less than 0.5 % vol is: 130 kcal are 125 to 135 there."""
    bottle = reference(rules="US", serving_ml=100, energy_kcal_per_100ml=130, **values)
    (rounding, _) = bands(bottle)["energy_kcal_per_l"]

    assert (rounding.high - rounding.low) / 20 == pytest.approx(half)


def test_a_reference_is_completed_and_keeps_what_was_known():
    bottle = reference(sugar_g_per_100ml=8.1)

    after = corrected(bottle, {"ta_g_per_l": 6.4}, "titrated twice", NOON)

    assert (after.sugar_g_per_100ml, after.ta_g_per_l) == (8.1, 6.4)
    assert [(one.until, one.reason, one.was) for one in after.earlier] == [
        (NOON, "titrated twice", bottle)
    ]
    assert Reference.model_validate_json(after.model_dump_json()) == after


def test_a_reference_is_seen_as_it_was_known():
    hour = timedelta(hours=1)
    bottle = reference(sugar_g_per_100ml=8.1)
    once = corrected(bottle, {"ta_g_per_l": 6.4}, "titrated", NOON)
    twice = corrected(once, {"ta_g_per_l": 6.2}, "titrated again", NOON + hour)

    assert twice.at(NOON - hour) == bottle
    assert twice.at(NOON) == once
    assert twice.at(NOON + hour) == twice
    assert [one.was.ta_g_per_l for one in twice.earlier] == [None, 6.4]


@pytest.mark.parametrize(
    ("values", "reason", "match"),
    [
        ({"ph": 3.1}, "  ", "needs its reason"),
        ({}, "measured", "nothing was changed"),
        ({"ph": 31}, "measured", "ph"),
    ],
)
def test_a_bad_correction_is_refused(values, reason, match):
    with pytest.raises(InputError, match=match):
        corrected(reference(), values, reason, NOON)


def test_a_stated_uncertainty_is_what_a_measurement_can_mean():
    meant, tolerance = bands(reference(ta_g_per_l=6.2, uncertainty={"ta_g_per_l": 0.3}))[
        "ta_g_per_l"
    ]

    assert (meant.low, meant.high) == pytest.approx((5.9, 6.5))
    assert tolerance is None


def test_a_measured_sugar_is_no_printed_one():
    """6.0 printed in the EU is 5.95 to 6.05 and has a tolerance; measured to 0.4 it has none."""
    measured = reference(sugar_g_per_100ml=6.0, uncertainty={"sugar_g_per_100ml": 0.4})
    meant, tolerance = bands(measured)["sugar_g_per_l"]

    assert (meant.low, meant.high) == pytest.approx((56.0, 64.0))
    assert tolerance is None
    assert known(measured, "sugar_g_per_l") == pytest.approx((60.0, 4.0 / 1.96))


def test_density_and_gas_are_compared_like_any_measurement():
    found = matches(SYRUP, reference(density_kg_per_l=1.0340, co2_g_per_l=4.0))

    assert [one.figure for one in found] == ["density_kg_per_l", "co2_g_per_l"]
    assert found[1].verdict == "outside"


@pytest.mark.parametrize("field", ["ph", "serving_ml", "colour"])
def test_an_uncertainty_without_its_value_is_refused(field):
    with pytest.raises(ValidationError, match="has an uncertainty but no value"):
        reference(uncertainty={field: 0.1})
