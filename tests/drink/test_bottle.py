"""What measurements say together, against tables of others and against mixtures."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from tasting.drink import content, sugar
from tasting.drink.bottle import (
    Instrument,
    extract_g_per_l,
    from_density_and_alcohol,
    from_density_and_refraction,
    from_titration,
    from_two_refractions,
    reading,
)
from tasting.drink.mixture import mix
from tasting.errors import InputError

from .glass import few, numbers

WATER = 0.9982031


def sure(*values):
    return [Instrument(value, 0.0) for value in values]


def mixed(ethanol_g, sucrose_g, water_g):
    totals = np.zeros((1, content.WIDTH))
    totals[0, content.ETHANOL], totals[0, content.WATER] = ethanol_g, water_g
    totals[0, content.SUGARS.start] = sucrose_g
    return mix(totals)


@pytest.mark.parametrize(
    ("relative_density", "extract"),
    [(1.010, 25.8), (1.020, 51.7), (1.030, 77.7), (1.040, 103.7), (1.060, 155.9)],
)
def test_extract_of_a_density(relative_density, extract):
    """OIV-MA-AS2-03B, table of total dry extract by relative density 20/20 (from memory)."""
    assert extract_g_per_l(relative_density * WATER) == pytest.approx(extract, abs=0.25)


def test_extract_of_ten_brix():
    """10 % sucrose: 1.0381 kg/L (CRC Handbook), so 103.8 g/L (arithmetic)."""
    assert extract_g_per_l(1.0381) == pytest.approx(103.8, abs=0.1)


def test_extract_lighter_than_water_is_below_none():
    assert extract_g_per_l(WATER - 0.001) == pytest.approx(
        -extract_g_per_l(WATER + 0.001), rel=1e-3
    )


@pytest.mark.parametrize(
    ("percent_vol", "density", "extract"),
    [
        # Relation of the OIV: 1.0018 (rho - rho_alcohol) + 1 as relative density (method
        # OIV-MA-AS2-03B, seen in a copy); densities of ethanol and water as in OIML R 22:
        # 5 % vol 0.991055, 10 % 0.984710, 20 % 0.973557 kg/L (seen).
        (5.0, 1.0000, 1.0018 * (1.0000 - 0.991055)),
        (10.0, 0.9950, 1.0018 * (0.9950 - 0.984710)),
        (20.0, 1.0500, 1.0018 * (1.0500 - 0.973557)),
    ],
)
def test_tabarie_as_the_oiv_writes_it(percent_vol, density, extract):
    told = from_density_and_alcohol(*sure(density, percent_vol))[0]

    assert told.value == pytest.approx(extract_g_per_l((1 + extract) * WATER), abs=0.05)


def test_a_wine_by_the_table():
    """12 % vol at 0.9920 kg/L; ethanol and water of 12 % vol 0.98239 kg/L, so 1.0096 relative, in
    the OIV's table 24.8 g/L (both from memory)."""
    (told,) = from_density_and_alcohol(*sure(0.9920, 12.0))

    assert told.value == pytest.approx(24.8, abs=0.4)


@few
@given(st.floats(0.5, 12), st.floats(5, 150))
def test_alcohol_and_extract_are_found_again(percent_vol, sucrose):
    """Of a drink of ethanol, sucrose and water by the mixture rule, in three ways."""
    ethanol = 7.8924 * percent_vol
    drink = mixed(ethanol, sucrose, 1000 - 0.62 * sucrose - 1.25 * ethanol)
    density, shown, strength, level = (
        float(getattr(drink, name)[0])
        for name in (
            "density_kg_per_l",
            "refractometer_brix",
            "alcohol_percent_vol",
            "sugar_g_per_l",
        )
    )
    boiled = 100 * brentq(lambda w: w * float(sugar.density_kg_per_m3(w)) - level, 0, 0.5)

    (tabarie,) = from_density_and_alcohol(*sure(density, strength))
    assert abs(tabarie.value - level) <= tabarie.half
    alcohol, extract = from_density_and_refraction(*sure(density, shown))
    assert (alcohol.value, extract.value) == pytest.approx((strength, level), rel=1e-3, abs=1e-3)
    alcohol, extract = from_two_refractions(*sure(shown, boiled))
    assert (alcohol.value, extract.value) == pytest.approx((strength, level), rel=0.005, abs=0.02)


