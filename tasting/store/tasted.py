"""Closed sessions added up for the noticing model, from their columns alone.

Answers and seats come as one text for each session, because 10,000 texts are read five times as
fast as 240,000 rows. Assessors are told apart by numbers; no pseudonym leaves here.
"""

import json
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from sqlalchemy import Connection, Engine, Row, String, case, cast, func, or_, select

from tasting.insight.noticing.comparisons import Asked, SessionScore, TastedPair
from tasting.insight.noticing.sums import (
    ScoreRows,
    answers_by_group,
    score_rows,
    scores_by_group,
)
from tasting.panel.methods import METHODS, method_named
from tasting.panel.plan import Sample
from tasting.stats.checks import Ints
from tasting.store import damage, results, schema
from tasting.store.database import reading
from tasting.store.session_index import EVERY, OLDEST_FIRST, THERE, Wanted, chosen

_result, _session, _seat = schema.result, schema.session, schema.seat
# Pseudonyms hold no control characters (`records.py`), so these cannot stand in one.
_BETWEEN, _WITHIN = "\x1e", "\x1f"


@dataclass(frozen=True, slots=True)
class TastedSums:
    """Sums of closed sessions, and a sentence for each session that is damaged."""

    pairs: tuple[TastedPair, ...]
    set_aside: tuple[str, ...] = ()


def tasted(engine: Engine, wanted: Wanted = EVERY) -> TastedSums:
    """These closed sessions that have an answer, as sums over equal pairs and methods."""
    answered = or_(_result.c.answers > 0, _result.c.fault != "")
    asked = select(*_COLUMNS).select_from(THERE).where(chosen(wanted), answered)
    with reading(engine) as connection:
        rows = connection.execute(asked.order_by(*OLDEST_FIRST)).all()
        alike, aside = _alike(rows)
        panels = _panels(connection, wanted)
    return TastedSums(_pairs(list(alike.values()), panels), tuple(aside))


# Only a method that names an attribute asks for one, or for a sample by name (`panel/plan.py`).
_ASKING = [method.key for method in METHODS.values() if method.names_attribute]
_COLUMNS = (
    *(_session.c[name] for name in ("id", "name")),
    *(_result.c[name] for name in ("closed_at", "fault", "method")),
    # A sequential test has no p-value (`results.py`).
    or_(_result.c.p_value.is_not(None), _result.c.n == 0).label("fixed"),
    _result.c.shown,
    *(_result.c[f"{letter}_{name}"] for letter in "ab" for name in results.OF_SAMPLE),
    _result.c.given,
    case((_result.c.method.in_(_ASKING), _session.c.plan), else_="").label("plan"),
)


# A session's columns; 10,000 of them are left as they were read, because objects cost a third more.
_Row = Row[*tuple[Any, ...]]


def _alike(rows: Iterable[_Row]) -> tuple[dict[Hashable, list[_Row]], list[str]]:
    """The sessions by what they asked of which two samples, and sentences for damaged ones."""
    alike: dict[Hashable, list[_Row]] = {}
    aside = list[str]()
    for row in rows:
        if row.fault:
            aside.append(row.fault)
            continue
        try:
            key = _key(row)
        except damage.FAULTS:  # then said by its name; a context around each costs a fifth
            with damage.set_aside(aside), damage.named(row._mapping):
                _key(row)
        else:
            alike.setdefault(key, []).append(row)
    return alike, aside


def _key(row: _Row) -> Hashable:
    """A sample's name may have changed since; what it is has not."""
    asked, a, b = _read(row)
    return asked, a.kind, a.id, b.kind, b.id


def _read(row: _Row) -> tuple[Asked, Sample, Sample]:
    _, _, _, _, method, fixed, _, *samples, _, plan = row
    return _asked(method, plan, bool(fixed)), _sample(*samples[:3]), _sample(*samples[3:])


_sample = lru_cache(maxsize=4096)(results.sample)


@lru_cache(maxsize=4096)
def _asked(method: str, plan: str, fixed: bool) -> Asked:
    """plan: empty where nothing of it is needed"""
    kept: dict[str, Any] = json.loads(plan) if plan else {"attribute": "", "expected": None}
    attribute = kept["attribute"].strip().casefold()
    return Asked(method_named(method), attribute, kept["expected"], fixed)


def _score_rows(sessions: Sequence[_Row], panels: Mapping[str, str]) -> ScoreRows:
    """The scores of all assessors of these sessions, numbered in this order."""
    session, seat, counted = _answers([one.given for one in sessions])
    who = _Numbers()
    panel = [who.of(panels[one.id]) for one in sessions]
    first = np.cumsum([0, *map(len, panel)])
    return score_rows(session, np.concatenate([*panel, _NOBODY])[first[session] + seat], counted)


_NOBODY = np.zeros(0, dtype=np.int64)


def _answers(given: Sequence[str]) -> tuple[Ints, Ints, Ints]:
    """Every answer that chose: number of the session, seat, and whether it counted."""
    text = "".join(given)
    for sign, number in results.SIGNS.items():
        text = text.replace(sign, f" {number} ")
    seat, said = np.fromstring(text, dtype=np.int64, sep=" ").reshape(-1, 2).T
    times = [sum(one.count(sign) for sign in results.SIGNS) for one in given]
    session, chose = np.repeat(np.arange(len(given)), times), said < _UNDECIDED
    return session[chose], seat[chose], said[chose]


_UNDECIDED = results.SIGNS["="]


def _panels(connection: Connection, wanted: Wanted) -> dict[str, str]:
    """The seats of each session and their pseudonyms as one text, by the session's id."""
    own = _seat.c.session_id
    each = cast(_seat.c.number, String) + _WITHIN + _seat.c.assessor
    ids = select(_result.c.session_id).where(chosen(wanted))
    asked = select(own, func.aggregate_strings(each, _BETWEEN)).where(own.in_(ids)).group_by(own)
    return {id_: panel for id_, panel in connection.execute(asked)}


class _Numbers:
    """Numbers assessors by pseudonym; panels that come again are read once."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}
        self._panels: dict[str, Ints] = {}

    def of(self, panel: str) -> Ints:
        """The number of the assessor on each seat."""
        if panel not in self._panels:
            seats = dict(seat.split(_WITHIN) for seat in panel.split(_BETWEEN))
            numbers = np.zeros(1 + max(map(int, seats)), dtype=np.int64)
            for seat, name in seats.items():
                numbers[int(seat)] = self._numbers.setdefault(name, len(self._numbers))
            self._panels[panel] = numbers
        return self._panels[panel]


def _pairs(alike: Sequence[Sequence[_Row]], panels: Mapping[str, str]) -> tuple[TastedPair, ...]:
    scores = _score_rows([row for rows in alike for row in rows], panels)
    group = np.repeat(np.arange(len(alike)), list(map(len, alike)))
    answers = answers_by_group(scores, group, len(alike))
    counts = scores_by_group(scores, group, len(alike))
    return tuple(map(_pair, alike, answers, counts))


def _pair(rows: Sequence[_Row], given: Ints, count: dict[SessionScore, int]) -> TastedPair:
    sessions = tuple((row.id, row.name) for row in rows)
    shown = sum(bool(row.shown) for row in rows)
    return TastedPair(*_read(rows[-1]), sessions, shown, given, count)
