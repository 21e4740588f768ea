"""Density and strength of ethanol and water against published tables."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tasting.drink import alcohol
from tasting.errors import InputError

from .glass import few

AIR_KG_PER_M3 = 1.2


def percent_vol(mass_fraction):
    """Strength in % vol at 20 °C: p rho(p) / rho(1) (OIML R 22, 1975, definition)."""
    density = alcohol.density_kg_per_m3(mass_fraction)
    return 100 * mass_fraction * density / alcohol.density_kg_per_m3(1.0)


def test_coefficients_are_all_there():
    assert [len(row) for row in alcohol._C] == [11, 10, 9, 4, 2]
    assert len(alcohol._A) == 12
    assert len(alcohol._B) == 6


@few
@given(st.floats(0, 100))
def test_strength_there_and_back(percent):
    assert percent_vol(alcohol.mass_fraction(percent)) == pytest.approx(percent, abs=1e-8)


def test_equal_volumes_shrink():
    """Contraction of 50 mL and 50 mL at 20 °C to 96.46 mL follows from the tables."""
    volume = alcohol.liquid_volume_ml(50 * 0.78924, 50 * 0.99820)

    assert volume == pytest.approx(96.46, abs=0.01)


def test_nothing_has_no_volume():
    assert alcohol.liquid_volume_ml(0, 0) == 0


@pytest.mark.parametrize("bad", [-0.01, 1.01, np.nan])
def test_mass_fraction_outside_is_refused(bad):
    with pytest.raises(InputError, match="between 0 and 1"):
        alcohol.density_kg_per_m3(bad)


@pytest.mark.parametrize("bad", [-21, 41])
def test_temperature_outside_is_refused(bad):
    with pytest.raises(InputError, match="outside"):
        alcohol.density_kg_per_m3(0.1, bad)


@pytest.mark.parametrize("bad", [-1, 101, np.nan])
def test_strength_outside_is_refused(bad):
    with pytest.raises(InputError, match="between 0 and 100"):
        alcohol.mass_fraction(bad)


@pytest.mark.parametrize(
    ("celsius", "density"), [(0, 999.84), (10, 999.70), (25, 997.05), (30, 995.65), (40, 992.22)]
)
def test_without_alcohol_it_is_water_at_every_temperature(celsius, density):
    """Densities of water from memory, as in any handbook."""
    assert alcohol.density_kg_per_m3(0, celsius) == pytest.approx(density, abs=0.02)


@pytest.mark.parametrize(
    ("celsius", "density"), [(0, 806.2), (10, 797.8), (25, 785.0), (40, 772.0)]
)
def test_without_water_it_is_ethanol_at_every_temperature(celsius, density):
    """Handbook densities of ethanol, from memory; older data sets differ by some tenths."""
    assert alcohol.density_kg_per_m3(1, celsius) == pytest.approx(density, abs=0.4)


@few
@given(st.floats(0.0, 0.98), st.floats(0.001, 0.02), st.floats(-20, 40))
def test_stronger_is_lighter_once_it_is_liquid(mass, more, celsius):
    """Weak spirits have frozen long before -20 °C; the formula holds for liquids only."""
    assume(celsius >= 10 or mass >= 0.45)
    weak, strong = (alcohol.density_kg_per_m3(p, celsius) for p in (mass, mass + more))

    assert strong < weak


@few
@given(st.floats(0, 500), st.floats(0, 500))
def test_mixing_never_makes_more_volume(ethanol_g, water_g):
    """Ethanol and water contract at every strength (common knowledge)."""
    mixed = float(alcohol.liquid_volume_ml(ethanol_g, water_g))
    apart = sum(float(alcohol.liquid_volume_ml(*pair)) for pair in ((ethanol_g, 0), (0, water_g)))

    assert mixed <= apart + 1e-9


def test_contraction_is_greatest_in_the_middle():
    """About 3.6 % near 54 % vol (from memory of the handbooks)."""
    mass = np.linspace(0.01, 0.99, 99)
    apart = mass / 0.78924 + (1 - mass) / 0.99820
    lost = 1 - alcohol.liquid_volume_ml(mass, 1 - mass) / apart

    assert 100 * lost.max() == pytest.approx(3.6, abs=0.2)
    assert percent_vol(mass[lost.argmax()]) == pytest.approx(54, abs=4)


@few
@given(st.floats(0.0, 100.0))
def test_mass_fraction_is_below_the_share_by_volume(percent):
    """Ethanol is lighter than water."""
    assert 100 * alcohol.mass_fraction(percent) <= percent + 1e-9
