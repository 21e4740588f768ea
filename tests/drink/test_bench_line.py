"""A line at the bench is read as it was meant, or asked about in one sentence."""

import pytest

from tasting.drink.bench import Added, BenchLog, TastedAway, glasses
from tasting.drink.bench_line import read_step
from tasting.drink.composition import compose
from tasting.drink.pantry import pantry
from tasting.drink.shelf import shelf

from .glass import SPRITZ

SHELF = shelf({item.name: item for item in pantry().values()})
(GLASS,) = glasses(BenchLog(start=SPRITZ, poured_ml=100))


def read(typed):
    return read_step(typed, SHELF, GLASS)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("+0.1 g citric acid", "+0.1 g citric acid, anhydrous"),
        ("+ 0,1 g citric acid", "+0.1 g citric acid, anhydrous"),
        ("2 mL lemon juice", "+2 mL lemon juice"),
        ("lemon 1/2 tsp", "+0.5 tsp lemon juice"),
        ("a pinch of salt", "+1 pinch table salt"),
        ("100 mg citric acid", "+100 mg citric acid, anhydrous"),
    ],
)
def test_an_addition(typed, said):
    step = read(typed).step

    assert isinstance(step, Added)
    assert str(step) == said


@pytest.mark.parametrize(
    ("typed", "volume_ml"),
    [
        ("10 mL tasted away", 10),
        ("tasted 10 ml", 10),
        ("Tasted away: 10 mL", 10),
        ("−10 mL tasted", 10),
        ("10 ml away", 10),
        ("1 cl drunk", 10),
        ("poured off 1,5 cl", 15),
        ("sipped 1 tsp", 4.92892159375),
    ],
)
def test_what_was_tasted_away(typed, volume_ml):
    """A teaspoon is 4.93 mL (NIST Handbook 44, appendix C)."""
    step = read(typed).step

    assert isinstance(step, TastedAway)
    assert step.volume_ml == pytest.approx(volume_ml)


def test_what_was_weighed_out_is_a_volume_at_the_density_of_the_glass():
    step = read("10 g tasted away").step

    assert step.volume_ml == pytest.approx(10 / compose(SPRITZ).density_kg_per_l)


def test_topping_up_fills_the_glass():
    """100 mL are in it, so 20 mL of soda make 120 mL (arithmetic)."""
    step = read("top with soda to 120 mL").step

    assert step.part.ingredient.key == "sparkling-water"
    assert step.part.amount.quantity == pytest.approx(20, abs=0.05)


@pytest.mark.parametrize(
    ("typed", "asked"),
    [
        ("", "nothing is typed"),
        ("0.1 g", "the ingredient is missing"),
        ("0.1 citric acid", "0.1 of what"),
        ("citric acid", "how much"),
        ("stir well", "no ingredient is named here"),
        ("-2 mL lemon juice", "cannot be taken out; undo"),
        ("0 mL lemon juice", "above zero"),
        ("1,125 g citric acid", "can mean 1.125 or 1125"),
        ("tasted a little", "is not an amount"),
        ("some tasted away", "is not an amount"),
        ("top with soda to 90 mL", "10 mL more than 90 mL already"),
        ("2 parts lemon juice", "how large is a part"),
        ("5 tonnes lemon juice", "of what"),
    ],
)
def test_what_is_not_understood_is_asked(typed, asked):
    found = read(typed)

    assert found.step is None
    assert asked in found.asked


def test_a_name_that_is_only_like_one_is_offered():
    """Malic and maleic acid differ by one letter, so nothing is guessed."""
    found = read("0.1 g maleic acid")

    assert found.step is None
    assert "“maleic acid” is not known here" in found.asked
    assert ("malic acid", "0.1 g malic acid") in [
        (offer.name, offer.line) for offer in found.offers
    ]
