"""How an amount is understood, in words; and that a measure without a definition makes unsure."""

import pytest

from tasting.drink import measures
from tasting.drink.composition import compose, propagated
from tasting.drink.formula import Part
from tasting.drink.uncertainty import advice
from tasting.units import CUSTOMARY

from .glass import version


def part(key, amount):
    return Part.model_validate({"ingredient": key, "amount": amount})


@pytest.mark.parametrize(
    ("key", "amount", "said"),
    [
        ("lemon-juice", "22,5 ml", "22.5 mL"),
        # NIST Handbook 44, appendix C: 29.5735 mL and 28.3495 g.
        ("lemon-juice", "0,75 fl oz", "0.75 US fl oz, 22.18 mL"),
        ("lemon-juice", "1 oz", "1 US fl oz, 29.57 mL"),
        ("lemon-juice", "1 oz (weight)", "1 oz (weight), 28.35 g"),
        ("sugar", "1 oz", "1 oz (weight), 28.35 g"),
        ("aromatic-bitters", "2 dashes", "2 dashes, about 1.8 mL (0.8–2.6 mL; common practice, no"),
        ("sugar", "3 mL", "3 mL; 2.55 g at a bulk density of 0.85 g/mL"),
        ("salt", "1 pinch", "1 pinch, about 0.31 mL (0.15–0.6 mL; common practice, no source); 0."),
    ],
)
def test_an_amount_in_words(key, amount, said):
    assert measures.in_words(part(key, amount)).startswith(said)


def test_a_solid_by_volume_asks_for_its_bulk_density():
    sugar = part("sugar", "3 mL")
    own = sugar.ingredient.model_copy(update={"sources": {}})

    assert measures.missing_bulk_density(sugar) == ""
    assert "bulk density is not known; weigh it in g" in measures.missing_bulk_density(
        Part(ingredient=own, amount=sugar.amount)
    )
    assert (
        measures.missing_bulk_density(Part(ingredient=own, amount=part("sugar", "3 g").amount))
        == ""
    )


SIZE = CUSTOMARY["barspoon"]
SPOONED = version(("lemon-juice", "2 barspoons"), ("water", "100 mL"))
POURED = version(("lemon-juice", f"{2 * SIZE.ml} mL"), ("water", "100 mL"))


def test_a_customary_measure_counts_as_unsure():
    """At the ends of its range the spoon holds what the same versions in mL hold (arithmetic); the
    juice's own ranges are added in quadrature."""
    spooned, poured = compose(SPOONED), compose(POURED)
    acid = spooned.intervals["ta_g_per_l"]
    own = poured.intervals["ta_g_per_l"]
    most = compose(version(("lemon-juice", f"{2 * SIZE.high_ml} mL"), ("water", "100 mL")))
    least = compose(version(("lemon-juice", f"{2 * SIZE.low_ml} mL"), ("water", "100 mL")))

    assert spooned.ta_g_per_l == pytest.approx(poured.ta_g_per_l)
    up = ((own.high - poured.ta_g_per_l) ** 2 + (most.ta_g_per_l - poured.ta_g_per_l) ** 2) ** 0.5
    down = ((poured.ta_g_per_l - own.low) ** 2 + (poured.ta_g_per_l - least.ta_g_per_l) ** 2) ** 0.5
    assert acid.high - spooned.ta_g_per_l == pytest.approx(up, rel=1e-6)
    assert spooned.ta_g_per_l - acid.low == pytest.approx(down, rel=1e-6)


def test_the_measure_is_blamed_and_not_the_juice():
    spread = compose(SPOONED).intervals["ta_g_per_l"]

    assert spread.main == "amount of lemon juice"
    assert advice(spread).startswith("Weigh the amount of lemon juice: ")


def test_two_lines_in_spoons_are_one_source():
    twice = version(
        ("lemon-juice", "1 barspoon"), ("lemon-juice", "1 barspoon"), ("water", "100 mL")
    )

    assert [figure for _, figure in propagated(twice).sources].count("barspoon") == 1
    assert compose(twice).intervals["ph"].low == pytest.approx(compose(SPOONED).intervals["ph"].low)
