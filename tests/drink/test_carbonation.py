"""CO2 against published solubilities and pressures."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.drink import carbonation
from tasting.errors import InputError

from .glass import few, numbers

PSI_PER_BAR = 14.5038


def test_henrys_constant_at_freezing_point():
    """Weiss 1974, table II: 7.758e-2 mol/(L atm) in pure water at 0 °C (seen)."""
    assert carbonation.solubility_mol_per_l_atm(0) == pytest.approx(7.758e-2, abs=5e-6)


def test_a_warming_bottle():
    """50 psi at 75 °F becomes 75 psi at 100 °F (NC State extension, 2004, seen); here 77."""
    co2 = carbonation.dissolved_g_per_l(50 / PSI_PER_BAR, 23.89)

    assert carbonation.pressure(co2, 37.78).gauge_bar * PSI_PER_BAR == pytest.approx(75, abs=3)


@pytest.mark.parametrize(
    ("volumes", "celsius", "bar"),
    [(2.5, 4, 0.73), (3.0, 20, 2.58), (4.0, 4, 1.79), (4.0, 40, 7.08)],
)
def test_gauge_pressure(volumes, celsius, bar):
    """Computed beforehand by another program from Weiss (computed)."""
    found = carbonation.pressure(volumes * 1.977, celsius)

    assert found.gauge_bar == pytest.approx(bar, rel=0.02)


@few
@given(st.floats(0.1, 15), st.floats(0, 40))
def test_pressure_there_and_back(co2, celsius):
    gauge = carbonation.pressure(co2, celsius).gauge_bar

    assert carbonation.dissolved_g_per_l(gauge, celsius) == pytest.approx(co2, rel=1e-6)


@few
@given(st.floats(0.3, 15), st.floats(0, 39))
def test_pressure_rises_with_warmth_and_lies_in_its_band(co2, celsius):
    cold, warm = carbonation.pressure(co2, celsius), carbonation.pressure(co2, celsius + 1)

    assert cold.gauge_bar < warm.gauge_bar
    assert cold.low_bar < cold.gauge_bar < cold.high_bar


def test_sugar_raises_the_upper_end_only():
    plain, sweet = carbonation.pressure(6, 20), carbonation.pressure(6, 20, sugar_g_per_l=100)

    assert sweet.gauge_bar == plain.gauge_bar
    assert sweet.high_bar > plain.high_bar


def test_pressure_says_that_it_is_no_rating():
    assert "never a rating" in carbonation.pressure(6, 20).notice


def test_champagne_has_nearly_six_volumes():
    """11.4 g/L is 5.8 volumes (seen)."""
    assert carbonation.volumes(11.4) == pytest.approx(5.8, abs=0.05)


def test_fermented_sugar_makes_a_quarter_volume_per_gram():
    """0.49 g of CO2 per gram of glucose (from the equation of fermentation)."""
    assert carbonation.from_sugar_g_per_l(1) == pytest.approx(0.4886, abs=1e-4)


@pytest.mark.parametrize("celsius", [-1, 51])
def test_temperature_outside_is_refused(celsius):
    with pytest.raises(InputError, match="solubility of CO₂ is known"):
        carbonation.pressure(5, celsius)


def test_pressure_below_a_vacuum_is_refused():
    with pytest.raises(InputError, match="−2 bar is outside"):
        carbonation.dissolved_g_per_l(-2, 20)


def test_absurd_level_is_refused():
    with pytest.raises(InputError, match="outside the computed range"):
        carbonation.pressure(500, 20)


def other_solubility(celsius):
    """Plummer and Busenberg 1982 (from memory), an independent fit: within 0.5 % of Weiss."""
    t = celsius + 273.15
    log10 = 108.3865 + 0.01985076 * t - 6919.53 / t - 40.45154 * math.log10(t) + 669365 / t**2
    return 10**log10


@pytest.mark.parametrize("celsius", [1, 5, 10, 20, 30, 40])
def test_another_fit_agrees(celsius):
    assert carbonation.solubility_mol_per_l_atm(celsius) == pytest.approx(
        other_solubility(celsius), rel=0.01
    )


@pytest.mark.parametrize(
    ("celsius", "volumes"), numbers("drink_co2_1880.csv", "temperature_c", "volumes")
)
def test_even_the_old_tables_agree_within_a_few_percent(celsius, volumes):
    """They are at 1 atm of CO2 itself, without the vapour of the water."""
    kelvin = celsius + 273.15
    vapour_bar = carbonation._vapour_atm(kelvin) * carbonation.BAR_PER_ATM
    found = carbonation.volumes(carbonation.dissolved_g_per_l(vapour_bar, celsius))

    assert found == pytest.approx(volumes, rel=0.06)


def chart_psi(fahrenheit, volumes):
    """Regression of the usual keg chart (page seen; it gives 22.235 psi at 32 °F and 4 volumes)."""
    f, v = fahrenheit, volumes
    return (
        -16.6999
        - 0.0101059 * f
        + 0.00116512 * f**2
        + 0.173354 * f * v
        + 4.24267 * v
        - 0.0684226 * v**2
    )


def test_the_chart_is_the_one_that_was_seen():
    assert chart_psi(32, 4) == pytest.approx(22.235, abs=0.01)


@pytest.mark.parametrize(("fahrenheit", "volumes"), [(40, 2.5), (45, 2.5), (50, 3), (60, 2.5)])
def test_the_chart_of_the_trade_lies_in_the_band(fahrenheit, volumes):
    """It is for beer and reads a little higher than pure water when cold."""
    celsius = (fahrenheit - 32) / 1.8
    found = carbonation.pressure(volumes * 1.977, celsius)

    assert found.low_bar <= chart_psi(fahrenheit, volumes) / PSI_PER_BAR <= found.high_bar


def test_near_a_vacuum_what_is_left_of_the_pressure_beside_water_vapour_dissolves():
    # Water boils at 2.339 kPa at 20 °C (IAPWS steam tables, from memory); gas is near ideal there.
    vapour_bar = 0.02339
    thin, thick = (carbonation.dissolved_g_per_l(bar - 1.01325, 20) for bar in (0.05, 0.10))
    assert thin / thick == pytest.approx((0.05 - vapour_bar) / (0.10 - vapour_bar), rel=2e-3)


def test_only_sugar_that_is_there_raises_the_upper_end():
    none, less = (carbonation.pressure(6, 20, sugar) for sugar in (0.0, -50.0))
    assert less == none
    assert carbonation.pressure(6, 20, 50.0).high_bar > none.high_bar
