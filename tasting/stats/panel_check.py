"""Is the panel well? Tests of what should make no difference.

Each test is conditional on what was counted, so its p-value is exact, or Monte-Carlo from draws
that are exact: p = (b + 1)/(m + 1) with b of m draws at least as extreme (Davison and Hinkley 1997,
Bootstrap Methods and their Application, section 4.2). Whoever makes several checks will sooner or
later see a small p by chance: `many.false_alarms` says how soon, `many.holm` allows for it.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from scipy import stats

from tasting.stats.checks import Floats, Ints, check_counts
from tasting.stats.many import holm

_DRAWS = 9999


@dataclass(frozen=True, slots=True)
class Check:
    """One check: `statistic` and its p-value, exact where `draws` is 0."""

    statistic: float
    p_value: float
    draws: int


@dataclass(frozen=True, slots=True)
class AssessorCheck:
    """One assessor against the others in the same sessions.

    `expected` is how many of the `n` would be right if everyone in a session were alike;
    `holm_p_value` allows for all assessors that were looked at.
    """

    assessor: Hashable
    correct: int
    n: int
    expected: float
    p_value: float
    holm_p_value: float


def position_effect(chosen: Ints, rng: Generator, draws: int = _DRAWS) -> Check:
    """Is some place among the cups chosen too often?

    Row i, column j of `chosen` counts the sets whose right answer stood in place i and where place
    j was chosen; for preference the "right answer" is either product, named beforehand. If places
    do not matter, the right answers fall on any sets alike and the wrong ones on any wrong place.
    The statistic is the chi-square distance of the places chosen from that expectation.
    """
    right = int(np.trace(chosen))
    drawn = _drawn_places(chosen.sum(axis=1), right, rng, draws)
    return _monte_carlo(chosen.sum(axis=0), drawn, _expected_places(chosen, right))


def _expected_places(table: Ints, right: int) -> Floats:
    sets, share = table.sum(axis=1), right / table.sum()
    wrong = (1 - share) * (table.sum() - sets) / (table.shape[0] - 1)
    return np.asarray(share * sets + wrong)


def _drawn_places(sets: Ints, right: int, rng: Generator, draws: int) -> Ints:
    """How often each place is chosen, by chance, with this many right answers in all."""
    hits = rng.multivariate_hypergeometric(sets, right, size=draws)
    places = sets.size
    chosen = hits.copy()
    for place in range(places):
        others = np.where(np.arange(places) == place, 0.0, 1 / (places - 1))
        chosen += rng.multinomial(sets[place] - hits[:, place], others)
    return chosen


def order_effect(
    correct: Sequence[int], n: Sequence[int], rng: Generator, draws: int = _DRAWS
) -> Check:
    """Do the serving orders differ in how many are right?

    `correct` of `n` by serving order, of those that were served. If orders do not matter, the right
    answers fall on any sets alike. The statistic is the chi-square of homogeneity.

    Raises `InputError` for impossible counts.
    """
    counts, served = check_counts(correct, n)
    drawn = rng.multivariate_hypergeometric(served, int(counts.sum()), size=draws)
    return _monte_carlo(counts, drawn, served * (counts.sum() / served.sum()))


def _monte_carlo(observed: Ints, drawn: Ints, expected: Floats) -> Check:
    safe = np.where(expected > 0, expected, 1.0)
    distance = np.sum((observed - expected) ** 2 / safe)
    distances = np.sum((drawn - expected) ** 2 / safe, axis=1)
    extreme = np.count_nonzero(distances >= distance - 1e-9)
    return Check(float(distance), (extreme + 1) / (len(drawn) + 1), len(drawn))


def halves(first: tuple[int, int], second: tuple[int, int]) -> Check:
    """Is the first half of a session as often right as the second? (correct, n) of each half.

    Fisher's exact test, two-sided; the statistic is the difference of the shares right, second
    minus first. Raises `InputError` for impossible counts.
    """
    (a, m), (b, n) = first, second
    check_counts(a, m, "correct in the first half")
    check_counts(b, n, "correct in the second half")
    p_value = stats.fisher_exact(np.array([[a, m - a], [b, n - b]])).pvalue
    return Check(b / n - a / m, min(1.0, float(p_value)), 0)


def assessors(
    sessions: Sequence[Hashable], people: Sequence[Hashable], right: Sequence[bool]
) -> tuple[AssessorCheck, ...]:
    """Is someone right more, or less, often than the others who tasted the same sessions?

    One entry for each answer: its session, assessor and whether it was right. If all in a session
    are alike, the session's right answers fall on any of its answers, so an assessor's number right
    is a sum of independent hypergeometric counts, whose exact distribution is used, two-sided by
    doubling. Small p-values are also expected where people simply differ in acuity.
    """
    by_session: dict[Hashable, list[_Answer]] = {}
    for session, person, is_right in zip(sessions, people, right, strict=True):
        by_session.setdefault(session, []).append((person, bool(is_right)))
    names = sorted(set(people), key=str)
    results = [_one_assessor(list(by_session.values()), name) for name in names]
    adjusted = holm([p for *_, p in results])
    return tuple(
        AssessorCheck(name, *numbers, holm_p_value=float(p))
        for name, numbers, p in zip(names, results, adjusted, strict=True)
    )


_Answer = tuple[Hashable, bool]


def _one_assessor(sessions: list[list[_Answer]], name: Hashable) -> tuple[int, int, float, float]:
    chances, expected, correct, n = np.ones(1), 0.0, 0, 0
    for session in sessions:
        mine = [is_right for person, is_right in session if person == name]
        total = sum(is_right for _, is_right in session)
        right = stats.hypergeom.pmf(np.arange(len(mine) + 1), len(session), total, len(mine))
        chances = np.convolve(chances, right)
        expected += len(mine) * total / len(session)
        correct, n = correct + sum(mine), n + len(mine)
    tail = min(chances[: correct + 1].sum(), chances[correct:].sum())
    return correct, n, expected, min(1.0, 2 * float(tail))
