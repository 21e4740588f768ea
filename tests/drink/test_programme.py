"""The linear programmes against a general-purpose constrained optimiser."""

import numpy as np
import pytest
from scipy.optimize import minimize

from tasting.drink.content import content
from tasting.drink.pantry import ingredient
from tasting.drink.programme import Band, best_combination
from tasting.drink.response import Response


def response(*keys, most=50.0):
    base = sum(
        mass * content(ingredient(key))
        for key, mass in (("apple-juice", 100.0), ("water", 80.0), ("neutral-spirit", 20.0))
    )
    shelf = np.array([content(ingredient(key)) for key in keys])
    count = len(keys)
    return Response(base, shelf, np.zeros(count), np.full(count, most), 200.0)


def test_slopes_are_those_of_finite_steps():
    drink = response("lemon-juice", "sugar")
    names = ["ta_g_per_l", "sugar_g_per_l"]
    value, slopes = drink.linear(np.zeros(2), names)

    after = drink.figures(np.array([[0.01, 0.0]]), names)[0]

    assert (after - value) / 0.01 == pytest.approx(slopes[:, 0], rel=1e-3)


def test_smallest_change_agrees_with_another_optimiser():
    """scipy's SLSQP on the same true figures: total mass added, goals as equalities."""
    drink = response("lemon-juice", "verjus", "sugar", "honey")
    goals = {"ta_g_per_l": 5.0, "sugar_g_per_l": 70.0}
    found = best_combination(drink, goals, {}).amounts_g

    def misses(amounts):
        return drink.figures(amounts[None, :], list(goals))[0] - list(goals.values())

    other = minimize(
        lambda amounts: amounts.sum() / 10,
        np.array([5.0, 5.0, 5.0, 5.0]),
        bounds=[(0, 50)] * 4,
        constraints={"type": "eq", "fun": misses},
        method="SLSQP",
        options={"ftol": 1e-12, "maxiter": 300},
    )

    assert misses(found) == pytest.approx(0, abs=1e-4)
    assert found.sum() == pytest.approx(10 * other.fun, rel=1e-3)


def test_band_holds_even_when_the_goal_is_out_of_reach():
    drink = response("lemon-juice", most=100.0)
    answer = best_combination(drink, {"ta_g_per_l": 20.0}, {"alcohol_percent_vol": Band(4.0, 20.0)})
    figure = drink.figures(answer.amounts_g[None, :], ["alcohol_percent_vol"])[0, 0]

    assert figure == pytest.approx(4.0, abs=1e-5)
    assert answer.held == ("alcohol_percent_vol",)


def test_nothing_is_changed_when_the_goal_is_met():
    drink = response("lemon-juice", "sugar")
    now = drink.figures(np.zeros((1, 2)), ["ta_g_per_l"])[0, 0]

    assert best_combination(drink, {"ta_g_per_l": now}, {}).amounts_g == pytest.approx([0, 0])
