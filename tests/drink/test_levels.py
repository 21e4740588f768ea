"""How far apart two drinks are, from computation and from labels."""

import pytest

from tasting.drink.composition import compose
from tasting.drink.levels import Levels, levels, step
from tests.ui.workshop import MEASURED, SPRITZ, UNMEASURED


def test_a_version_has_the_levels_of_its_composition() -> None:
    made, found = compose(SPRITZ.versions[0]), levels(SPRITZ.versions[0])

    assert (found.ta_g_per_l, found.sugar_g_per_l) == (made.ta_g_per_l, made.sugar_g_per_l)
    assert found.alcohol_percent_vol == made.alcohol_percent_vol
    assert found.energy_kcal_per_l == made.energy_kcal_per_l


def test_a_label_declares_per_100_ml_what_is_compared_per_litre() -> None:
    """Regulation (EU) 1169/2011, article 32: nutrition is declared per 100 ml (from memory)."""
    assert levels(MEASURED) == Levels(
        ta_g_per_l=6.4, sugar_g_per_l=81.0, alcohol_percent_vol=0.5, energy_kcal_per_l=380.0
    )


def test_what_a_label_does_not_say_is_unknown() -> None:
    found = levels(UNMEASURED)

    assert found.sugar_g_per_l == pytest.approx(70)
    assert (found.ta_g_per_l, found.alcohol_percent_vol) == (None, None)


def test_a_step_is_b_minus_a() -> None:
    a, b = (levels(version) for version in SPRITZ.versions[:2])
    more_lemon = step(a, b)

    assert more_lemon.ta_g_per_l == pytest.approx(b.ta_g_per_l - a.ta_g_per_l)
    assert more_lemon.ta_g_per_l > 0 > more_lemon.sugar_g_per_l
    assert step(b, a).ta_g_per_l == pytest.approx(-more_lemon.ta_g_per_l)


def test_a_step_from_the_unknown_is_unknown() -> None:
    known, unknown = levels(MEASURED), levels(UNMEASURED)

    assert step(unknown, known) == Levels(None, pytest.approx(11), None, None)
    assert step(known, unknown).ta_g_per_l is None
