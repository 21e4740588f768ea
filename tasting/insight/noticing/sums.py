"""Answers of many sessions added up, from one row for each assessor of each session.

A workshop that tasted for years has hundreds of thousands of rows and a few hundred different
comparisons, so rows are added up as arrays.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from tasting.insight.noticing.comparisons import SessionScore
from tasting.stats.checks import Ints


@dataclass(frozen=True, slots=True)
class ScoreRows:
    """A row for each assessor of each session, in any order.

    session: number of the session, from 0; who: number of the assessor, the same in every session
    tastings: answers given; counted: those that counted
    """

    session: Ints
    who: Ints
    tastings: Ints
    counted: Ints


def score_rows(session: Ints, who: Ints, counted: Ints) -> ScoreRows:
    """The rows of these answers: `counted` is 1 where an answer counted, else 0."""
    own, assessor, tastings = _added_up(session, who)
    return ScoreRows(own, assessor, tastings, _sums_of(counted, session, who))


def answers_by_group(rows: ScoreRows, group: Ints, groups: int) -> list[Ints]:
    """For each group of sessions its answers, as in a TastedPair.

    group: the group of each session; groups: how many there are
    """
    owner, *sums = _added_up(group[rows.session], rows.tastings, rows.counted, rows.who)
    ends = np.searchsorted(owner, np.arange(groups + 1)).tolist()
    table = np.column_stack(sums)
    return [table[first:last] for first, last in pairwise(ends)]


def scores_by_group(rows: ScoreRows, group: Ints, groups: int) -> list[dict[SessionScore, int]]:
    """For each group of sessions how often one had which score, as in a TastedPair."""
    session, tastings, assessors = _added_up(rows.session, rows.tastings)
    counted = _sums_of(rows.counted, rows.session, rows.tastings)
    owner, *score, times = _added_up(group[session], tastings, assessors, counted)
    made: list[Counter[SessionScore]] = [Counter() for _ in range(groups)]
    for at, *own, often in np.column_stack([owner, *score, times]).tolist():
        made[at][SessionScore(*own)] = often
    return [dict(one) for one in made]


def _added_up(*columns: Ints) -> tuple[Ints, ...]:
    """The different rows, in order, and how often each is there; of numbers from 0."""
    found, times = np.unique(_key(columns), return_counts=True)
    each = []
    for column in reversed(columns):
        found, rest = np.divmod(found, _size(column))
        each.append(rest)
    return (*reversed(each), times)


def _sums_of(values: Ints, *columns: Ints) -> Ints:
    """The sum of the values of equal rows, in the order of `_added_up`."""
    found, place = np.unique(_key(columns), return_inverse=True)
    return np.bincount(place, values, minlength=len(found)).astype(np.int64)


def _key(columns: Sequence[Ints]) -> Ints:
    """One number for each row, that grows from column to column."""
    key = np.zeros(len(columns[0]), dtype=np.int64)
    for column in columns:
        key = key * _size(column) + column
    return key


def _size(column: Ints) -> int:
    return int(column.max(initial=0)) + 1
