"""Ice that melts is water that was measured as a share of the drink."""

import pytest

from tasting.drink.composition import compose
from tasting.drink.ice import melt_g
from tasting.errors import InputError

from .glass import version

SOUR = (("neutral-spirit", "60 mL"), ("simple-syrup-1-1", "20 mL"), ("lemon-juice", "20 mL"))


def test_the_melt_makes_the_stated_dilution():
    """100 mL that take up 30 % hold 24 % vol / 1.3 afterwards, 18.5 % (arithmetic, and a few tenths
    of a per cent for contraction)."""
    before = compose(version(*SOUR))
    after = compose(version(*SOUR, ("ice", f"{melt_g(before, 30)!r} g")))

    assert after.volume_ml == pytest.approx(1.3 * before.volume_ml, rel=0.005)
    assert after.alcohol_percent_vol == pytest.approx(before.alcohol_percent_vol / 1.3, rel=0.005)


@pytest.mark.parametrize("percent", [0, -5, 301])
def test_no_drink_takes_up_so_little_or_so_much(percent):
    with pytest.raises(InputError, match="is not between 0 and 300 %"):
        melt_g(compose(version(*SOUR)), percent)
