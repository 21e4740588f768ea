"""Density and strength of ethanol and water against published tables."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.drink import alcohol

from .glass import density_kg_per_m3, few, mass_fraction, numbers, percent_vol


@pytest.mark.parametrize(
    ("percent", "density", "tolerance"),
    numbers("drink_alcohol_by_volume.csv", "percent_vol", "density_kg_per_m3", "tolerance"),
)
def test_density_by_volume_is_the_tables(percent, density, tolerance):
    assert density_kg_per_m3(mass_fraction(percent)) == pytest.approx(density, abs=tolerance)


@pytest.mark.parametrize(
    ("percent", "density", "tolerance"),
    numbers("drink_alcohol_by_mass.csv", "mass_percent", "density_kg_per_m3", "tolerance"),
)
def test_density_by_mass_is_the_handbooks(percent, density, tolerance):
    assert density_kg_per_m3(percent / 100) == pytest.approx(density, abs=tolerance)


def test_a_volume_of_alcohol_is_weighed_by_its_density():
    """789.24 kg/m3 at 20 °C (OIML R 22, 1975)."""
    assert pytest.approx(0.78924, abs=5e-6) == alcohol.ETHANOL_G_PER_ML


def test_equal_volumes_shrink():
    """Contraction of 50 mL and 50 mL at 20 °C to 96.46 mL follows from the tables."""
    volume = alcohol.liquid_volume_ml(50 * 0.78924, 50 * 0.99820)

    assert volume == pytest.approx(96.46, abs=0.01)


def test_nothing_has_no_volume():
    assert alcohol.liquid_volume_ml(0, 0) == 0


@few
@given(st.floats(0.0, 0.98), st.floats(0.001, 0.02))
def test_stronger_is_lighter(mass, more):
    assert density_kg_per_m3(mass + more) < density_kg_per_m3(mass)


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
