"""Closed sessions by their columns: chosen, counted and read without any key or document.

The columns are those of `results`. What is read names each assessor by a number, the same in every
session, and by no pseudonym.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Connection, Engine, and_, func, or_, select, true

from tasting.errors import DamagedError
from tasting.insight.findings.closed_session import ClosedSession
from tasting.insight.findings.panel_checks import AssessorScore
from tasting.panel.session import Session
from tasting.store import mapping, results, schema
from tasting.store.database import reading

_result, _session, _seat, _score = schema.result, schema.session, schema.seat, schema.score
_NEEDED = (_session.c.id, *(_session.c[name] for name in ("name", "invented", "plan")))
THERE = _result.join(_session, _session.c.id == _result.c.session_id)
OLDEST_FIRST = (_result.c.closed_at, _result.c.session_id)
_NEWEST_FIRST = tuple(column.desc() for column in OLDEST_FIRST)


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which closed sessions: all, or those that compare one of these versions.

    versions: their ids; None for every session
    among: whether the other drink has to be one of these versions, too, or this reference
    methods: their keys; None for every method
    """

    versions: tuple[str, ...] | None = None
    reference: str = ""
    among: bool = False
    methods: tuple[str, ...] | None = None


EVERY = Wanted()


@dataclass(frozen=True, slots=True)
class Index:
    """How many closed sessions are wanted, and when the last one was closed: as closed sessions
    never change, what was computed from the same ones holds as long as this stays the same."""

    wanted: Wanted
    count: int
    last: str


@dataclass(frozen=True, slots=True)
class Read:
    """Closed sessions, oldest first, and a sentence for each that is damaged."""

    sessions: tuple[ClosedSession, ...]
    set_aside: tuple[str, ...] = ()


def index(engine: Engine, wanted: Wanted = EVERY) -> Index:
    """How many closed sessions there are of these."""
    asked = select(func.count(), func.max(_result.c.closed_at)).where(chosen(wanted))
    with reading(engine) as connection:
        count, last = connection.execute(asked).one()
    return Index(wanted, count, last or "")


def read(
    engine: Engine, wanted: Wanted = EVERY, *, newest: int | None = None, people: bool = False
) -> Read:
    """These closed sessions; `newest`: only so many that were closed last.

    people: whether to tell who is the same assessor in several sessions
    """
    asked = _columns().where(chosen(wanted)).order_by(*_NEWEST_FIRST).limit(newest)
    with reading(engine) as connection:
        rows = connection.execute(asked).mappings().all()
        seats = _people(connection, wanted) if people else defaultdict(_Seats)
    return _read(reversed(rows), seats)


def of_pair(engine: Engine, first: str, second: str) -> tuple[ClosedSession, ...]:
    """The closed sessions of these two drinks (ids) that have an answer that counts, oldest first;
    damaged ones are left out."""
    kinds = [(one, other) for one in ("version", "reference") for other in ("version", "reference")]
    pairs = [results.pair_key((one, first), (other, second)) for one, other in kinds]
    asked = _columns().where(_result.c.pair.in_(pairs), _result.c.n > 0)
    with reading(engine) as connection:
        rows = connection.execute(asked.order_by(*OLDEST_FIRST)).mappings().all()
    return _read(rows, defaultdict(_Seats)).sessions


def newest_with(engine: Engine, wanted: Wanted, drink: str) -> ClosedSession | None:
    """Of these sessions the one that was closed last of those that compare this drink (id) and have
    an answer that counts."""
    here = or_(_result.c.a_id == drink, _result.c.b_id == drink)
    asked = _columns().where(chosen(wanted), here, _result.c.n > 0)
    with reading(engine) as connection:
        rows = connection.execute(asked.order_by(*_NEWEST_FIRST).limit(1)).mappings().all()
    return next(iter(_read(rows, defaultdict(_Seats)).sessions), None)


def _columns() -> Any:
    """What a closed session is read from."""
    columns = [column for column in _result.columns if column.name not in ("words", "headline")]
    return select(*_NEEDED, _session.c.early_reason, *columns).select_from(THERE)


def _read(rows: Iterable[Any], seats: dict[str, dict[int, str]]) -> Read:
    found, aside = [], []
    for row in rows:
        try:
            found.append(results.closed_session(row, seats[row["id"]]))
        except DamagedError as error:
            aside.append(str(error))
    return Read(tuple(found), tuple(aside))


class _Seats(dict[int, str]):
    """Seats that are called by their number."""

    def __missing__(self, number: int) -> str:
        return str(number)


