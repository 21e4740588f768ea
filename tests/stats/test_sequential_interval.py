"""Intervals after a sequential stop: every result of small tests, counted out."""

from itertools import product

import numpy as np
import pytest

from tasting.errors import InputError
from tasting.stats.sequential import Decision, Run, WaldTest, run, wald_test
from tasting.stats.sequential_interval import stopped_interval

TRIANGLES = wald_test(1 / 3, 0.5, 0.05, 0.10)
PAIRS = wald_test(1 / 2, 0.6, 0.10, 0.10)
LONGEST = 12


def sequences(test: WaldTest) -> dict[tuple[Run, int], list[int]]:
    """Of all answers in a row: by result, how many of them are correct before the stop."""
    results: dict[tuple[Run, int], list[int]] = {}
    for answers in product((False, True), repeat=LONGEST):
        found = run(test, answers)
        key = found, sum(answers[: found.n])
        results.setdefault(key, []).append(sum(answers))
    return results


def probability(rights: list[int], p_c: float) -> float:
    """That one of these whole rows of answers comes out."""
    right = np.array(rights)
    return float(np.sum(p_c**right * (1 - p_c) ** (LONGEST - right)))


@pytest.mark.parametrize("test", [TRIANGLES, PAIRS])
def test_it_covers_every_share_at_least_as_often_as_stated(test: WaldTest) -> None:
    results = sequences(test)
    intervals = {key: stopped_interval(test, *key) for key in results}

    for p_d in np.linspace(0, 0.99, 34):
        p_c = test.chance + (1 - test.chance) * p_d
        covered = [key for key, found in intervals.items() if found.low <= p_d <= found.high]
        assert sum(probability(results[key], p_c) for key in covered) >= 0.95


def test_the_ends_have_half_the_risk_each() -> None:
    results, key = sequences(TRIANGLES), (Run(Decision.DIFFERENT, 7), 6)
    found = stopped_interval(TRIANGLES, *key)
    sooner = [r for (at, _), r in results.items() if at.decision is Decision.DIFFERENT and at.n < 7]
    low, high = (1 / 3 + 2 / 3 * end for end in (found.low, found.high))

    assert sum(probability(r, low) for r in [*sooner, results[key]]) == pytest.approx(0.025)
    assert 1 - sum(probability(r, high) for r in sooner) == pytest.approx(0.025)


def test_sooner_speaks_for_more() -> None:
    ends = [stopped_interval(TRIANGLES, Run(Decision.DIFFERENT, n), 5).low for n in (5, 7, 9)]
    assert ends == sorted(ends, reverse=True)
    tops = [stopped_interval(TRIANGLES, Run(Decision.SIMILAR, n), 1).high for n in (6, 8, 12)]
    assert tops == sorted(tops)


def test_while_undecided_more_correct_answers_move_both_ends_up() -> None:
    found = [stopped_interval(TRIANGLES, Run(Decision.GO_ON, 12), x) for x in (5, 6, 7, 8)]
    assert all(a.low <= b.low and a.high < b.high for a, b in zip(found, found[1:], strict=False))


def test_a_score_below_chance_is_no_evidence_of_likeness() -> None:
    # Nobody of 4 right has a probability of 1/16 by guessing; it counts as a later stop.
    soon = stopped_interval(PAIRS, Run(Decision.SIMILAR, PAIRS.least_tastings()[1]), 0)
    assert soon.low == 0
    assert soon.high > 0.3


@pytest.mark.parametrize(("correct", "written"), [(-1, "−1"), (6, "6")])
def test_impossible_counts_are_refused(correct: int, written: str) -> None:
    with pytest.raises(InputError, match=f"correct is {written} "):
        stopped_interval(TRIANGLES, Run(Decision.DIFFERENT, 5), correct)
