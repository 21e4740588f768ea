"""Sucrose in water against the handbook."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.drink import sugar
from tasting.errors import InputError

from .glass import few


def test_without_sugar_it_is_water():
    """Density of water at 20 °C from memory."""
    assert sugar.density_kg_per_m3(0) == pytest.approx(998.20, abs=0.01)


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


@pytest.mark.parametrize(("celsius", "percent"), [(0, 64.18), (20, 67.09)])
def test_solubility_near_the_older_handbook(celsius, percent):
    """CRC Handbook, older list (seen); the newer fit lies within 0.4."""
    assert sugar.solubility_percent(celsius) == pytest.approx(percent, abs=0.4)


def test_refractometer_reads_acid_short_and_alcohol_as_sugar():
    """Ten % of citric acid reads 8.75 (index 1.3459); 5 % vol adds about 1.8 (from memory)."""
    assert sugar.refractometer_brix(0, 10, 0) == pytest.approx(8.75)
    assert sugar.refractometer_brix(10, 0, 5) == pytest.approx(11.8)


def test_sweetness_lies_within_its_spread():
    assert np.all(sugar.SWEETNESS_LOW <= sugar.SWEETNESS)
    assert np.all(sugar.SWEETNESS <= sugar.SWEETNESS_HIGH)


def test_solubility_outside_is_refused():
    with pytest.raises(InputError, match="not at −5"):
        sugar.solubility_percent(-5)


def test_warm_water_holds_more_sugar():
    """At 20 °C about 2 kg to a litre, at 100 °C about 4.8 (common knowledge of the trade)."""
    held = [sugar.solubility_percent(celsius) for celsius in range(0, 101, 5)]

    assert held == sorted(held)
    assert [round(100 * held[at] / (100 - held[at]), -1) for at in (4, 20)] == [200, 480]


@few
@given(st.floats(0.0, 0.7), st.floats(0.001, 0.1))
def test_more_sugar_is_denser(w, more):
    assert sugar.density_kg_per_m3(w + more) > sugar.density_kg_per_m3(w)


@few
@given(st.lists(st.floats(0.0, 50.0), min_size=5, max_size=5), st.floats(1.1, 4.0))
def test_dissolved_volume_scales_with_the_batch(grams, factor):
    small = sugar.dissolved_volume_ml(np.array(grams), 100.0)
    large = sugar.dissolved_volume_ml(factor * np.array(grams), factor * 100.0)

    assert large == pytest.approx(factor * small)


def test_grams_of_sugar_take_about_six_tenths_of_a_millilitre():
    """Apparent specific volume of sucrose in water about 0.62 mL/g (from memory)."""
    grams = np.array([10.0, 0, 0, 0, 0])

    assert sugar.dissolved_volume_ml(grams, 100.0) / 10 == pytest.approx(0.618, abs=0.005)