def _people(connection: Connection, wanted: Wanted) -> dict[str, dict[int, str]]:
    """A number for the assessor of each seat, by session."""
    numbers: dict[str, str] = {}
    seats: dict[str, dict[int, str]] = defaultdict(dict)
    home = _seat.join(_result, _result.c.session_id == _seat.c.session_id)
    asked = select(_seat.c.session_id, _seat.c.number, _seat.c.assessor).select_from(home)
    for session_id, seat, name in connection.execute(asked.where(chosen(wanted))).all():
        seats[session_id][seat] = numbers.setdefault(name, str(len(numbers)))
    return seats


def chosen(wanted: Wanted) -> ColumnElement[bool]:
    """Whether a row of `result` is one of these."""
    drinks = _of_these_drinks(wanted)
    if wanted.methods is None:
        return drinks
    return and_(drinks, _result.c.method.in_(wanted.methods))


def _of_these_drinks(wanted: Wanted) -> ColumnElement[bool]:
    if wanted.versions is None:
        return true()
    own = [_one_of(letter, "version", wanted.versions) for letter in "ab"]
    if not wanted.among:
        return or_(*own)
    other = [
        or_(one, _one_of(letter, "reference", {wanted.reference}))
        for one, letter in zip(own, "ab", strict=True)
    ]
    return and_(or_(*own), *other)


def _one_of(letter: str, kind: str, ids: Iterable[str]) -> ColumnElement[bool]:
    return and_(_result.c[f"{letter}_kind"] == kind, _result.c[f"{letter}_id"].in_(sorted(ids)))


def ids(engine: Engine, wanted: Wanted) -> frozenset[str]:
    """The ids of these closed sessions."""
    with reading(engine) as connection:
        asked = select(_result.c.session_id).where(chosen(wanted))
        return frozenset(connection.execute(asked).scalars())


def invented(engine: Engine) -> tuple[str, ...]:
    """What is said of invented data, each once."""
    asked = select(_session.c.invented).distinct().select_from(THERE)
    with reading(engine) as connection:
        return tuple(filter(None, connection.execute(asked).scalars()))


def last_version(engine: Engine) -> str | None:
    """The id of a version in the session that was closed last of those that compare one."""
    a_is, b_is = (_result.c[f"{letter}_kind"] == "version" for letter in "ab")
    asked = select(_result).where(a_is | b_is).order_by(*_NEWEST_FIRST).limit(1)
    with reading(engine) as connection:
        row = connection.execute(asked).mappings().first()
    if row is None:
        return None
    return str(row["a_id"] if row["a_kind"] == "version" else row["b_id"])


def times_compared(engine: Engine, versions: tuple[str, ...]) -> dict[str, int]:
    """How often each reference was compared with one of these versions, by its id."""
    times: dict[str, int] = defaultdict(int)
    with reading(engine) as connection:
        for own, other in ("ab", "ba"):
            id_ = _result.c[f"{own}_id"]
            chosen = and_(
                _result.c[f"{own}_kind"] == "reference", _one_of(other, "version", versions)
            )
            for found, count in connection.execute(
                select(id_, func.count()).where(chosen).group_by(id_)
            ):
                times[found] += count
    return times


def compared_since(engine: Engine, session: Session) -> tuple[str, ...]:
    """Names of the sessions that compared the same two samples and were closed later, in order."""
    pair = results.pair_of(session.plan.a, session.plan.b)
    later = _result.c.closed_at > mapping.stamp(session.closed_at)
    asked = select(_session.c.name).select_from(THERE).where(_result.c.pair == pair, later)
    with reading(engine) as connection:
        return tuple(connection.execute(asked.order_by(*OLDEST_FIRST)).scalars())


def assessor_scores(engine: Engine, wanted: Wanted = EVERY) -> tuple[AssessorScore, ...]:
    """How many answers of each assessor were right, session by session, where any can be."""
    home = _score.join(_result, _result.c.session_id == _score.c.session_id).join(
        _seat, and_(_seat.c.session_id == _score.c.session_id, _seat.c.number == _score.c.seat)
    )
    columns = (_score.c.session_id, _seat.c.assessor, _score.c.right, _score.c.n)
    asked = select(*columns).select_from(home).where(_score.c.right.is_not(None), chosen(wanted))
    with reading(engine) as connection:
        return tuple(AssessorScore(*row) for row in connection.execute(asked))


def set_aside(engine: Engine) -> tuple[str, ...]:
    """A sentence for each closed session of which nothing could be reckoned."""
    asked = select(_result.c.fault).where(_result.c.fault != "").order_by(*OLDEST_FIRST)
    with reading(engine) as connection:
        return tuple(connection.execute(asked).scalars())
