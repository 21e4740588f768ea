"""A session names the others that asked the same of the same two drinks."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from scipy.stats import chi2_contingency

from tasting.insight.findings.asked_again import counting, others_in_words
from tasting.insight.findings.closed_session import ClosedSession
from tasting.panel.methods import METHODS
from tasting.panel.plan import Sample
from tests.insight.tallies import tally_of

V10, R = (
    Sample(kind="version", id="v10", name="v10"),
    Sample(kind="reference", id="R", name="bottle R"),
)


def closed(day: int, count: int, n: int, method: str = "triangle", **more: object) -> ClosedSession:
    """A made-up session, closed on a day."""
    tally = replace(tally_of(METHODS[method], count, n, **more), a=V10.name, b=R.name)
    at = datetime(2026, 8, 1, tzinfo=UTC) + timedelta(days=day)
    return ClosedSession(f"s{day}", "made up", "", at, V10, R, n, tally)


THREE = [closed(1, 10, 36), closed(2, 4, 8), closed(3, 15, 24)]
TOGETHER = (
    "Together 29 of 68, 32 needed for three looks; the sessions disagree (p = 0.0319), so the "
    "question is open."
)


@pytest.mark.parametrize(
    ("session", "said"),
    [
        ("s1", "First test of these two: later 4 of 8 (not shown) and 15 of 24 (shown). "),
        ("s2", "Second test of these two: earlier 10 of 36, not shown; later 15 of 24, shown. "),
        ("s3", "Third test of these two: earlier 10 of 36 and 4 of 8, not shown. "),
    ],
)
def test_opposite_verdicts_name_each_other_and_leave_the_question_open(session, said) -> None:
    assert others_in_words(session, THREE) == f"{said}{TOGETHER}"


def test_they_disagree_by_another_test_too() -> None:
    """The likelihood ratio of a 3 × 2 table, by scipy, beside that of d-primes at least 0."""
    table = [[10, 26], [4, 4], [15, 9]]

    assert chi2_contingency(table, lambda_="log-likelihood")[1] < 0.05


def test_sessions_that_agree_say_what_they_show_together() -> None:
    """24 of 48 at α / 2: binom.sf(23, 48, 1/3) = 0.012."""
    said = others_in_words("s2", [closed(1, 12, 24), closed(2, 12, 24)])

    assert said.startswith("Second test of these two: earlier 12 of 24, not shown. Together 24 of")
    assert said.endswith("needed for two looks: a difference is shown.")


def test_a_preference_is_not_added_up() -> None:
    once, again = (closed(day, 10, 12, "preference") for day in (1, 2))

    assert others_in_words("s2", [once, again]) == (
        "Second preference of these two: earlier 10 of 12 for bottle R, shown."
    )


def test_what_was_asked_once_says_nothing() -> None:
    other = closed(2, 10, 12, "preference")

    assert others_in_words("s1", [closed(1, 10, 24), other]) == ""
    assert others_in_words("gone", THREE) == ""


def test_small_numbers_are_words() -> None:
    assert [counting(3), counting(11)] == ["three", "11"]
    many = [closed(day, 8, 24) for day in range(1, 12)]
    assert others_in_words("s10", many).startswith(
        "Test number 10 of these two: earlier 0 of 9 shown; later 8 of 24, not shown. Together 88 "
    )