def test_what_is_measured_better_is_told_better():
    rough = from_density_and_refraction(reading("density_kg_per_l", 1.0295, 0.002), *sure(11.5))
    fine = from_density_and_refraction(reading("density_kg_per_l", 1.0295, 0.0002), *sure(11.5))

    assert all(one.half < other.half for one, other in zip(fine, rough, strict=True))


def test_uncertainty_covers_as_often_as_it_says():
    """Readings scattered so that 95 % lie within their halves (normal, 1.96 sigma): the truth lies
    in the interval at least as often."""
    drink = mixed(39.46, 100.0, 890.0)
    truth = float(drink.alcohol_percent_vol[0]), float(drink.sugar_g_per_l[0])
    values = float(drink.density_kg_per_l[0]), float(drink.refractometer_brix[0])
    rng, halves = np.random.default_rng(7), (0.0005, 0.1)
    covered = []
    for _ in range(150):
        seen = [
            Instrument(value + rng.normal() * half / 1.96, half)
            for value, half in zip(values, halves, strict=True)
        ]
        told = from_density_and_refraction(*seen)
        covered.append([d.low <= true <= d.high for d, true in zip(told, truth, strict=True)])

    assert np.mean(covered, axis=0).min() >= 0.93


def test_without_alcohol_there_is_none():
    """A pure syrup of 10 %: 1.0381 kg/L, 10 °Brix (CRC Handbook)."""
    alcohol, extract = from_density_and_refraction(
        reading("density_kg_per_l", 1.0381), reading("refractometer_brix", 10.0)
    )

    assert alcohol.low == 0
    assert alcohol.value < 0.1
    assert extract.value == pytest.approx(103.8, abs=0.3)


def test_water_and_alcohol_alone():
    """5 % vol reads 1.8 °Brix (CRC Handbook, from memory)."""
    alcohol, extract = from_two_refractions(*sure(1.8, 0.0))

    assert alcohol.value == pytest.approx(5.0, abs=0.1)
    assert extract.value == 0


def test_sugar_is_the_extract_without_the_acid():
    extract, sugars = from_density_and_alcohol(*sure(1.0295, 5.0, 6.2))

    assert sugars.value == pytest.approx(extract.value - 6.2)
    assert sugars.half > extract.half


@pytest.mark.parametrize(
    ("sample_ml", "normality", "base_ml", "g_per_100ml", "tolerance"),
    [
        row
        for row in numbers(
            "drink_titration.csv",
            "sample_ml",
            "base_normality",
            "base_ml",
            "g_per_100ml",
            "tolerance",
        )
    ][:3],
)
def test_titrations_of_the_published_list(sample_ml, normality, base_ml, g_per_100ml, tolerance):
    told = from_titration(base_ml, sample_ml, normality)

    assert told.value == pytest.approx(10 * g_per_100ml, abs=10 * tolerance)


def test_how_well_a_burette_tells():
    """0.1 of 15.6 mL, and 1 % twice: 0.064, 0.1 and 0.1 g/L in quadrature (arithmetic)."""
    assert from_titration(15.6, 10).half == pytest.approx(0.155, abs=0.001)


@pytest.mark.parametrize(
    ("ask", "match"),
    [
        (lambda: from_density_and_alcohol(*sure(2.0, 5.0)), "more than any syrup's"),
        (lambda: from_density_and_refraction(*sure(1.05, 5.0)), "no drink has a density"),
        (lambda: from_two_refractions(*sure(8.0, 10.0)), "cannot both be right"),
        (lambda: from_two_refractions(*sure(8.0, -1.0)), "is impossible"),
        (lambda: reading("ph", 3.0, -0.1), "is not an uncertainty"),
    ],
)
def test_what_cannot_be(ask, match):
    with pytest.raises(InputError, match=match):
        ask()
