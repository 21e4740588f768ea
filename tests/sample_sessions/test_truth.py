from dataclasses import replace

import numpy as np
import pytest

from sample_sessions.draw import between, drinks
from sample_sessions.truth import Contrast, contrast, pair, triangle, truth
from tasting.errors import InputError
from tests.sample_sessions.answered import owen_triangle

STEP = Contrast(0.5, 4.0, 5.0, 5.5, with_reference=False)
REFERENCE = replace(STEP, with_reference=True)


def test_the_truth_says_that_it_is_invented():
    assert truth().invented.startswith("Invented")


@pytest.mark.parametrize("delta", [0.0, 0.25, 1.0, 2.0, 3.5, 6.0])
def test_the_triangle_integral_agrees_with_owens_function(delta):
    assert triangle(delta) == pytest.approx(float(owen_triangle(np.array(delta))), abs=1e-9)


def test_a_triangle_is_what_happens_when_the_odd_one_is_the_farthest():
    # Thurstone's process itself: two perceptions around 0, one around 1.5, 200,000 times.
    random = np.random.default_rng(1)
    first, second, odd = random.normal(size=(3, 200_000)) + np.array([[0], [0], [1.5]])
    alike = abs(first - second)
    correct = (alike < abs(first - odd)) & (alike < abs(second - odd))
    assert correct.mean() == pytest.approx(triangle(1.5), abs=4 * 0.5 / 200_000**0.5)


def test_nothing_noticed_is_a_guess():
    assert triangle(0) == pytest.approx(1 / 3)
    assert pair(0) == 0.5


def test_one_unit_of_distance_is_the_stated_step_of_acid_or_of_sugar():
    model = truth().difference
    acid = Contrast(0.4545, 0.0, 5.0, 5.4545, with_reference=False)
    sugar = Contrast(0.0, 6.06, 5.0, 5.0, with_reference=False)
    assert model.distance(acid) == pytest.approx(1, abs=0.001)
    assert model.distance(sugar) == pytest.approx(1, abs=0.001)


def test_raising_both_is_noticed_less_than_raising_one_and_lowering_the_other():
    model = truth().difference
    assert model.distance(STEP) < model.distance(replace(STEP, sugar_g_per_l=-4.0))


def test_only_the_reference_brings_the_character_gap():
    model = truth().difference
    squares = [model.distance(each) ** 2 for each in (REFERENCE, STEP)]
    assert squares[0] - squares[1] == pytest.approx(model.character_gap**2)


@pytest.mark.parametrize("attribute", ["more sour", "sweeter"])
def test_swapping_the_samples_turns_a_direction_round(attribute):
    direction = truth().directions[attribute]
    swapped = replace(STEP, ta_g_per_l=-0.5, sugar_g_per_l=-4.0)
    assert direction.lead(swapped) == pytest.approx(-direction.lead(STEP))


def test_sugar_takes_sourness_away_and_acid_sweetness():
    directions = truth().directions
    assert directions["more sour"].sugar_per_g_per_l < 0
    assert directions["sweeter"].ta_per_g_per_l < 0


@pytest.mark.parametrize(("a_ta", "b_ta", "sign"), [(5, 6, 1), (6, 7, -1), (5, 7, 0), (4, 5, 1)])
def test_the_sample_nearer_the_ideal_is_liked_better(a_ta, b_ta, sign):
    lead = truth().preference.lead(Contrast(b_ta - a_ta, 0, a_ta, b_ta, with_reference=False))
    assert np.sign(lead) == sign


def test_a_contrast_is_b_minus_a():
    sharper = between("spritz-01", "spritz-02")
    assert sharper.ta_g_per_l == pytest.approx(sharper.b_ta_g_per_l - sharper.a_ta_g_per_l)
    assert 0.8 < sharper.ta_g_per_l < 1.0
    assert abs(sharper.sugar_g_per_l) < 0.1
    assert not sharper.with_reference
    assert between("spritz-01", "bottle-r").with_reference


def test_a_drink_of_unknown_acidity_is_refused():
    bottle = drinks()["bottle-r"][1].model_copy(update={"ta_g_per_l": None})
    with pytest.raises(InputError, match="needs the acidity"):
        contrast(drinks()["spritz-01"][1], bottle)
