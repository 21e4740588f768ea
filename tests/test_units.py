"""Named units against their definitions."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tasting.errors import InputError
from tasting.units import (
    CUSTOMARY,
    ML_PER,
    OUNCE,
    OUNCE_OF_MASS,
    PART,
    UNITS,
    AmountLine,
    counted,
    grams,
    read_line,
    unit_for,
    unit_named,
)


@pytest.mark.parametrize(
    ("unit", "ml"),
    [
        ("US fl oz", 29.5735295625),  # NIST Handbook 44, appendix C
        ("tbsp", 14.78676478125),  # half of it
        ("tsp", 4.92892159375),  # a sixth of it
        ("imp fl oz", 28.4130625),  # UK Units of Measurement Regulations 1995: 4.54609 L / 160
        ("dash", 0.924172798828125),  # 1/32 US fl oz: common practice, no source
        ("drop", 0.05),  # 20 drops a mL: common practice, no source
    ],
)
def test_us_kitchen_measures(unit, ml):
    assert ML_PER[unit] == pytest.approx(ml, rel=1e-12)


@pytest.mark.parametrize(
    ("quantity", "unit", "expected"), [(2, "mL", 2.5), (2, "L", 2500), (2, "g", 2), (2, "kg", 2000)]
)
def test_grams_use_the_density_for_volumes_only(quantity, unit, expected):
    assert grams(quantity, unit, 1.25) == expected


few = settings(max_examples=100, deadline=None)


def test_unknown_unit_is_refused():
    with pytest.raises(InputError, match=f"use one of: {UNITS[0]}"):
        grams(1, "cup", 1.0)


@pytest.mark.parametrize(
    ("quantity", "unit", "g"),
    [
        (1, OUNCE_OF_MASS, 28.349523125),  # NIST Handbook 44, appendix C
        (16, OUNCE_OF_MASS, 453.59237),  # the pound, ibid.
        (250, "mg", 0.25),
        (2, "cl", 25),
        (1, "dl", 125),
    ],
)
def test_grams_of_other_units(quantity: float, unit: str, g: float) -> None:
    assert grams(quantity, unit, 1.25) == pytest.approx(g, rel=1e-12)


def test_a_customary_measure_lies_in_its_range() -> None:
    for unit, size in CUSTOMARY.items():
        assert size.low_ml < size.ml < size.high_ml, unit
        assert ML_PER[unit] == size.ml
        assert "no source" in size.source


def test_a_bare_ounce_is_settled_by_the_form() -> None:
    assert unit_for(OUNCE, "liquid") == "US fl oz"
    assert unit_for(OUNCE, "solid") == OUNCE_OF_MASS
    with pytest.raises(InputError, match="of volume or of mass"):
        grams(1, OUNCE, 1.0)


def test_without_a_unit_liquids_are_poured_and_solids_weighed() -> None:
    assert [unit_for("", "liquid"), unit_for("", "solid"), unit_for("tsp", "solid")] == [
        "mL",
        "g",
        "tsp",
    ]


@pytest.mark.parametrize(
    ("line", "read"),
    [
        ("45 ml gin", (45, "mL", "gin")),
        ("1/2 oz lemon", (0.5, OUNCE, "lemon")),
        ("0,2 g citric acid", (0.2, "g", "citric acid")),
        ("top with soda to 225 ml", (225, "mL", "top with soda to")),
        ("soda to 1 000 ml", (1000, "mL", "soda to")),
        ("lemon juice: 1 1/2 fl. oz.", (1.5, "US fl oz", "lemon juice")),
        ("gin 45ml", (45, "mL", "gin")),
        ("0,75 fl oz", (0.75, "US fl oz", "")),
        ("1½ imperial fl oz water", (1.5, "imp fl oz", "water")),
        ("2 oz (weight) sugar", (2, OUNCE_OF_MASS, "sugar")),
        ("2 dashes of bitters", (2, "dash", "bitters")),
        ("1 bar spoon syrup", (1, "barspoon", "syrup")),
        ("3 parts rhubarb juice", (3, PART, "rhubarb juice")),
        ("2 limes", (2, "", "limes")),
        ("2 large eggs", (2, "", "large eggs")),
        ("5 g/L of acid", (5, "", "g/L of acid")),
        ("juice of a lemon", (None, "", "juice of a lemon")),
        ("", (None, "", "")),
    ],
)
def test_a_line_as_on_paper(line: str, read: tuple[float | None, str, str]) -> None:
    assert read_line(line) == AmountLine(*read)


@pytest.mark.parametrize("line", ["1,000 mL water", "water to 1,000 mL"])
def test_a_line_with_two_meanings_is_refused(line: str) -> None:
    with pytest.raises(InputError, match="can mean 1 or 1000"):
        read_line(line)


@few
@given(st.integers(1, 9), st.sampled_from([*UNITS, OUNCE, PART]))
def test_every_unit_is_read_back(quantity: int, unit: str) -> None:
    written = counted(quantity, unit)

    assert unit_named(unit) == unit_named(written) == unit
    for text in (f"{quantity} {written} of bay", f"{quantity} {unit.upper()} bay"):
        assert read_line(text) == AmountLine(quantity, unit, "bay")
    assert read_line(f"bay {quantity}{written}") == AmountLine(quantity, unit, "bay")
