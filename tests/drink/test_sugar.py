"""Sucrose in water against the handbook."""

import numpy as np
import pytest

from tasting.drink import sugar
from tasting.errors import InputError

from .glass import numbers


@pytest.mark.parametrize(
    ("brix", "density", "tolerance"),
    numbers("drink_sucrose_density.csv", "brix", "density_kg_per_m3", "tolerance"),
)
def test_density_is_the_handbooks(brix, density, tolerance):
    assert sugar.density_kg_per_m3(brix / 100) == pytest.approx(density, abs=tolerance)


@pytest.mark.parametrize(("celsius", "density"), [(4, 999.97), (20, 998.20), (25, 997.05)])
def test_without_sugar_it_is_water(celsius, density):
    """Densities of water from memory."""
    assert sugar.density_kg_per_m3(0, celsius) == pytest.approx(density, abs=0.01)


@pytest.mark.parametrize("w", [0.02, 0.1, 0.5, 0.65])
def test_apparent_volume_gives_the_density_back(w):
    volume = (1 - w) / 0.998203 + w * sugar.apparent_volume_ml_per_g(w)

    assert 1000 / volume == pytest.approx(sugar.density_kg_per_m3(w), abs=0.002)


def test_apparent_volume_has_a_limit_at_nothing():
    assert sugar.apparent_volume_ml_per_g(0) == pytest.approx(0.6154, abs=2e-4)


def test_fructose_takes_less_room_than_glucose():
    glucose, fructose = sugar.dissolved_volume_ml(np.eye(5)[1:3] * 50, np.full(2, 950.0))

    assert fructose < glucose


@pytest.mark.parametrize("bad", [-0.1, 0.9, np.nan])
def test_strength_outside_is_refused(bad):
    with pytest.raises(InputError, match="mass fraction of sucrose"):
        sugar.density_kg_per_m3(bad)


def test_temperature_outside_is_refused():
    with pytest.raises(InputError, match="not at 120"):
        sugar.density_kg_per_m3(0.1, 120)
