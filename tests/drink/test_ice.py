"""Ice that melts is water that was measured as a share of the drink."""

import pytest

from tasting.drink.composition import compose
from tasting.drink.ice import STYLES, melt_g, melted, served_style, tasted
from tasting.drink.mixture import FIGURES
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


@pytest.mark.parametrize("style", STYLES.values(), ids=STYLES)
def test_what_is_tasted_is_as_unsure_as_the_ice(style):
    """Both ends of the dilution lie in the interval, and nothing is surer than without ice."""
    drink = version(*SOUR)
    served, after = tasted(drink, style)
    usual = compose(served)

    assert after.alcohol_percent_vol == usual.alcohol_percent_vol
    for percent in (style.low, style.high):
        end = compose(melted(drink, percent))
        assert end.alcohol_percent_vol in after.intervals["alcohol_percent_vol"]
        assert end.sugar_g_per_l in after.intervals["sugar_g_per_l"]
    for figure in FIGURES:
        assert after.intervals[figure].low <= usual.intervals[figure].low
        assert after.intervals[figure].high >= usual.intervals[figure].high


def test_the_ice_is_named_where_it_is_to_blame():
    """Stirred, 100 mL of 24 % vol: 24/1.2 to 24/1.4 % vol (arithmetic), and nothing else that is
    unsure comes near that."""
    spread = tasted(version(*SOUR), served_style("stirred"))[1].intervals["alcohol_percent_vol"]

    assert spread.main == "the ice that melts"
    assert spread.share > 0.5
    assert (spread.low, spread.high) == pytest.approx((24 / 1.4, 24 / 1.2), rel=0.02)


def test_what_the_ice_does_not_change_keeps_its_interval():
    """No gas before, none after."""
    drink = version(*SOUR)
    served, after = tasted(drink, served_style("shaken"))

    assert after.intervals["co2_g_per_l"] == compose(served).intervals["co2_g_per_l"]


def test_no_such_way_of_serving():
    with pytest.raises(InputError, match="use one of: stirred, shaken, on ice"):
        served_style("thrown")
