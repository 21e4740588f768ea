"""Recipes found from a label, against brute force and against another solver of scipy's."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import NonlinearConstraint, minimize

from tasting.drink import content
from tasting.drink.composition import compose
from tasting.drink.demands import demand, demands_of
from tasting.drink.formulate import formulate
from tasting.drink.mixture import mix
from tasting.drink.pantry import ingredient

from .glass import version
from .test_formulate import KEYS, SPRITZ, bottle

DRINK = compose(version(*SPRITZ))
SHELF = np.array([content.content(ingredient(key)) for key in KEYS])
DENSITY = np.array([ingredient(key).density_kg_per_l for key in KEYS])
EXACT_G = np.array([float(dict(SPRITZ)[key].split()[0]) for key in KEYS]) * DENSITY
# What a bar has; powders by the gram.
POWDERS = {"citric-acid": 2.0, "malic-acid": 2.0, "sugar": 20.0}
LIQUIDS = (
    *("rhubarb-juice", "lemon-juice", "verjus", "bay-syrup", "simple-syrup-2-1", "neutral-spirit"),
    *("sparkling-water", "water", "apple-juice", "dry-vermouth", "dry-white-wine"),
)
recipes = st.tuples(
    st.dictionaries(st.sampled_from(LIQUIDS), st.floats(2, 80), min_size=2, max_size=4),
    st.dictionaries(st.sampled_from([*POWDERS]), st.floats(0.05, 1), max_size=2),
)


@settings(max_examples=6, deadline=None)
@given(recipes)
def test_any_drink_is_found_again_from_everything_that_can_be_known_of_it(made):
    """Label, TA, pH, °Brix, density, CO₂ and sweetness together, whatever it is made of."""
    liquids, powders = made
    powders = {key: share * POWDERS[key] for key, share in powders.items()}
    drink = compose(
        version(
            *((key, f"{ml!r} mL") for key, ml in liquids.items()),
            *((key, f"{grams!r} g") for key, grams in powders.items()),
        )
    )
    reference = bottle(
        drink,
        brix=round(drink.refractometer_brix, 1),
        density_kg_per_l=round(drink.density_kg_per_l, 4),
        co2_g_per_l=round(drink.co2_g_per_l, 1),
    )
    sweet = drink.sweetness_g_per_l
    also = [demand("sweetness_g_per_l", 0.98 * sweet, 1.02 * sweet)]
    found = formulate(reference, [*liquids, *powders], demands=also)

    assert found.found
    for one in found.ranges:
        amount = {**liquids, **powders}[one.key]
        assert one.proven_least - 0.01 <= amount <= one.proven_most + 0.01
    for one in (*demands_of(reference), *also):
        value = getattr(found.composition, one.figure)
        assert one.low - 1e-3 * one.half <= value <= one.high + 1e-3 * one.half


@pytest.fixture(scope="module")
def answer():
    """The spritz from its own label."""
    return formulate(bottle(DRINK), KEYS)


def figures(rows_g):
    """A row for each recipe of amounts in g: what is demanded of it."""
    drink = mix(rows_g @ SHELF)
    demands = demands_of(bottle(DRINK))
    values = np.column_stack([getattr(drink, one.figure) for one in demands])
    return values, *np.array([(one.low, one.high) for one in demands]).T


def test_brute_force_finds_nothing_outside_the_ranges(answer):
    """200,000 recipes around the one behind the label: those that keep every demand lie within what
    is proven, and no further out than what was found."""
    rng = np.random.default_rng(15)
    rows = EXACT_G * (1 + rng.uniform(-1, 1, (200_000, 5)) * [0.3, 0.3, 0.05, 0.02, 0])
    rows[:, 4] -= (rows - EXACT_G)[:, :4] @ (1 / DENSITY[:4]) + rng.uniform(-1, 1, 200_000)
    values, low, high = figures(rows)
    kept = rows[((values >= low) & (values <= high)).all(axis=1)] / DENSITY

    assert len(kept) > 50
    for index, one in enumerate(answer.ranges):
        assert one.proven_least <= kept[:, index].min()
        assert kept[:, index].max() <= one.proven_most
        assert one.least <= kept[:, index].min() + 1e-3
        assert kept[:, index].max() - 1e-3 <= one.most


@pytest.mark.filterwarnings("ignore:delta_grad == 0.0")
@pytest.mark.parametrize("index", range(len(KEYS)), ids=KEYS)
def test_the_ends_agree_with_another_solver(answer, index):
    """scipy's interior point (trust-constr) on the true figures, from the recipe behind the label,
    with slopes by finite differences: no end further out, and the same to 2 % of the range."""
    _, low, high = figures(EXACT_G[None, :])
    half = (high - low) / 2
    kept = NonlinearConstraint(
        lambda share: (figures((share * EXACT_G)[None, :])[0][0] - low) / half, 0.0, 2.0
    )
    one = answer.ranges[index]
    for sign, end in ((1, one.least), (-1, one.most)):
        solved = minimize(
            lambda share, sign=sign: sign * share[index],
            np.ones(5),
            constraints=[kept],
            bounds=[(0, 4)] * 5,
            jac=lambda _share, sign=sign: sign * np.eye(5)[index],
            hess=lambda _share: np.zeros((5, 5)),
            method="trust-constr",
            options={"maxiter": 400, "gtol": 1e-8, "xtol": 1e-9},
        )
        assert solved.constr_violation < 1e-3
        other = solved.x[index] * EXACT_G[index] / DENSITY[index]
        assert sign * (end - other) <= 0.02 * (one.most - one.least)
        assert end == pytest.approx(other, abs=0.05 * (one.most - one.least))
