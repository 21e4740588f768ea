"""What every bar and kitchen knows: common practice, no source, unless one is named."""

import pytest

from tasting.drink.acidity import MOLAR_MASS
from tasting.drink.composition import compose
from tasting.units import ML_PER_US_FL_OZ

from .glass import version


def test_a_can_is_twelve_ounces():
    assert pytest.approx(355, abs=0.2) == 12 * ML_PER_US_FL_OZ


def test_a_long_drink_with_a_shot_is_five_percent():
    """45 mL of 40 % vol in 355 mL: 5.07 % vol and 14.2 g of ethanol."""
    drink = compose(version(("neutral-spirit", "45 mL"), ("water", "310 mL")))

    assert drink.alcohol_percent_vol == pytest.approx(5.07, abs=0.01)
    assert drink.serving().alcohol_g == pytest.approx(14.2, abs=0.05)


def test_forty_grams_of_spirit_are_not_sixteen_of_alcohol():
    """40 % vol is 33.3 % by mass (OIML R 22)."""
    assert compose(version(("neutral-spirit", "40 g"))).serving().alcohol_g == pytest.approx(
        13.3, abs=0.05
    )


def test_monohydrate_needs_a_tenth_more():
    """210.14 / 192.12 = 1.094, supplier article on fruit juice acids (seen)."""
    plain = compose(version(("citric-acid", "1 g"), ("water", "1 kg")))
    wet = compose(version(("citric-acid-monohydrate", "1.094 g"), ("water", "1 kg")))

    assert wet.ta_g_per_l == pytest.approx(plain.ta_g_per_l, rel=1e-3)
    assert MOLAR_MASS[0] == pytest.approx(192.12, abs=0.01)


def test_two_to_one_syrup_is_at_its_limit_in_the_cold():
    warnings = compose(version(("simple-syrup-2-1", "1 L"))).warnings

    assert any("crystals" in warning for warning in warnings)


def test_one_to_one_syrup_keeps_its_sugar():
    warnings = compose(version(("simple-syrup-1-1", "1 L"))).warnings

    assert not any("crystals" in warning for warning in warnings)


def test_a_lemonade_has_a_ratio_of_fifteen_to_twenty_five():
    """Typical sugar to acid, from memory."""
    drink = compose(version(("lemon-juice", "30 mL"), ("sugar", "25 g"), ("water", "190 mL")))

    assert drink.sugar_acid_ratio is not None
    assert 15 < drink.sugar_acid_ratio < 25
