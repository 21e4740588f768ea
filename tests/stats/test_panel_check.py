"""Checks of the panel: exact where they say so, at their level, and able to see what is there."""

from itertools import permutations

import numpy as np
import pytest
from scipy.stats import binomtest, chi2_contingency, fisher_exact

from tasting.errors import InputError
from tasting.stats.panel_check import (
    assessors,
    halves,
    order_effect,
    position_effect,
)


def rng():
    return np.random.default_rng(20)


def sit(generator, sets, p_correct, lure=0.0):
    """A table of right place by chosen place; a share `lure` of sets takes place 0 unlooked."""
    table = np.zeros((3, 3), int)
    for i in range(sets):
        place, right = i % 3, generator.random() < p_correct
        wrong = (place + 1 + generator.integers(2)) % 3
        chosen = 0 if generator.random() < lure else (place if right else wrong)
        table[place, chosen] += 1
    return table


def test_position_check_is_the_share_of_arrangements():
    # Two sets with the right answer in place 0, one in place 1, all of pairs; one answer right.
    # The right one is equally likely each of three: chosen is (2, 1)-(0, 1, 1 right answers moved).
    found = position_effect(np.array([[1, 1], [1, 0]]), rng(), draws=40_000)
    # Right in row 0 (2 of 3): chosen 0 twice. Right in row 1 (1 of 3): chosen 1 three times.
    # Expected 1/3 of each set's own place: (4/3, 5/3); the second is the more distant.
    assert found.p_value == pytest.approx(1.0, abs=0.01)
    other = position_effect(np.array([[0, 2], [0, 1]]), rng(), draws=40_000)
    assert other.p_value == pytest.approx(1 / 3, abs=0.01)


def test_position_check_keeps_its_level():
    generator = np.random.default_rng(3)
    p = [position_effect(sit(generator, 24, 0.5), generator, 199).p_value for _ in range(400)]
    assert np.mean(np.array(p) <= 0.1) == pytest.approx(0.1, abs=0.045)


def test_a_favourite_place_is_seen():
    assert position_effect(sit(rng(), 72, 0.5, lure=0.5), rng()).p_value < 0.01


def test_able_assessors_have_no_favourite_place():
    # All right, in a plan that was cut short: the places differ only as the plan does.
    assert position_effect(np.diag([9, 8, 4]), rng()).p_value == 1


def test_order_check_is_the_exact_test_of_the_table():
    correct, n = [7, 2, 3], [8, 8, 8]
    found = order_effect(correct, n, rng(), draws=40_000)
    table = np.array([correct, np.subtract(n, correct)])
    assert found.p_value == pytest.approx(exact_by_listing(correct, n), abs=0.01)
    # The other half of Pearson's statistic comes from the wrong answers, in constant proportion.
    pearson = chi2_contingency(table, correction=False).statistic
    assert found.statistic == pytest.approx(pearson * (1 - 12 / 24))


def exact_by_listing(correct, n):
    """Every way to spread the right answers over the orders, with its number of arrangements."""
    from math import comb

    total, expected = sum(correct), np.array(n) * sum(correct) / sum(n)
    spread = [(a, b, total - a - b) for a in range(9) for b in range(9) if 0 <= total - a - b <= 8]
    ways = np.array([comb(8, a) * comb(8, b) * comb(8, c) for a, b, c in spread])
    far = np.sum((np.array(spread) - expected) ** 2 / expected, axis=1)
    seen = np.sum((np.array(correct) - expected) ** 2 / expected)
    return ways[far >= seen - 1e-9].sum() / ways.sum()


def test_a_monte_carlo_p_value_is_never_zero():
    found = order_effect([30, 0], [30, 30], rng(), draws=99)
    assert (found.p_value, found.draws) == (0.01, 99)


def test_halves_are_fishers_exact_test():
    found = halves((3, 12), (9, 12))
    assert found.p_value == pytest.approx(fisher_exact([[3, 9], [9, 3]]).pvalue)
    assert (found.statistic, found.draws) == (0.5, 0)


def test_one_session_of_one_answer_each_by_listing():
    # Three of four right; whoever was wrong had a chance of 1/4 to be that one, doubled.
    checks = assessors(["s"] * 4, list("abcd"), [True, True, True, False])
    assert checks[3].p_value == pytest.approx(0.5)
    assert checks[0].p_value == 1
    assert checks[3].expected == pytest.approx(0.75)


def test_an_assessor_over_sessions_by_listing_the_arrangements():
    sessions = ["s"] * 4 + ["t"] * 3
    people = ["a", "a", "b", "c", "a", "b", "c"]
    right = [True, True, False, False, True, False, False]
    s, t = set(permutations(right[:4])), set(permutations(right[4:]))
    sums = [x[0] + x[1] + y[0] for x in s for y in t]
    upper = np.mean([total >= 3 for total in sums])
    found = assessors(sessions, people, right)[0]
    assert (found.correct, found.n) == (3, 3)
    assert found.p_value == pytest.approx(2 * upper)


def test_sessions_need_not_come_in_order():
    args = list("stst"), list("aabb"), [True, False, False, False]
    assert assessors(*args)[0].expected == pytest.approx(0.5)


def test_checks_of_assessors_keep_their_level():
    generator, misses = np.random.default_rng(5), 0
    sessions, people = np.repeat(range(6), 12), np.tile(range(12), 6)
    for _ in range(60):
        checks = assessors(sessions.tolist(), people.tolist(), generator.random(72) < 0.5)
        misses += min(check.holm_p_value for check in checks) <= 0.05
    assert binomtest(misses, 60, 0.05, "greater").pvalue > 0.01


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: order_effect([3, 2], [2, 2], rng()), "correct is 3 but only 2"),
        (lambda: halves((13, 12), (3, 12)), "correct in the first half is 13 but only 12"),
    ],
)
def test_checks_refuse(call, message):
    with pytest.raises(InputError, match=message):
        call()
