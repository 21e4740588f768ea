"""An assessor's record, against scipy and against counting every way to guess."""

from datetime import UTC, datetime, timedelta
from itertools import product
from math import prod

import numpy as np
import pytest
from scipy import stats

from tasting.insight.findings.assessor_record import (
    TastedSession,
    assessor_record,
    right_by_guessing,
)
from tasting.panel.methods import METHODS
from tasting.stats.dprime import d_prime

START = datetime(2026, 1, 10, tzinfo=UTC)


def score(day: int, method: str, right: int | None, n: int, *others: int) -> TastedSession:
    return TastedSession(START + timedelta(days=day), method, n, right, *others)


def test_guesses_of_one_chance_are_binomial() -> None:
    """scipy.stats.binom."""
    found = right_by_guessing([score(1, "triangle", 3, 7), score(2, "tetrad", 2, 5)])

    assert found == pytest.approx(stats.binom.pmf(np.arange(13), 12, 1 / 3))


def test_guesses_of_several_chances_are_every_way_to_guess() -> None:
    """Every pattern of right and wrong, one by one."""
    found = right_by_guessing([score(1, "triangle", 0, 4), score(2, "duo-trio", 0, 5)])
    chances = [1 / 3] * 4 + [1 / 2] * 5
    expected = np.zeros(10)
    for pattern in product((0, 1), repeat=9):
        expected[sum(pattern)] += prod(
            chance if right else 1 - chance for right, chance in zip(pattern, chances, strict=True)
        )

    assert found == pytest.approx(expected)


def test_what_guessing_gives_is_the_middle_of_that() -> None:
    """scipy.stats.binom.interval: equal tails."""
    record = assessor_record([score(1, "triangle", 20, 30)])

    assert record.expected == pytest.approx(10)
    assert record.guessing == stats.binom.interval(0.95, 30, 1 / 3)


@pytest.mark.parametrize("n", range(1, 40))
@pytest.mark.parametrize("method", ["triangle", "duo-trio"])
def test_guessing_stays_within_it_in_95_percent(n: int, method: str) -> None:
    low, high = assessor_record([score(1, method, 0, n)]).guessing
    chance = METHODS[method].chance
    inside = stats.binom.cdf(high, n, chance) - stats.binom.cdf(low - 1, n, chance)

    assert inside >= 0.95


def test_what_has_no_right_answer_or_no_chance_of_guessing_is_tasted_only() -> None:
    record = assessor_record(
        [
            score(1, "preference", None, 2),
            score(2, "a-not-a", 5, 6),
            score(3, "paired", None, 3),
            score(4, "triangle", 1, 2),
        ]
    )

    assert (record.sessions, record.tastings) == (4, 13)
    assert (record.correct, record.n) == (1, 2)
    assert len(record.periods) == 1


def test_without_a_session_there_is_nothing() -> None:
    record = assessor_record([])

    assert (record.sessions, record.tastings, record.n, record.periods) == (0, 0, 0, ())
    assert record.guessing == (0, 0)


def test_a_period_has_the_distance_of_its_counts() -> None:
    """One method: that of all its answers taken together, own and others'."""
    scores = [score(day, "triangle", 3, 4, 10, 20) for day in (3, 1, 2)]
    (period,) = assessor_record(scores).periods
    own = d_prime(9, 12, METHODS["triangle"].model)

    assert period.own.value == pytest.approx(own.value)
    assert period.own.interval == own.interval
    assert period.others is not None
    assert period.others.value == pytest.approx(d_prime(30, 60, METHODS["triangle"].model).value)
    assert (period.first, period.last) == (START + timedelta(days=1), START + timedelta(days=3))


def test_who_tasted_alone_is_beside_nobody() -> None:
    (period,) = assessor_record([score(1, "triangle", 3, 4)]).periods

    assert period.others is None


@pytest.mark.parametrize("sessions", [1, 11, 12, 13, 24, 100, 145])
def test_periods_hold_every_tasting_once_in_order(sessions: int) -> None:
    periods = assessor_record([score(day, "triangle", 1, 1) for day in range(sessions)]).periods

    assert sum(period.n for period in periods) == sessions
    assert [period.first for period in periods] == sorted(period.first for period in periods)
    assert all(a.last < b.first for a, b in zip(periods, periods[1:], strict=False))
    assert len(periods) <= 12
    assert len(periods) == 1 or min(period.n for period in periods) >= 12


def test_periods_do_not_depend_on_what_was_answered() -> None:
    right, wrong = (
        assessor_record([score(day, "triangle", answer, 2) for day in range(40)]).periods
        for answer in (2, 0)
    )

    assert [one.first for one in right] == [one.first for one in wrong]


def test_few_tastings_have_a_wide_interval() -> None:
    few, many = (
        assessor_record([score(1, "triangle", 2 * n // 3, n)]).periods[0].own.interval
        for n in (3, 300)
    )

    assert few.high - few.low > 4 * (many.high - many.low)
