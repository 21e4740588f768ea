"""Named units against their definitions."""

import pytest

from tasting.errors import InputError
from tasting.units import ML_PER, UNITS, grams


@pytest.mark.parametrize(
    ("unit", "ml"),
    [
        ("US fl oz", 29.5735295625),  # NIST Handbook 44, appendix C
        ("tbsp", 14.78676478125),  # half of it
        ("tsp", 4.92892159375),  # a sixth of it
        ("dash", 0.924172798828125),  # 1/32 of it: common practice, no source
    ],
)
def test_us_kitchen_measures(unit, ml):
    assert ML_PER[unit] == pytest.approx(ml, rel=1e-12)


@pytest.mark.parametrize(
    ("quantity", "unit", "expected"), [(2, "mL", 2.5), (2, "L", 2500), (2, "g", 2), (2, "kg", 2000)]
)
def test_grams_use_the_density_for_volumes_only(quantity, unit, expected):
    assert grams(quantity, unit, 1.25) == expected


def test_unknown_unit_is_refused():
    with pytest.raises(InputError, match=f"use one of: {UNITS[0]}"):
        grams(1, "cup", 1.0)
