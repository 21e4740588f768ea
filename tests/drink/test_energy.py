"""Energy by the factors of the law."""

import pytest

from tasting.drink.alcohol import ETHANOL_G_PER_ML
from tasting.drink.composition import compose
from tasting.drink.energy import PER_G

from .glass import version


def energy(**grams):
    """Kilocalories and kilojoules of grams of each group."""
    groups = [(PER_G[name.replace("_", " ")], mass) for name, mass in grams.items()]
    return tuple(sum(factors[unit] * mass for factors, mass in groups) for unit in (0, 1))


def test_the_published_example_of_a_wine():
    """100 mL at 12 % vol, alcohol only: 275 kJ / 66 kcal (e-label help page, seen)."""
    found = energy(alcohol=12 * ETHANOL_G_PER_ML)

    assert tuple(map(round, found)) == (66, 275)


def test_groups_add_up():
    """355 mL, 5 % vol, 30 g sugar, 2 g citric acid: 942 kJ / 224 kcal (computed by hand)."""
    found = energy(alcohol=17.75 * ETHANOL_G_PER_ML, carbohydrate=30, organic_acid=2)

    assert tuple(map(round, found)) == (224, 942)


def test_every_group_has_its_factor():
    """1 g of each (Annex XIV): 37 + 17 + 17 + 10 + 29 + 13 + 8 kJ and the like in kcal."""
    found = energy(
        fat=1, protein=1, carbohydrate=1, polyol=1, alcohol=1, organic_acid=1, fibre=1, erythritol=1
    )

    assert found == pytest.approx((31.4, 131))


def test_declared_energy_of_an_ingredient_is_taken_as_it_is():
    """The 316 kcal of a maltose syrup hold longer sugars too: nothing is added to them."""
    found = compose(version(("maltose-syrup", "100 g"))).serving().energy_kcal
    assert found == pytest.approx(316)


@pytest.mark.parametrize(("kcal", "kj"), list(PER_G.values()), ids=list(PER_G))
def test_kilojoules_are_about_four_times_the_kilocalories(kcal, kj):
    """4.184 kJ are a kilocalorie; the Annex rounds both factors to whole numbers."""
    assert kj == pytest.approx(4.184 * kcal, abs=1.0)
