"""A test design is checked once; what follows from it is the same wherever it goes."""

from math import nan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from tasting.errors import InputError
from tasting.panel.design import TestDesign
from tasting.panel.methods import A_NOT_A, METHODS, PAIRED, PREFERENCE, TRIANGLE
from tasting.panel.plan import Plan
from tests.ui.workshop import planned


@pytest.mark.parametrize(
    ("more", "match"),
    [
        ({"alpha": 0}, "alpha is 0 but must lie between 0 and 0.5"),
        ({"alpha": nan}, "alpha is nan; give a number"),
        ({"beta": 0.5}, "beta is 0.5 but must lie"),
        ({"p_d": 1}, "p_d is 1 but must lie"),
        ({"d_prime": 0}, "d_prime is 0 but must lie between 0 and 20"),
        ({"d_prime": 20.5}, "d_prime is 20.5 but must lie between 0 and 20"),
        ({"false_alarms": 1}, "false_alarms is 1 but must lie"),
        ({"method": PAIRED, "aim": "similarity"}, "similarity is shown by a one-sided test"),
        ({"method": A_NOT_A, "aim": "similarity"}, "with a chance of guessing"),
        ({"method": PREFERENCE, "sequential": True}, "a sequential test is one-sided"),
        ({"method": A_NOT_A, "sequential": True}, "needs a chance of guessing"),
    ],
)
def test_what_cannot_be_is_refused_at_once(more: dict[str, object], match: str) -> None:
    with pytest.raises(InputError, match=match):
        TestDesign(**{"method": TRIANGLE, **more})


def test_the_share_follows_from_the_distance() -> None:
    """2-AFC: p_c is the normal distribution at d-prime / sqrt 2 (Green and Swets 1966)."""
    design = TestDesign(METHODS["paired"], "B", d_prime=1.0)

    assert design.p_d == pytest.approx(2 * norm.cdf(1 / 2**0.5) - 1, abs=1e-6)


@given(st.floats(1e-6, 19.99))
def test_any_distance_leaves_a_share_that_a_plan_keeps(d_prime: float) -> None:
    design = TestDesign(TRIANGLE, d_prime=d_prime)

    assert 0 < design.p_d < 1
    assert planned("next", **design.fields).plan.p_d == design.p_d


@pytest.mark.parametrize(
    "more",
    [
        {},
        {"aim": "similarity"},
        {"sequential": True, "alpha": 0.01},
        {"sequential": True, "aim": "similarity", "beta": 0.05},
    ],
)
def test_a_plan_gives_back_the_design_that_it_was_made_of(more: dict[str, object]) -> None:
    design = TestDesign(TRIANGLE, **more)
    plan: Plan = planned("next", **design.fields).plan

    assert plan.design == design
    assert plan.sides == design.sides == 1


@pytest.mark.parametrize(
    ("method", "expected", "table"),
    [(TRIANGLE, None, "fao-triangle"), (PAIRED, "A", "iso-5495-a1"), (PAIRED, None, None)],
)
def test_only_one_sided_tables_are_cited(method, expected, table) -> None:
    assert TestDesign(method, expected).table == table
