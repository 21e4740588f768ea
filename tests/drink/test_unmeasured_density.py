"""A density that nobody measured, against the tables of sugar and of alcohol."""

import pytest

from tasting.drink.unmeasured_density import density_per_100_g, density_per_100_ml
from tasting.errors import InputError

# Sucrose in water at 20 °C, kg/L, by mass per cent (ICUMSA SPS-4, as in the handbooks of sugar).
SUGAR = [(0, 0.9982), (10, 1.0381), (35, 1.1513), (50, 1.2297), (65, 1.3166)]
# Ethanol in water at 20 °C, kg/L, by % vol (OIML R 22, 1975).
ALCOHOL = [(0, 0.9982), (40, 0.9480), (96, 0.8074)]


@pytest.mark.parametrize(("percent", "density"), SUGAR)
def test_syrups_are_as_dense_as_in_the_tables(percent, density):
    assert density_per_100_g(percent, 0, 0) == pytest.approx(density, abs=1e-4)
    assert density_per_100_ml(percent * density, 0, 0) == pytest.approx(density, abs=1e-4)


@pytest.mark.parametrize(("percent_vol", "density"), ALCOHOL)
def test_spirits_are_as_dense_as_in_the_tables(percent_vol, density):
    assert density_per_100_g(0, 0, percent_vol) == pytest.approx(density, abs=1e-4)


def test_sugar_acid_and_alcohol_add_up():
    """A liqueur of 30 % vol and 25 g of sugar in 100 mL: 1.05 to 1.07 (common practice, no
    source)."""
    assert 1.05 < density_per_100_ml(25, 0, 30) < 1.07
    assert density_per_100_ml(25, 1, 30) > density_per_100_ml(25, 0, 30)


def test_what_does_not_fit_is_refused():
    with pytest.raises(InputError, match="do not fit"):
        density_per_100_g(90, 0, 50)
