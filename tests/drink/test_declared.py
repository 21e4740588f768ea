"""Rounding on labels: boundary cases, and intervals that hold exactly what prints so."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tasting.drink import declared
from tasting.errors import InputError

from .glass import few, numbers, rows


@pytest.mark.parametrize(("kcal", "printed"), numbers("drink_us_calories.csv", "kcal", "printed"))
def test_us_calories(kcal, printed):
    assert declared.us_calories(kcal) == printed


@pytest.mark.parametrize("row", rows("drink_us_sugars.csv"), ids=lambda row: row["grams"])
def test_us_sugars(row):
    assert declared.us_sugars(float(row["grams"])) == row["printed"]


@pytest.mark.parametrize(("grams", "printed"), numbers("drink_eu_sugars.csv", "grams", "printed"))
def test_eu_sugars(grams, printed):
    assert declared.eu_sugars(grams) == printed


@pytest.mark.parametrize(("milligrams", "printed"), [(4.9, 0), (7, 5), (140, 140), (146, 150)])
def test_us_sodium(milligrams, printed):
    """FDA labelling guide, appendix H (seen)."""
    assert declared.us_sodium(milligrams) == printed


@pytest.mark.parametrize(
    ("grams", "printed"), [(0.0125, 0), (0.013, 0.01), (0.994, 0.99), (1.26, 1.3)]
)
def test_eu_salt(grams, printed):
    """EU guidance, December 2012 (zero limit seen, rest from memory)."""
    assert declared.eu_salt(grams) == printed


@few
@given(st.floats(0, 2000))
def test_us_energy_prints_back_from_its_interval(kcal):
    interval = declared.rounding("energy", declared.us_calories(kcal), "US")

    assert interval.low <= kcal <= interval.high


@pytest.mark.parametrize(
    ("printed", "high"), [(0.0, 0.5), (0.4, 0.5), (0.5, 0.55), (0.6, 0.65), (10.0, 10.5)]
)
def test_what_little_sugar_on_an_eu_label_can_mean(printed, high):
    """EU guidance 2012: to 0.5 g as 0 or "< 0.5 g" (seen second-hand), then tenths (memory)."""
    assert declared.rounding("sugar", printed, "EU").high == pytest.approx(high)


@few
@given(st.floats(0, 60))
@example(0.53125)  # prints as 0.5
def test_eu_sugar_prints_back_from_its_interval(grams):
    interval = declared.rounding("sugar", declared.eu_sugars(grams), "EU")

    assert interval.low - 1e-9 <= grams <= interval.high + 1e-9


@few
@given(st.floats(0, 2000))
def test_eu_energy_prints_back_from_its_interval(kcal):
    interval = declared.rounding("energy", declared.eu_energy(kcal), "EU")

    assert interval.low <= kcal <= interval.high


@pytest.mark.parametrize(
    ("figure", "value", "rules", "expected"),
    [
        ("alcohol", 5.0, "EU", (4.7, 5.3)),  # Regulation (EU) 1169/2011, Annex XII (seen)
        ("alcohol", 5.0, "US", (4.7, 5.3)),  # 27 CFR 5.65 (seen in a mirror)
        ("sugar", 8.0, "EU", (6.0, 10.0)),  # EU guidance 2012 (seen second-hand)
        ("sugar", 20.0, "EU", (16.0, 24.0)),  # EU guidance 2012 (memory)
        ("sugar", 50.0, "EU", (42.0, 58.0)),  # EU guidance 2012 (memory)
        ("sugar", 10.0, "US", (0.0, 12.0)),  # 21 CFR 101.9(g) (memory)
    ],
)
def test_tolerances(figure, value, rules, expected):
    interval = declared.tolerance(figure, value, rules)

    assert (interval.low, interval.high) == pytest.approx(expected)


def test_no_rule_means_no_interval():
    assert declared.tolerance("energy", 40, "EU") is None


def test_unknown_figure_is_refused():
    with pytest.raises(InputError, match="no rounding rule for 'colour'"):
        declared.rounding("colour", 1, "EU")


@few
@given(st.floats(0, 100))
def test_us_sugar_lies_in_the_meaning_of_its_print(grams):
    printed = {"0 g": 0.0, "less than 1 g": 0.7}.get(declared.us_sugars(grams))
    value = float(declared.us_sugars(grams).split()[0]) if printed is None else printed
    interval = declared.rounding("sugar", value, "US")

    assert interval.low <= grams <= interval.high


@few
@given(st.integers(0, 10_000), st.sampled_from([0.01, 0.1, 0.5, 1, 5, 10]))
def test_a_multiple_of_the_step_stays(count, step):
    assert declared.nearest(count * step, step) == pytest.approx(count * step)


@few
@given(st.floats(0, 1e4), st.sampled_from([0.01, 0.1, 1, 5, 10]))
def test_nearest_is_at_most_half_a_step_away(value, step):
    assert abs(declared.nearest(value, step) - value) <= step / 2 * (1 + 1e-9)


@pytest.mark.parametrize(
    ("value", "step", "expected"), [(0.5, 1, 1), (2.5, 1, 3), (0.15, 0.1, 0.2)]
)
def test_halves_go_up(value, step, expected):
    """As the labelling guide rounds, and unlike Python's round."""
    assert declared.nearest(value, step) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("printed", "low", "high"), [(0.0, 0.0, 0.5), (0.5, 0.5, 1.0), (1.0, 1.0, 1.5), (2.0, 1.5, 2.5)]
)
def test_us_sugar_at_the_edges_of_its_rules(printed: float, low: float, high: float) -> None:
    """21 CFR 101.9(c)(6)(ii): below 0.5 g is 0, below 1 g "less than 1 g"."""
    interval = declared.rounding("sugar", printed, "US")
    assert (interval.low, interval.high) == (low, high)


@pytest.mark.parametrize(("printed", "low", "high"), [(0, 0, 5), (5, 2.5, 7.5), (60, 55, 65)])
def test_us_energy_at_the_edges_of_its_rules(printed: float, low: float, high: float) -> None:
    """21 CFR 101.9(c)(1): below 5 kcal is 0, to 50 in fives, then in tens."""
    interval = declared.rounding("energy", printed, "US")
    assert (interval.low, interval.high) == (low, high)


@pytest.mark.parametrize(("grams", "printed"), [(0.994, 0.99), (1.0, 1.0), (1.04, 1.0)])
def test_eu_salt_from_one_gram_is_printed_in_tenths(grams: float, printed: float) -> None:
    """EU guidance on rounding, December 2012 (from memory)."""
    assert declared.eu_salt(grams) == printed
