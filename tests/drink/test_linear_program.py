"""The linear programmes against a general-purpose constrained optimiser."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from tasting.drink.content import content
from tasting.drink.linear_program import Band, best_combination
from tasting.drink.pantry import ingredient
from tasting.drink.response import Response

from .glass import few


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


@few
@given(st.floats(2.0, 9.0), st.floats(20.0, 120.0))
def test_amounts_stay_within_their_limits(ta_g_per_l, sugar_g_per_l):
    drink = response("lemon-juice", "sugar", "water", most=15.0)
    goals = {"ta_g_per_l": ta_g_per_l, "sugar_g_per_l": sugar_g_per_l}
    amounts = best_combination(drink, goals, {}).amounts_g

    assert (amounts >= drink.least - 1e-9).all()
    assert (amounts <= drink.most + 1e-9).all()


@pytest.mark.parametrize(("most", "binds"), [(5.0, (0,)), (50.0, ())])
def test_a_limit_is_named_only_where_it_binds(most, binds):
    """1 g/L more in 200 mL takes about 4 g of lemon juice to each 1 g/L (48 g/L of acid in it)."""
    drink = response("lemon-juice", most=most)
    now = drink.figures(np.zeros((1, 1)), ["ta_g_per_l"])[0, 0]

    assert best_combination(drink, {"ta_g_per_l": now + 3}, {}).at_most == binds


def test_a_wide_band_changes_nothing():
    drink = response("lemon-juice", "sugar")
    goals = {"ta_g_per_l": 6.0}
    free = best_combination(drink, goals, {}).amounts_g
    wide = best_combination(drink, goals, {"sugar_g_per_l": Band(0.0, 500.0)})

    assert wide.amounts_g == pytest.approx(free)
    assert wide.held == ()


def test_a_goal_below_takes_out_what_is_in():
    drink = replace(response("apple-juice"), least=np.array([-100.0]))
    now = drink.figures(np.zeros((1, 1)), ["sugar_g_per_l"])[0, 0]
    answer = best_combination(drink, {"sugar_g_per_l": now / 2}, {})

    assert -100 < answer.amounts_g[0] < 0
    assert drink.figures(answer.amounts_g[None, :], ["sugar_g_per_l"])[0, 0] == pytest.approx(
        now / 2, rel=1e-6
    )
