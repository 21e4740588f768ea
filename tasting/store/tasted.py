"""Closed sessions added up for the noticing model, from their columns alone.

Answers and seats come as one text for each session, because 10,000 texts are read five times as
fast as 240,000 rows. Assessors are told apart by numbers; no pseudonym leaves here.
"""

import json
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

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
        sessions, aside = _sorted_out(rows)
        panels = _panels(connection, wanted)
    return TastedSums(_pairs(sessions, _score_rows(sessions, panels)), tuple(aside))


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


class _Session(NamedTuple):
    id: str
    name: str
    asked: Asked
    a: Sample
    b: Sample
    given: str
    shown: bool


def _sorted_out(rows: Iterable[Row[*tuple[Any, ...]]]) -> tuple[list[_Session], list[str]]:
    found, aside = [], list[str]()
    for row in rows:
        id_, name, _, fault, method, fixed, shown, *samples, given, plan = row
        if fault:
            aside.append(fault)
            continue
        with damage.set_aside(aside), damage.named(row._mapping):
            asked = _asked(method, plan, bool(fixed))
            a, b = results.sample(*samples[:3]), results.sample(*samples[3:])
            found.append(_Session(id_, name, asked, a, b, given, shown))
    return found, aside


@lru_cache(maxsize=4096)
def _asked(method: str, plan: str, fixed: bool) -> Asked:
    """plan: empty where nothing of it is needed"""
    kept: dict[str, Any] = json.loads(plan) if plan else {"attribute": "", "expected": None}
    attribute = kept["attribute"].strip().casefold()
    return Asked(method_named(method), attribute, kept["expected"], fixed)


def _score_rows(sessions: Sequence[_Session], panels: Mapping[str, str]) -> ScoreRows:
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


def _pairs(sessions: Sequence[_Session], scores: ScoreRows) -> tuple[TastedPair, ...]:
    alike: dict[Hashable, list[_Session]] = {}
    place = []
    for one in sessions:
        # A sample's name may have changed since; what it is has not.
        key = one.asked, one.a.kind, one.a.id, one.b.kind, one.b.id
        alike.setdefault(key, []).append(one)
        place.append(key)
    places = {key: at for at, key in enumerate(alike)}
    group = np.array([places[key] for key in place], dtype=np.int64)
    answers = answers_by_group(scores, group, len(alike))
    counts = scores_by_group(scores, group, len(alike))
    return tuple(
        _pair(own, given, count)
        for own, given, count in zip(alike.values(), answers, counts, strict=True)
    )


def _pair(own: Sequence[_Session], given: Ints, count: dict[SessionScore, int]) -> TastedPair:
    newest = own[-1]
    sessions = tuple((one.id, one.name) for one in own)
    shown = sum(one.shown for one in own)
    return TastedPair(newest.asked, newest.a, newest.b, sessions, shown, given, count)
