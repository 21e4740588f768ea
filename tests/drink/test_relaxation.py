"""The inequalities never exclude a recipe that there is, and lie close."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from tasting.drink import acidity, content
from tasting.drink.demands import DEMANDABLE, Demand
from tasting.drink.mixture import mix
from tasting.drink.pantry import ingredient
from tasting.drink.relaxation import Room, closer, relaxed

from .glass import few, recipes

LEVELS = tuple(figure for figure in DEMANDABLE if figure != "volume_ml")


def shelf_of(*keys):
    return np.array([content.content(ingredient(key)) for key in keys])


def own_demands(shelf, amounts_g, half, figures=LEVELS):
    """What a recipe is, as demands of a relative half width."""
    drink = mix((amounts_g @ shelf)[None, :])
    values = [(figure, float(getattr(drink, figure)[0])) for figure in figures]
    return [Demand(figure, v - half * abs(v), v + half * abs(v)) for figure, v in values]


def room_of(shelf, amounts_g):
    volume = float(mix((amounts_g @ shelf)[None, :]).volume_ml[0])
    most = np.maximum(1.6 * volume, amounts_g)
    return Room(shelf, np.zeros(len(shelf)), most, (0.995 * volume, 1.005 * volume)), volume


@few
@given(recipes, st.sampled_from([1e-6, 1e-3, 0.03]))
def test_no_recipe_is_excluded_by_its_own_figures(parts, half):
    """All figures of a random drink together, pH, acidity and refraction among them."""
    shelf = shelf_of(*(key for key, _ in parts))
    grams = np.array([float(ml.split()[0]) for _, ml in parts])
    room, volume = room_of(shelf, grams)
    demands = own_demands(shelf, grams, half)

    drawn = relaxed(room, demands)
    assert drawn is not None
    drawn = closer(drawn, demands)
    assert drawn is not None
    assert (drawn.matrix @ np.append(grams, volume)).max() <= 1e-7 * volume
    assert (grams <= drawn.room.high_g + 1e-6 * volume).all()
    assert (grams >= drawn.room.low_g - 1e-6 * volume).all()


def test_a_linear_case_is_what_scipy_finds():
    """Still and sparkling water: CO2 is a straight share, by hand in mL."""
    gas = ingredient("sparkling-water").co2_g_per_l
    shelf = shelf_of("sparkling-water", "water")
    room = Room(shelf, np.zeros(2), np.full(2, 400.0), (199.0, 201.0))
    drawn = closer(relaxed(room, [Demand("co2_g_per_l", 1.0, 2.0)]), [])
    density = ingredient("sparkling-water").density_kg_per_l
    by_hand = [
        linprog(
            [sign, 0],
            A_ub=[[1 - gas, 1], [gas - 2, -2], [1, 1], [-1, -1]],
            b_ub=[0, 0, 201, -199],
        ).x[0]
        for sign in (1, -1)
    ]

    assert drawn.ends(np.array([1 / density, 0, 0])) == pytest.approx(by_hand, rel=1e-3)


def test_close_to_what_a_fine_grid_finds():
    """Syrup and spirit to 200 mL of water: the ends over all recipes of a grid in steps of 0.1 g,
    and the inequalities' within three steps of them."""
    shelf = shelf_of("simple-syrup-1-1", "neutral-spirit", "water")
    demands = [
        Demand("alcohol_percent_vol", 4.9, 5.1),
        Demand("sugar_g_per_l", 60.0, 64.0),
        Demand("energy_kcal_per_l", 515.0, 530.0),
    ]
    axes = (np.arange(23.0, 27.0, 0.1), np.arange(22.0, 25.5, 0.1), np.arange(148.0, 160.0, 0.5))
    rows = np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 3)
    drink = mix(rows @ shelf)
    kept = (drink.volume_ml >= 199) & (drink.volume_ml <= 201)
    for one in demands:
        value = getattr(drink, one.figure)
        kept &= (value >= one.low) & (value <= one.high)
    room = Room(shelf, np.zeros(3), np.full(3, 320.0), (199.0, 201.0))
    drawn = closer(relaxed(room, demands), demands)

    assert kept.sum() > 100
    for index in (0, 1):
        low, high = drawn.ends(np.eye(4)[index])
        found = rows[kept, index]
        assert low - 1e-6 <= found.min() <= low + 0.3
        assert high - 0.3 <= found.max() <= high + 1e-6


def test_what_cannot_be_is_proven():
    """39 g/L of alcohol alone bring 276 kcal/L (7 kcal/g, Regulation (EU) No 1169/2011)."""
    room = Room(shelf_of("neutral-spirit", "water"), np.zeros(2), np.full(2, 320.0), (199.0, 201.0))
    strong = Demand("alcohol_percent_vol", 4.99, 5.01)

    assert relaxed(room, [strong, Demand("energy_kcal_per_l", 0.0, 270.0)]) is None
    assert relaxed(room, [strong, Demand("energy_kcal_per_l", 0.0, 280.0)]) is not None


@few
@given(st.floats(2.2, 8.2), st.floats(-0.25, 0.0), st.floats(-0.25, 0.0), st.floats(0, 1))
def test_charges_stay_between_their_ends(ph, one, other, share):
    """Against the charge of citric acid by its three constants (NIST; thermodynamic), corrected by
    the activity coefficient itself."""
    low, high = sorted((one, other))
    level = low + share * (high - low)
    charge, _, _, _ = acidity.charges_between(ph, low, high)
    steps = [10 ** (ph - pk - (2 * z - 1) * level) for z, pk in enumerate((3.128, 4.761, 6.396), 1)]
    forms = np.array([1, steps[0], steps[0] * steps[1], np.prod(steps)])
    expected = forms @ np.arange(4) / forms.sum()

    assert charge[0, 0] - 1e-4 <= expected <= charge[1, 0] + 1e-4
