"""Size by distance, for similarity, for contrasts, and what a panel can detect."""

import pytest
from scipy.stats import binom

from tasting.errors import InputError
from tasting.panel import sizing
from tasting.panel.design import TestDesign
from tasting.panel.methods import A_NOT_A, METHODS, PAIRED, PREFERENCE, SAME_DIFFERENT, TRIANGLE
from tasting.panel.sensory_distance import d_prime


def test_a_panel_of_eight_with_three_sets_each() -> None:
    """At the p_d it gives, 13 or more of 24 come with probability 0.8 (scipy)."""
    found = sizing.reach(TestDesign(TRIANGLE), 24)

    assert binom.sf(12, 24, 1 / 3 + 2 / 3 * found.p_d) == pytest.approx(0.8)
    assert TRIANGLE.model.p_d(found.d_prime) == pytest.approx(found.p_d)


def test_two_tastings_reach_nothing() -> None:
    assert sizing.reach(TestDesign(TRIANGLE), 2) == sizing.Reach(None, None)
    assert sizing.reach(TestDesign(A_NOT_A), 3) == sizing.Reach(None, None)


def test_a_preference_reaches_a_lead_but_no_distance() -> None:
    found = sizing.reach(TestDesign(PREFERENCE), 30)

    assert found.d_prime is None
    assert 0 < found.p_d < 1


def test_a_contrast_reaches_the_distance_at_which_its_power_is_enough() -> None:
    found = sizing.reach(TestDesign(A_NOT_A), 24)

    assert found.p_d is None
    assert sizing.power_of(TestDesign(A_NOT_A, d_prime=found.d_prime), 24) == pytest.approx(0.8)


def test_size_by_distance_is_size_by_the_share_that_goes_with_it() -> None:
    p_d = float(TRIANGLE.model.p_d(1.5))

    assert sizing.difference_size(TestDesign(TRIANGLE, d_prime=1.5)) == sizing.panel_size(
        TRIANGLE, p_d=p_d
    )


def test_side_by_side_names_every_method_that_measures_a_distance_once() -> None:
    needs = sizing.side_by_side(TestDesign(TRIANGLE, d_prime=1.5), serving_ml=20)

    assert {need.method.key for need in needs} == METHODS.keys() - {"preference"}
    assert [need.ml for need in needs] == sorted(need.ml for need in needs)
    for need in needs:
        assert need.cups == need.tastings * need.method.poured
        assert need.ml == need.cups * 20


def test_side_by_side_says_what_is_not_planned() -> None:
    refused = {
        need.method.key: need.refusal
        for need in sizing.side_by_side(TestDesign(TRIANGLE, d_prime=1.0))
        if need.refusal
    }

    assert refused.keys() == {"same-different", "a-not-a"}
    assert "more than 400 sets" in refused["same-different"]


def test_a_contrast_is_sized_for_what_is_reported_at_that_distance() -> None:
    design = TestDesign(SAME_DIFFERENT, d_prime=2.0)
    found = sizing.contrast_size(design)

    assert sizing.power_of(design, found.n) == found.power >= 0.8
    assert sizing.power_of(TestDesign(A_NOT_A, d_prime=2.0), 1) == 0


def test_similarity_is_sized_by_its_own_rule() -> None:
    found = sizing.similarity_size(TestDesign(TRIANGLE, aim="similarity", alpha=0.2, beta=0.05))

    assert found.power == pytest.approx(binom.cdf(found.largest, found.n, 1 / 3))
    assert found.beta == pytest.approx(binom.cdf(found.largest, found.n, 1 / 3 + 0.2))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: sizing.panel_size(SAME_DIFFERENT), "no fixed chance of guessing"),
        (lambda: sizing.reach(TestDesign(A_NOT_A), 0), "n is 0; at least 1"),
        (lambda: sizing.contrast_size(TestDesign(A_NOT_A)), "give --d-prime"),
        (
            lambda: sizing.contrast_size(TestDesign(TRIANGLE, d_prime=1)),
            "has a fixed chance of guessing",
        ),
        (lambda: TestDesign(A_NOT_A, d_prime=0), "d_prime is 0 but must lie"),
        (lambda: TestDesign(PREFERENCE, aim="similarity"), "one-sided test"),
        (lambda: TestDesign(SAME_DIFFERENT, aim="similarity"), "with a chance of guessing"),
        (lambda: TestDesign(TRIANGLE, d_prime=0), "d_prime is 0 but must lie"),
        (lambda: TestDesign(TRIANGLE, d_prime=-1), "d_prime is −1 but must lie"),
        (lambda: sizing.panel_size(TRIANGLE, p_d=1), "p_d is 1 but must lie"),
        (lambda: sizing.panel_size(TRIANGLE, alpha=0.5), "alpha is 0.5 but must lie"),
        (lambda: sizing.panel_size(TRIANGLE, beta=0), "beta is 0 but must lie"),
        (lambda: sizing.panel_size("guess"), "unknown method 'guess'"),
        (lambda: sizing.panel_size(PREFERENCE, one_sided=True), "without a fixed direction"),
    ],
)
def test_what_cannot_be_sized_is_said_in_one_sentence(call, message: str) -> None:
    with pytest.raises(InputError, match=message):
        call()


def test_d_prime_by_the_name_of_a_method() -> None:
    """20 of 30 in a triangle: share 2/3 is d-prime 2.32 (Ennis 1993, table, from memory)."""
    found = d_prime(20, 30, "triangle")

    assert found.value == pytest.approx(2.32, abs=0.005)
    low, high = TRIANGLE.model.function([found.low, found.high])
    assert binom.sf(19, 30, low) == pytest.approx(0.025)
    assert binom.cdf(20, 30, high) == pytest.approx(0.025)


def test_d_prime_of_a_method_is_that_of_its_key() -> None:
    assert d_prime(9, 12, PAIRED) == d_prime(9, 12, "paired")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((31, 30, "triangle"), "correct is 31 but only 30"),
        ((-1, 30, "triangle"), "a count cannot be below 0"),
        ((1, 30, "guess"), "unknown method 'guess'"),
        ((1, 30, "a-not-a"), "no fixed chance of guessing"),
        ((1, 30, "triangle", 1), "confidence is 1 but must lie"),
    ],
)
def test_an_impossible_score_is_one_sentence(arguments: tuple, message: str) -> None:
    with pytest.raises(InputError, match=message):
        d_prime(*arguments)
