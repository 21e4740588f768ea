"""The mixture rule against measured solutions and against the additive rule of the laboratories."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.drink.composition import compose
from tasting.drink.mixture import FIGURES, NAMES

from .glass import few, version


@pytest.mark.parametrize(("brix", "density"), [(5, 1017.8), (10, 1038.1), (40, 1176.5)])
def test_sugar_solutions_have_their_measured_density(brix, density):
    """CRC Handbook, aqueous sucrose at 20 °C (seen)."""
    sugar_g = brix / 0.998
    drink = compose(version(("sugar", f"{sugar_g} g"), ("water", f"{100 - sugar_g} g")))

    assert 1000 * drink.density_kg_per_l == pytest.approx(density, abs=0.1)


@pytest.mark.parametrize(
    ("percent_vol", "sugar_g", "density"),
    [(5, 100, 1029.51), (8, 100, 1025.62), (12, 100, 1020.81)],
)
def test_sweet_spirits_agree_with_the_additive_rule_of_gravities(percent_vol, sugar_g, density):
    """OIV-MA-AS2-03B (Tabarié's rule), computed from tables: both share assumptions, so this shows
    the mixture is put together rightly more than that it is true."""
    spirit_ml = percent_vol / 40 * 1000
    parts = (("neutral-spirit", f"{spirit_ml} mL"), ("sugar", f"{sugar_g / 0.998} g"))
    water_ml = 1000 - spirit_ml - 0.62 * sugar_g
    drink = compose(version(*parts, ("water", f"{water_ml} mL")))

    assert drink.alcohol_percent_vol == pytest.approx(percent_vol, rel=0.005)
    assert 1000 * drink.density_kg_per_l == pytest.approx(density, abs=0.6)


def test_brix_and_instrument_agree_on_a_plain_syrup():
    drink = compose(version(("simple-syrup-1-1", "100 mL")))

    assert drink.brix == pytest.approx(50, abs=1e-6)
    assert drink.refractometer_brix == pytest.approx(50, abs=1e-6)


def test_sucrose_is_as_sweet_as_itself():
    drink = compose(version(("simple-syrup-1-1", "100 mL")))

    assert drink.sweetness_g_per_l == pytest.approx(drink.sugar_g_per_l)


def test_co2_is_diluted_and_stays_out_of_acid_and_brix():
    still = compose(version(("lemon-juice", "10 mL"), ("water", "90 mL")))
    bubbly = compose(version(("lemon-juice", "10 mL"), ("sparkling-water", "90 mL")))

    assert bubbly.co2_g_per_l == pytest.approx(0.9 * 7.0, rel=1e-3)
    assert bubbly.ta_g_per_l == pytest.approx(still.ta_g_per_l, rel=1e-9)
    assert bubbly.brix == pytest.approx(still.brix)


@pytest.mark.parametrize("figure", FIGURES)
def test_every_figure_has_a_name_for_people(figure):
    assert NAMES[figure].name


def test_figure_is_written_with_its_unit():
    assert NAMES["ta_g_per_l"].write(6.254) == "6.25 g/L"
    assert NAMES["ph"].write(3.047) == "3.05"


@pytest.mark.parametrize(("key", "density"), [("glucose", 1037.6), ("fructose", 1038.5)])
def test_ten_percent_of_a_simple_sugar(key, density):
    """CRC Handbook, concentrative properties, 10 % by mass at 20 °C (from memory)."""
    drink = compose(version((key, f"{10 / 0.995} g"), ("water", f"{100 - 10 / 0.995} g")))

    assert 1000 * drink.density_kg_per_l == pytest.approx(density, abs=0.3)


@few
@given(st.floats(0, 60), st.floats(0, 30))
def test_a_refractometer_never_reads_less_than_the_sugar(sugar_g, citric_g):
    made = compose(
        version(
            ("sugar", f"{sugar_g + 0.1!r} g"),
            ("citric-acid", f"{citric_g + 0.1!r} g"),
            ("water", "100 g"),
        )
    )

    assert made.refractometer_brix >= 100 * made.sugar_g_per_l / 1000 / made.density_kg_per_l
    assert made.refractometer_brix <= made.brix + 0.01


@pytest.mark.parametrize(("key", "least", "most"), [("fructose", 1.1, 1.3), ("glucose", 0.6, 0.8)])
def test_sweetness_of_a_sugar_beside_sucrose(key, least, most):
    """Fructose 1.1 to 1.7 times, glucose 0.6 to 0.8 times as sweet (common practice, no source)."""
    made = compose(version((key, "50 g"), ("water", "950 g")))

    assert least <= made.sweetness_g_per_l / made.sugar_g_per_l <= most
