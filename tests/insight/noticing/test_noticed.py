"""Rows of the dashboard: what was noticed, and how far apart the two drinks were."""

from collections import Counter

import pytest
from scipy.stats import binomtest

from tasting.drink.formula import Version
from tasting.drink.label import Reference
from tasting.errors import InputError, SealedError
from tasting.insight.noticing.noticed import Noticed, noticed
from tasting.panel.plan import Sample
from tasting.panel.session import Session
from tasting.store.documents import Document
from tests.ui.workshop import (
    MEASURED,
    SPRITZ,
    UNMEASURED,
    answered,
    closed,
    opened,
    planned,
    some_closed,
)

DRINKS = Document(formulas=(SPRITZ,), references=(MEASURED, UNMEASURED))


def row(session: Session) -> Noticed:
    (only,) = noticed([session], DRINKS.drink)
    return only


def test_sessions_without_answers_are_left_out() -> None:
    rows = noticed(some_closed(), DRINKS.drink)

    assert [known.session.id for known in rows] == ["acid", "syrup", "liking", "unknown"]


def test_p_d_and_its_interval_correct_for_guessing() -> None:
    """p_d = 1.5 x/n - 0.5 for a triangle test (ISO 4120, from memory); interval by scipy."""
    found = row(closed(planned("acid"), 10, 2)).finding.evidence.noticed
    exact = binomtest(10, 12).proportion_ci(0.95, method="exact")

    assert found.value == pytest.approx(1.5 * 10 / 12 - 0.5)
    assert (found.low, found.high) == pytest.approx((1.5 * exact.low - 0.5, 1.5 * exact.high - 0.5))


def test_four_millilitres_of_syrup_are_the_step_in_sugar() -> None:
    """By hand: 20 and 24 mL of syrup of 0.615 g sugar/mL in 180 and 184 mL, 0.93 g from juices."""
    step = row(closed(planned("syrup", a="spritz-1", b="spritz-3"), 9, 3)).step
    by_hand = (24 * 0.615 + 0.93) / 0.184 - (20 * 0.615 + 0.93) / 0.180

    assert step.sugar_g_per_l == pytest.approx(by_hand, rel=0.01)


def test_the_step_changes_its_sign_with_the_samples() -> None:
    there = row(closed(planned("there", a="spritz-1", b="spritz-3"), 9, 3)).step
    back = row(closed(planned("back", a="spritz-3", b="spritz-1"), 9, 3)).step

    assert there.sugar_g_per_l == pytest.approx(-(back.sugar_g_per_l or 0))
    assert (there.sugar_g_per_l or 0) > 0


def test_a_reference_without_measured_acidity_leaves_the_step_unknown() -> None:
    step = row(closed(planned("unknown", a="S"), 9, 3)).step

    assert step.ta_g_per_l is None
    assert step.sugar_g_per_l is not None


def test_each_drink_is_composed_once() -> None:
    asked: Counter[str] = Counter()

    def counting(sample: Sample) -> Version | Reference:
        asked[sample.id] += 1
        return DRINKS.drink(sample)

    noticed([closed(planned("one"), 9, 3), closed(planned("two"), 6, 6)], counting)

    assert asked == {"spritz-1": 1, "spritz-2": 1}


def test_an_open_session_stays_sealed() -> None:
    with pytest.raises(SealedError, match="close it first"):
        noticed([answered(opened(planned("open")), 5, 5)], DRINKS.drink)


def test_an_unknown_drink_is_named() -> None:
    with pytest.raises(InputError, match="spritz-1"):
        noticed([closed(planned("acid"), 9, 3)], Document().drink)
