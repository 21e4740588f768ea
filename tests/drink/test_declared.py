"""Rounding on labels: boundary cases, and intervals that hold exactly what prints so."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tasting.drink import declared
from tasting.drink.declared import Print
from tasting.errors import InputError

from .glass import few, numbers, rows

# What prints how, by the rules that `declared.rounding` reads backwards (sources in its module).


def us_sugars(grams: float) -> str:
    """Sugars of a serving as the US prints them: below 0.5 g as 0, below 1 g "less than 1 g"."""
    if grams < 0.5:
        return "0 g"
    return "less than 1 g" if grams < 1 else f"{declared.nearest(grams, 1):.0f} g"


def eu_energy(value: float) -> float:
    """Energy per 100 mL as the EU prints it: to 1 kJ or 1 kcal."""
    return declared.nearest(value, 1)


def eu_sugars(grams: float) -> float:
    """Sugars per 100 mL as the EU prints them: to 0.5 g as 0, below 10 in tenths, then whole."""
    if grams <= 0.5:
        return 0.0
    return declared.nearest(grams, 0.1) if grams < 10 else declared.nearest(grams, 1)


def us_alcoholic_calories(kcal: float) -> float:
    """Calories of a serving of an alcoholic drink in the US: below 5 as 0, then to 1 kcal."""
    return 0.0 if kcal < 5 else declared.nearest(kcal, 1)


@pytest.mark.parametrize(("kcal", "printed"), numbers("drink_us_calories.csv", "kcal", "printed"))
def test_us_calories(kcal, printed):
    assert declared.us_calories(kcal) == printed


@pytest.mark.parametrize("row", rows("drink_us_sugars.csv"), ids=lambda row: row["grams"])
def test_us_sugars(row):
    assert us_sugars(float(row["grams"])) == row["printed"]


@pytest.mark.parametrize(("grams", "printed"), numbers("drink_eu_sugars.csv", "grams", "printed"))
def test_eu_sugars(grams, printed):
    assert eu_sugars(grams) == printed


@few
@given(st.floats(0, 2000))
def test_us_energy_prints_back_from_its_interval(kcal):
    interval = declared.rounding("energy", Print(declared.us_calories(kcal), "US"))

    assert interval.low <= kcal <= interval.high


@pytest.mark.parametrize(
    ("printed", "high"), [(0.0, 0.5), (0.4, 0.5), (0.5, 0.55), (0.6, 0.65), (10.0, 10.5)]
)
def test_what_little_sugar_on_an_eu_label_can_mean(printed, high):
    """EU guidance 2012: to 0.5 g as 0 or "< 0.5 g" (seen second-hand), then tenths (memory)."""
    assert declared.rounding("sugar", Print(printed)).high == pytest.approx(high)


@few
@given(st.floats(0, 60))
@example(0.53125)  # prints as 0.5
def test_eu_sugar_prints_back_from_its_interval(grams):
    interval = declared.rounding("sugar", Print(eu_sugars(grams)))

    assert interval.low - 1e-9 <= grams <= interval.high + 1e-9


@few
@given(st.floats(0, 2000))
def test_eu_energy_prints_back_from_its_interval(kcal):
    interval = declared.rounding("energy", Print(eu_energy(kcal)))

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
    interval = declared.tolerance(figure, Print(value, rules))

    assert (interval.low, interval.high) == pytest.approx(expected)


def test_no_rule_means_no_interval():
    assert declared.tolerance("energy", Print(40)) is None


def test_unknown_figure_is_refused():
    with pytest.raises(InputError, match="no rounding rule for 'colour'"):
        declared.rounding("colour", Print(1))


@few
@given(st.floats(0, 100))
def test_us_sugar_lies_in_the_meaning_of_its_print(grams):
    printed = {"0 g": 0.0, "less than 1 g": 0.7}.get(us_sugars(grams))
    value = float(us_sugars(grams).split()[0]) if printed is None else printed
    interval = declared.rounding("sugar", Print(value, "US"))

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
    interval = declared.rounding("sugar", Print(printed, "US"))
    assert (interval.low, interval.high) == (low, high)


@pytest.mark.parametrize(
    ("printed", "low", "high"),
    [(0, 0, 5), (5, 5, 7.5), (10, 7.5, 12.5), (45, 42.5, 47.5), (50, 47.5, 55), (60, 55, 65)],
)
def test_us_energy_at_the_edges_of_its_rules(printed: float, low: float, high: float) -> None:
    """21 CFR 101.9(c)(1): below 5 kcal is 0, to 50 in fives, then in tens; so 54.9 prints 50."""
    interval = declared.rounding("energy", Print(printed, "US"))
    assert (interval.low, interval.high) == (low, high)


@few
@given(st.floats(0, 2000))
def test_us_calories_print_so_just_within_their_interval(kcal: float) -> None:
    """The interval is no wider than what prints so: a bit beyond its ends prints otherwise."""
    printed = declared.us_calories(kcal)
    interval = declared.rounding("energy", Print(printed, "US"))
    assert declared.us_calories(interval.high + 1e-6) != printed
    assert interval.low == 0 or declared.us_calories(interval.low - 1e-6) != printed


@pytest.mark.parametrize(
    ("grams", "low", "high"), [(9.9, 9.85, 9.95), (10, 9.95, 10.5), (11, 10.5, 11.5)]
)
@pytest.mark.parametrize("rules", ["EU", "UK"])
def test_eu_sugar_where_tenths_end(grams: float, low: float, high: float, rules) -> None:
    """EU guidance 2012 (memory): from 10 g whole grams, below it tenths; 9.95 g prints as 10."""
    interval = declared.rounding("sugar", Print(grams, rules))
    assert (interval.low, interval.high) == pytest.approx((low, high))


@pytest.mark.parametrize(
    ("figure", "value", "decimals", "half"),
    [
        ("sugar", 4.5, 1, 0.05),
        ("sugar", 4.5, 2, 0.005),
        ("sugar", 4.0, 0, 0.5),
        ("sugar", 12.5, None, 0.05),
        ("sugar", 10.0, 1, 0.05),
        ("energy", 44.5, 1, 0.05),
        ("alcohol", 5.0, 0, 0.5),
        ("alcohol", 5.0, 1, 0.05),
        ("alcohol", 5.25, None, 0.005),
    ],
)
def test_decimals_count_as_printed(figure, value, decimals, half) -> None:
    """A number rounded to a step may lie half of it away (arithmetic)."""
    interval = declared.rounding(figure, Print(value, decimals=decimals))
    assert (interval.low, interval.high) == pytest.approx((value - half, value + half))


def test_a_computed_value_is_rounded_by_the_rule() -> None:
    """130 kcal in 355 mL are 36.6197 kcal/100 mL: nobody prints four decimals."""
    assert declared.rounding("energy", Print(36.6197)).high == pytest.approx(37.1197)


@pytest.mark.parametrize(
    ("kind", "strength", "rules", "room"),
    [
        ("beer", 5.5, "EU", 0.5),  # Regulation (EU) No 1169/2011, Annex XII (seen), all of these
        ("beer", 5.6, "EU", 1.0),
        ("cider", 4.5, "EU", 1.0),
        ("macerated", 20.0, "UK", 1.5),
        ("other", 40.0, "UK", 0.3),
        ("wine", 12.0, "EU", 0.5),  # Regulation (EU) 2019/33, article 44 (memory)
        ("wine", 12.0, "US", 1.5),  # 27 CFR 4.36 (seen in a bulletin)
        ("wine", 17.0, "US", 1.0),
        ("beer", 5.0, "US", 0.3),  # 27 CFR 7.65 (seen in a mirror)
    ],
)
def test_alcohol_tolerance_by_kind(kind, strength, rules, room) -> None:
    interval = declared.tolerance("alcohol", Print(strength, rules, kind=kind))
    assert (interval.low, interval.high) == pytest.approx((strength - room, strength + room))


@pytest.mark.parametrize(
    ("kind", "strength", "low", "high"),
    [("wine", 13.5, 12.0, 14.0), ("wine", 14.5, 14.0, 15.5), ("beer", 0.6, 0.5, 0.9)],
)
def test_us_tolerance_never_crosses_a_class(kind, strength, low, high) -> None:
    """27 CFR 4.36: wine stays in its tax class; 7.65: beer labelled 0.5 or more stays above it."""
    interval = declared.tolerance("alcohol", Print(strength, "US", kind=kind))
    assert (interval.low, interval.high) == pytest.approx((low, high))


@pytest.mark.parametrize(("strength", "rules"), [(1.2, "EU"), (0.5, "UK"), (0.4, "US")])
def test_no_tolerance_where_no_strength_is_stated(strength, rules) -> None:
    """Regulation (EU) No 1169/2011, article 9(1)(k): above 1.2 % vol."""
    assert declared.tolerance("alcohol", Print(strength, rules)) is None


@pytest.mark.parametrize(
    ("figure", "value", "low", "high"),
    [
        ("energy", 0, 0, 5),
        ("energy", 96, 95.5, 96.5),
        ("sugar", 2.6, 2.55, 2.65),
        ("sugar", 0, 0, 0.5),
    ],
)
def test_alcoholic_labels_in_the_us(figure, value, low, high) -> None:
    """TTB Procedure 2020-1, III (seen in a copy): to 1 kcal, below 5 as 0; grams in tenths, below
    0.5 as 0."""
    interval = declared.rounding(figure, Print(value, "US", alcoholic=True))
    assert (interval.low, interval.high) == pytest.approx((low, high))


@few
@given(st.floats(0, 500))
def test_alcoholic_calories_print_back(kcal: float) -> None:
    printed = us_alcoholic_calories(kcal)
    interval = declared.rounding("energy", Print(printed, "US", alcoholic=True))
    assert interval.low <= kcal <= interval.high


@pytest.mark.parametrize(("strength", "low", "high"), [(12.5, 12.25, 12.75), (12.3, 12.25, 12.35)])
def test_grape_wine_is_labelled_in_half_units(strength, low, high) -> None:
    """Regulation (EU) 2019/33, article 44 (memory)."""
    interval = declared.rounding("alcohol", Print(strength, kind="wine"))
    assert (interval.low, interval.high) == pytest.approx((low, high))
