"""Which comparison to run next."""

import numpy as np
import pytest

from tasting.drink.composition import compose
from tasting.errors import InputError
from tasting.insight.advice.next_session import next_sessions
from tasting.insight.advice.prior import about_distance
from tasting.insight.noticing.model import fit_thresholds
from tasting.panel.methods import METHODS
from tests.insight.workshop import bottle, noticed, versions


def shelf(*ids):
    return [versions()[f"spritz-{number:02d}"] for number in ids] + [bottle()]


def ranked(about, drinks=None, said=None, **more):
    return next_sessions(said or noticed(), about, drinks or shelf(1, 2, 3, 4, 10, 11), **more)


def test_three_are_shown_the_best_first():
    found = ranked("ta")
    gains = [test.per_tasting for test in found]

    assert len(found) == 3
    assert gains == sorted(gains, reverse=True)


def test_the_gain_is_that_of_the_information_matrix():
    """Half the logarithm of the variances' ratio, by inverting the matrices instead."""
    best = ranked("ta", shelf(1, 2), base=None)[0]
    said = noticed()
    levels = np.median([said.read(drink).levels for drink in shelf(1, 2)], axis=0)
    belief = about_distance(said, "ta", levels)
    a, b = said.read(best.a), said.read(best.b)
    factors, predictor, doubt = (part[0] for part in belief.predict([(a, b)], [False]))
    model, d = METHODS[best.method].model, np.sqrt(predictor)
    p, slope = model.function(d), model.derivative(d) / (2 * d)
    information = 1 / (p * (1 - p) / (best.n * slope**2) + doubt)
    after = np.linalg.inv(
        np.linalg.inv(belief.covariance) + information * np.outer(factors, factors)
    )
    variances = [belief.gradient @ each @ belief.gradient for each in (belief.covariance, after)]

    assert best.gain == pytest.approx(np.log(variances[0] / variances[1]) / 2, rel=1e-6)


def test_more_tastings_gain_more_in_all_and_less_each():
    few, many = (ranked("ta", shelf(1, 2), n=n, count=1)[0] for n in (12, 48))

    assert many.gain > few.gain
    assert many.per_tasting < few.per_tasting


def test_the_acid_step_is_asked_of_a_pair_that_differs_in_acid():
    best = ranked("ta", shelf(1, 2, 3), count=1)[0]
    levels = [compose(drink).ta_g_per_l for drink in (best.a, best.b)]

    assert abs(levels[0] - levels[1]) > 0.4
    assert "TA by" in best.reasons[0]


def test_the_character_gap_is_asked_of_a_version_matched_to_the_reference():
    best = ranked("character gap", shelf(1, 10))[0]
    drinks = {best.a.id, best.b.id}

    assert drinks == {"bottle-r", "spritz-10"}
    assert any("titrate" in reason for reason in best.reasons)


def test_a_version_that_is_not_matched_is_matched_for_it():
    best = ranked("character gap", shelf(1), base=versions()["spritz-01"])[0]
    after = compose(best.b)

    assert best.made.startswith("v1 first pour with")
    assert (after.ta_g_per_l, after.sugar_g_per_l) == pytest.approx((6.2, 60.0), rel=1e-3)


def test_a_new_version_is_made_as_it_is_said():
    best = ranked("sugar", [versions()["spritz-01"]])[0]
    more = {part.ingredient.key for part in best.b.parts} - {
        part.ingredient.key for part in best.a.parts
    }

    assert more == {"sugar"}
    assert "white sugar per serving" in best.made


def test_the_ideal_is_asked_by_preference():
    assert {test.method for test in ranked("ideal ta")} == {"preference"}


def test_by_the_millilitre_smaller_sets_come_first():
    """Nothing else changes, so the order is that of the gain over the volume poured."""
    found = ranked("ta", per_ml=True)
    volumes = [test.n * METHODS[test.method].poured * 30.0 for test in found]

    assert [test.per_ml for test in found] == pytest.approx(
        [test.gain / volume for test, volume in zip(found, volumes, strict=True)]
    )
    assert found[0].per_ml >= found[-1].per_ml


def test_the_cure_of_a_refusal_ranks_first():
    """Nobody changed sugar yet: a pair that does gains far more than one that changes acid."""
    said = fit_thresholds([], {})
    best = ranked("sugar", shelf(1, 2, 3), said, count=1)[0]
    levels = [compose(drink).sugar_g_per_l for drink in (best.a, best.b)]

    assert abs(levels[0] - levels[1]) > 5


def test_it_narrows_the_interval_that_it_says():
    best = ranked("ta")[0]

    assert best.after == pytest.approx(best.before * np.exp(-best.gain))
    assert f"±{100 * best.after:.0f} %" in best.reasons[1]


@pytest.mark.parametrize(
    ("about", "drinks", "sentence"),
    [
        ("salt", None, "nothing to ask about"),
        ("ta", [], "no versions or references"),
        ("character gap", "one", "nothing to compare"),
    ],
)
def test_what_cannot_be_asked_is_said(about, drinks, sentence):
    given = shelf(1, 2) if drinks is None else [versions()["spritz-01"]] if drinks else []

    with pytest.raises(InputError, match=sentence):
        next_sessions(noticed(), about, given)
