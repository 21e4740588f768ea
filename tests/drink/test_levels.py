"""What is known of a drink, from computation or from its label."""

import pytest

from tasting.drink.composition import compose
from tasting.drink.levels import Levels, levels
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
