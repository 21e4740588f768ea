"""Recipes found again from their own labels, and what excludes what by construction."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tasting.drink.composition import compose
from tasting.drink.declared import nearest
from tasting.drink.demands import demand, demands_of, read_limits
from tasting.drink.formulate import formulate
from tasting.drink.ice import melted
from tasting.drink.label import Reference, matches
from tasting.drink.weighable import is_on_scale
from tasting.drink.whole_steps import as_version
from tasting.errors import InputError

from .glass import version

KEYS = ("rhubarb-juice", "lemon-juice", "bay-syrup", "neutral-spirit", "sparkling-water")
SPRITZ = (
    ("rhubarb-juice", "60 mL"),
    ("bay-syrup", "20 mL"),
    ("neutral-spirit", "30 mL"),
    ("lemon-juice", "8 mL"),
    ("sparkling-water", "90 mL"),
)
millilitres = st.tuples(*(st.floats(5, 80) for _ in KEYS))
slow = settings(max_examples=8, deadline=None)


def bottle(drink, **more):
    """The label of a drink, rounded as in the EU, and what a kitchen measures on it."""
    return Reference(
        id="R",
        name="Reference bottle R",
        serving_ml=round(drink.volume_ml, 3),
        alcohol_percent_vol=nearest(drink.alcohol_percent_vol, 0.1),
        energy_kcal_per_100ml=nearest(drink.energy_kcal_per_l / 10, 1),
        sugar_g_per_100ml=nearest(drink.sugar_g_per_l / 10, 0.1),
        ta_g_per_l=round(drink.ta_g_per_l, 2),
        ph=round(drink.ph, 2),
        invented="composed for the test",
        **more,
    )


def grams(parts):
    return {part.ingredient.key: part.amount.quantity for part in parts}


@slow
@given(millilitres)
def test_a_drink_is_found_again_from_its_own_label(amounts):
    recipe = dict(zip(KEYS, amounts, strict=True))
    drink = compose(version(*((key, f"{ml!r} mL") for key, ml in recipe.items())))
    reference = bottle(drink)
    found = formulate(reference, KEYS)

    assert found.found
    assert not found.impossible
    for one in found.ranges:
        assert one.proven_least - 0.01 <= recipe[one.key] <= one.proven_most + 0.01
        assert one.proven_least <= one.least <= one.middle <= one.most <= one.proven_most
    for one in demands_of(reference):
        value = getattr(found.composition, one.figure)
        assert one.low - 1e-3 * one.half <= value <= one.high + 1e-3 * one.half


@pytest.fixture(scope="module")
def spritz():
    """The spritz from its own label, within limits."""
    limits = ["rhubarb juice 40-80 mL", *KEYS[1:], "citric acid <= 0.5 g"]
    return formulate(bottle(compose(version(*SPRITZ))), limits)


def test_both_ends_of_each_range_are_recipes(spritz):
    """Each end, given as an amount, leaves a recipe; a step beyond what is proven leaves none."""
    reference = bottle(compose(version(*SPRITZ)))
    lemon = next(one for one in spritz.ranges if one.key == "lemon-juice")
    others = ["rhubarb juice 40-80 mL", *KEYS[2:], "citric acid <= 0.5 g"]

    assert formulate(reference, [*others, f"lemon juice {lemon.most - 0.01:.4f} mL"]).found
    beyond = formulate(reference, [*others, f"lemon juice {lemon.proven_most + 0.1:.4f} mL"])
    assert beyond.impossible


def test_the_recipe_can_be_weighed_and_still_keeps_everything(spritz):
    recipe = spritz.weighed

    assert recipe.kept
    assert recipe.misses == ()
    assert all(is_on_scale(amount, 0.1) for amount in grams(recipe.parts).values())
    again = compose(as_version(recipe.parts, recipe.servings))
    assert {match.verdict for match in matches(again, bottle(compose(version(*SPRITZ))))} <= {
        "inside",
        "not decidable",
    }


def test_a_coarse_scale_makes_more_at_once_or_says_what_it_misses():
    reference = bottle(compose(version(*SPRITZ)))
    found = formulate(reference, KEYS, step_g=5.0)

    assert found.found
    if found.weighed.kept:
        assert found.weighed.servings > 1
        assert "at once meet all of them" in found.weighed.says
    else:
        assert found.weighed.misses
        assert found.weighed.says.startswith("In steps of 5 g or mL: ")


def test_a_given_amount_stays(spritz):
    found = formulate(
        bottle(compose(version(*SPRITZ))), ["60 mL rhubarb juice", *KEYS[1:], "citric acid <= 1 g"]
    )

    assert found.found
    assert grams(found.parts)["rhubarb-juice"] == pytest.approx(60)
    assert grams(found.weighed.parts)["rhubarb-juice"] == pytest.approx(60)
    widths = [
        {one.key: one.most - one.least for one in answer.ranges} for answer in (found, spritz)
    ]
    assert widths[0]["lemon-juice"] < widths[1]["lemon-juice"]


def test_the_measurement_that_is_named_does_narrow(spritz):
    """Given to the bottle, it leaves less room to the amounts."""
    best = spritz.measure_next[0]
    value = getattr(spritz.composition, best.figure)
    more = formulate(
        bottle(compose(version(*SPRITZ))),
        ["rhubarb juice 40-80 mL", *KEYS[1:], "citric acid <= 0.5 g"],
        demands=[demand(best.figure, value - best.half, value + best.half)],
    )
    before, after = (
        np.array([one.proven_most - one.proven_least for one in answer.ranges])
        for answer in (spritz, more)
    )

    assert more.found
    assert best.narrows > 0.01
    assert 1 - (after / before).mean() == pytest.approx(best.narrows, abs=0.03)


PLAIN = Reference(id="P", name="Reference bottle P", serving_ml=200)


def refused(limits, *asked):
    """What excludes what, proven."""
    found = formulate(PLAIN, limits, demands=[demand(*one) for one in asked])
    assert (found.found, found.impossible, found.weighed) == (False, True, None)
    assert all(one.proven for one in found.exclusions)
    return found.exclusions


def test_one_demand_that_nothing_gives():
    (told,) = refused(["water", "sugar"], ("alcohol_percent_vol", 5.4, 5.6))

    assert told.misses[0].by == pytest.approx(-5.4)
    assert str(told).startswith("These ingredients do not give alcohol 5.40–5.60 % vol")


def test_two_demands_that_exclude_each_other():
    """5 % vol are 39.46 g/L of ethanol and 276 kcal/L (7 kcal/g, Regulation (EU) No 1169/2011)."""
    (told,) = refused(
        ["water", "neutral-spirit", "sugar"],
        ("alcohol_percent_vol", 5.0, 5.2),
        ("energy_kcal_per_l", 180.0, 200.0),
        ("sugar_g_per_l", 0.0, 50.0),
    )
    energy = next(miss for miss in told.misses if miss.figure == "energy_kcal_per_l")

    assert len(told.sides) == 2
    assert energy.at_best == pytest.approx(276, abs=1.5)
    assert energy.by == pytest.approx(76, abs=1.5)


def test_a_limit_and_a_demand_that_exclude_each_other():
    """0.5 g in 0.2 L are 2.5 g/L (arithmetic), in 199 mL 2.51."""
    (told,) = refused(["water", "citric acid <= 0.5 g"], ("ta_g_per_l", 5.0, 5.2))

    assert told.sides == (
        "TA 5.00–5.20 g/L",
        "at most 0.5 g citric acid, anhydrous",
    )
    assert told.misses[0].at_best == pytest.approx(2.51, abs=0.02)


def test_more_than_the_glass_holds():
    (told,) = refused(["water", "210 mL lemon juice"], ("ta_g_per_l", 0.0, 200.0))

    assert "volume 199.0–201.0 mL" in told.sides
    assert told.misses[0].by == pytest.approx(9, abs=0.1)


def test_three_that_exclude_each_other_only_together():
    """Acid from lemon alone brings its sugar along: with much acid, no sugar and no powder."""
    (told,) = refused(
        ["water", "lemon juice", "citric acid <= 0.5 g"],
        ("ta_g_per_l", 10.0, 10.2),
        ("sugar_g_per_l", 0.0, 1.0),
    )

    assert len(told.sides) == 3


def test_ph_and_acidity_exclude_each_other():
    """10 g/L of citric acid alone are at pH 2.2 or so (weak acid: ½(pK₁ − log c))."""
    exclusions = refused(["water", "citric acid"], ("ta_g_per_l", 9.9, 10.1), ("ph", 3.0, 3.2))
    ph = next(miss for miss in exclusions[0].misses if miss.figure == "ph")

    assert ph.at_best == pytest.approx((3.128 - np.log10(10 / 192.124)) / 2, abs=0.07)


def test_served_with_ice_it_is_the_tasted_drink_that_keeps_the_demands():
    reference = bottle(compose(version(*SPRITZ)))
    found = formulate(reference, ["rhubarb juice 40-80 mL", *KEYS[1:]], served="stirred")
    poured = [part for part in found.parts if part.ingredient.key != "ice"]
    drink = compose(melted(as_version(poured), 28.0))

    assert found.found
    assert drink.volume_ml == pytest.approx(found.composition.volume_ml, rel=0.003)
    assert drink.ta_g_per_l == pytest.approx(found.composition.ta_g_per_l, rel=0.003)


@pytest.mark.parametrize(
    ("limits", "more", "match"),
    [
        ([], {}, "name at least one"),
        (["water", "water <= 5 mL"], {}, "named twice"),
        (["water", "milk"], {}, "buffers the pH"),
        (["water"], {"step_g": 0.0}, "a scale in steps of 0 g"),
        (["water"], {"served": "frozen"}, "not a way of serving"),
        (["water"], {"demands": [demand("volume_ml", 0.0, 200.0)]}, "the volume needs both ends"),
    ],
)
def test_bad_questions(limits, more, match):
    with pytest.raises(InputError, match=match):
        formulate(bottle(compose(version(*SPRITZ))), limits, **more)


def test_nothing_to_go_on():
    with pytest.raises(InputError, match="only a volume is asked for"):
        formulate(PLAIN, ["water"])
    with pytest.raises(InputError, match="the amount to make is missing"):
        formulate(None, [read_limits("water")], demands=[demand("ph", 2, 3)])
