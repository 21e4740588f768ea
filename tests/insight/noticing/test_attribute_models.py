"""Directional tests: signed weights, and what they cannot tell."""

import numpy as np
import pytest
from scipy import optimize, special, stats

from tasting.insight.noticing.attribute_models import fit_attribute
from tests.insight.panels import TA_AND_SUGAR, compared

PAIRS = [
    compared((0.5, 0), 16, 24, method="paired"),
    compared((1.0, 4), 18, 24, method="paired"),
    compared((0.2, 10), 9, 24, method="paired"),
    compared((-0.4, 8), 3, 20, method="paired"),
]


def sour(some, confidence=0.95):
    return fit_attribute("more sour", some, TA_AND_SUGAR, "linear", confidence)


def height(weights):
    """Log-likelihood of the choices by Thurstone's case V."""
    lead = np.array([one.delta for one in PAIRS]) @ weights / np.sqrt(2)
    return sum(
        one.count * special.log_ndtr(x) + (one.n - one.count) * special.log_ndtr(-x)
        for one, x in zip(PAIRS, lead, strict=True)
    )


@pytest.mark.parametrize("place", [0, 1])
@pytest.mark.parametrize("side", ["low", "high"])
def test_the_ends_are_those_of_the_profile(place, side):
    """Profile over the other weight by scipy."""
    attribute, _ = sour(PAIRS)
    weights = [attribute.weights[key].estimate for key in ("ta", "sugar")]
    end = getattr(weights[place], side)

    def rest(other):
        return -height([end, other] if place == 0 else [other, end])

    fall = optimize.minimize_scalar(rest, bracket=(-0.5, 0.5))
    top = height([weight.value for weight in weights])
    assert 2 * (top + fall.fun) == pytest.approx(stats.chi2.ppf(0.95, 1), abs=5e-3)


def test_sugar_takes_sourness_away():
    attribute, _ = sour(PAIRS)

    assert attribute.weights["ta"].estimate.value > 0 > attribute.weights["sugar"].estimate.value


def test_a_wider_confidence_is_a_wider_interval():
    usual, wide = (sour(PAIRS, c)[0].weights["ta"].estimate for c in (0.9, 0.99))

    assert wide.low < usual.low
    assert usual.high < wide.high


def test_choices_of_a_count_like_those_of_b_turned():
    """Expecting A counts its choices; the same answers then count for B less often."""
    for_a = [
        compared(one.delta, one.n - one.count, one.n, method="paired", lead=-1) for one in PAIRS
    ]
    there, back = sour(PAIRS)[0], sour(for_a)[0]

    assert back.fitted.theta == pytest.approx(there.fitted.theta, abs=1e-7)


def test_three_cups_and_pairs_are_fitted_together():
    """A 3-AFC of the same step agrees with the weight of the pairs, and narrows it."""
    three = compared((0.8, 0), 20, 24, method="3-afc")
    alone, both = sour(PAIRS)[0], sour([*PAIRS, three])[0]
    widths = [each.weights["ta"].estimate for each in (alone, both)]

    assert widths[1].high - widths[1].low < widths[0].high - widths[0].low


def test_everybody_choosing_alike_gives_no_end():
    attribute, refused = sour([compared((1.0, 0), 24, 24, method="paired")])

    assert attribute.weights == {}
    assert "separation" in {one.why for one in refused}


def test_moving_together_is_refused_with_a_paired_cure():
    together = [compared((s, 10 * s), 15, 24, method="paired") for s in (0.4, 0.8)]
    _, refused = sour(together)

    assert {one.about for one in refused} == {"more sour: ta", "more sour: sugar"}
    assert all("“more sour” comparison" in one.remedy for one in refused)


def test_too_few_answers_are_refused():
    attribute, (refused,) = sour([compared((1.0, 0), 5, 8, method="paired")])

    assert attribute is None
    assert "4 more tastings" in refused.remedy


def test_a_lead_comes_with_its_interval():
    attribute, _ = sour(PAIRS)
    value, low, high = attribute.lead(np.array([0.5, 2.0]))[0]
    weights = [attribute.weights[key].estimate.value for key in ("ta", "sugar")]

    assert value == pytest.approx(0.5 * weights[0] + 2.0 * weights[1])
    assert low < value < high
