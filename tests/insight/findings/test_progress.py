"""Is the next version closer to its reference? Against probits and a table by scipy."""

from math import inf

import pytest
from scipy.stats import norm

from tasting.errors import SealedError
from tasting.insight.findings.finding import finding
from tasting.insight.findings.progress import steps
from tasting.panel.methods import TRIANGLE
from tests.ui.workshop import closed, opened, planned


def against_r(id: str, version: str, right: int, day: int, method: str = "triangle", **more):
    """12 answers on a version against reference bottle R, closed on a day."""
    return closed(planned(id, method, version, "R", **more), right, 12 - right, day=day)


def test_a_later_version_is_held_against_the_one_before() -> None:
    (step,) = steps([against_r("late", "spritz-2", 5, 40), against_r("soon", "spritz-1", 11, 35)])

    assert (step.earlier.version.id, step.later.version.id) == ("spritz-1", "spritz-2")
    assert step.later.reference.id == "R"
    assert step.comparison is not None
    expected = step.earlier.distance.value - step.later.distance.value
    assert step.comparison.difference == pytest.approx(expected)
    assert step.comparison.interval.low < expected < step.comparison.interval.high


def test_distances_of_two_2_afc_are_probits() -> None:
    """sqrt(2) (z(11/12) - z(7/12)), Macmillan and Creelman 2005, ch. 7."""
    pair = [
        against_r("soon", "spritz-1", 11, 35, "paired", expected="B"),
        against_r("late", "spritz-2", 7, 40, "paired", expected="B"),
    ]
    (step,) = steps(pair)

    assert step.later.question == "Reference bottle R more sour"
    assert step.comparison is not None
    wanted = 2**0.5 * (norm.ppf(11 / 12) - norm.ppf(7 / 12))
    assert step.comparison.difference == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("before", "after", "shown"), [(12, 2, True), (2, 12, True), (8, 6, False)]
)
def test_only_a_difference_that_leaves_no_doubt_is_shown(before, after, shown) -> None:
    pair = [against_r("soon", "spritz-1", before, 35), against_r("late", "spritz-2", after, 40)]
    (step,) = steps(pair)

    assert step.shown is shown


def test_two_perfect_scores_leave_it_open() -> None:
    pair = [against_r("soon", "spritz-1", 12, 35), against_r("late", "spritz-2", 12, 40)]
    (step,) = steps(pair)

    assert (step.comparison, step.shown, step.later.distance.value) == (None, False, inf)


def test_the_method_may_change_but_not_the_question() -> None:
    mixed = [
        against_r("one", "spritz-1", 9, 35),
        against_r("two", "spritz-2", 9, 40, "duo-trio"),
        against_r("three", "spritz-3", 9, 41, "paired", expected="B"),
    ]

    assert [[one.id for one in step.later.sessions] for step in steps(mixed)] == [["two"]]


def test_all_sessions_of_a_version_count_together() -> None:
    """A later session of the same pair is not passed over: 10 + 8 of 24 stand against 6."""
    found = steps(
        [
            against_r("first", "spritz-1", 10, 35),
            against_r("next", "spritz-2", 6, 36),
            against_r("again", "spritz-1", 8, 37),
        ]
    )
    (step,) = found

    assert [one.id for one in step.earlier.sessions] == ["first", "again"]
    assert [one.id for one in step.later.sessions] == ["next"]
    assert sum(score.correct for score in step.earlier.scores) == 18
    one_session = TRIANGLE.model.d_prime(18 / 24)
    assert step.earlier.distance.value == pytest.approx(float(one_session), abs=1e-4)


def test_sessions_that_disagree_widen_what_is_claimed() -> None:
    """The first session of v2 found nothing, a later one a lot: "closer" is not shown."""
    first = [against_r("one", "spritz-1", 11, 35), against_r("two", "spritz-2", 2, 36)]
    (naive,) = steps(first)
    (step,) = steps([*first, against_r("three", "spritz-2", 11, 37)])

    assert naive.shown
    assert step.later.distance.disagree
    assert step.later.distance.p_value < 0.05
    assert not step.shown


def test_versions_against_each_other_say_nothing_of_the_reference() -> None:
    pair = [
        closed(planned("one"), 9, 3, day=35),
        closed(planned("two", b="spritz-3"), 9, 3, day=36),
        closed(planned("open", "paired", "spritz-1", "R"), 9, 3, day=37),
    ]

    assert steps(pair) == ()


def test_an_open_session_is_refused() -> None:
    with pytest.raises(SealedError, match="close it first"):
        steps([opened(planned("now", b="R"))])


def test_one_session_has_the_interval_of_its_own_finding() -> None:
    """With two answers each, by the model of replicates, which no common d-prime knows."""
    soon, late = (
        closed(planned(id, "triangle", version, "R", replicates=2), right, 24 - right, day=day)
        for id, version, right, day in (("soon", "spritz-1", 16, 35), ("late", "spritz-2", 10, 40))
    )
    (step,) = steps([soon, late])

    for one, session in ((step.earlier, soon), (step.later, late)):
        own = finding(session).evidence.distance
        assert own is not None
        assert (one.distance.value, one.distance.interval) == (own.value, own.interval)
