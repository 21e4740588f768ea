"""How a drink responds to a pinch, against composing it anew."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.drink.composition import compose, part_grams
from tasting.drink.content import content
from tasting.drink.mixture import FIGURES
from tasting.drink.pantry import ingredient
from tasting.drink.response import Response

from .glass import SPRITZ, few, version

KEYS = ("citric-acid", "lemon-juice", "bay-syrup")


def response():
    parts = [(part_grams(part), part.ingredient) for part in SPRITZ.parts]
    return Response(
        totals=sum(mass * content(item) for mass, item in parts),
        shelf=np.array([content(ingredient(key)) for key in KEYS]),
        least=np.zeros(3),
        most=np.full(3, 100.0),
        batch_g=sum(mass for mass, _ in parts),
    )


@few
@given(st.tuples(*[st.floats(0.001, 50)] * 3))
def test_figures_are_those_of_the_version_with_more_in_it(grams):
    more = zip(KEYS, (f"{g!r} g" for g in grams), strict=True)
    parts = [(part.ingredient.key, str(part.amount)) for part in SPRITZ.parts]
    whole = compose(version(*parts, *more))

    found = response().figures(np.array([grams]), FIGURES)[0]

    assert found == pytest.approx([getattr(whole, name) for name in FIGURES], rel=1e-7)


def test_slopes_have_the_signs_of_common_sense():
    _, slopes = response().linear(np.zeros(3), ["ta_g_per_l", "sugar_g_per_l", "ph"])

    assert slopes[0, 0] > slopes[0, 1] > 0 > slopes[0, 2]
    assert slopes[1, 2] > 0 > slopes[1, 0]
    assert slopes[2, 0] < slopes[2, 1] < 0


def test_slopes_at_the_limit_are_those_just_before_it():
    drink, names = response(), ["ta_g_per_l"]
    near = drink.linear(np.full(3, 99.9), names)[1]
    at = drink.linear(np.full(3, 100.0), names)[1]

    assert at == pytest.approx(near, rel=0.01)


def test_slopes_can_be_taken_when_nearly_all_is_out():
    """A step further would leave less than nothing in the glass."""
    juice = content(ingredient("lemon-juice"))
    drink = Response(100 * juice, juice[None, :], np.array([-100.0]), np.array([100.0]), 100.0)

    value, slopes = drink.linear(np.array([-100 * (1 - 1e-9)]), ["ta_g_per_l", "mass_g"])

    assert value[0] == pytest.approx(
        drink.figures(np.zeros((1, 1)), ["ta_g_per_l"])[0, 0], rel=1e-4
    )
    assert slopes[:, 0] == pytest.approx([0, 1], abs=1e-2)
