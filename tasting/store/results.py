"""What a closed session's finding and the models rest on, in columns: reckoned, written, read back.

The evidence stays the truth. A row is reckoned from the whole session when it closes, when it comes
from a document, and for what an earlier program left when the database is opened.
"""

import json
import re
from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from functools import lru_cache
from typing import Any, Final, Literal

from sqlalchemy import Connection, RowMapping, Table, delete, func, insert, select

from tasting.errors import DamagedError
from tasting.insight.findings.closed_session import ClosedSession
from tasting.insight.findings.evidence import Evidence, evaluate
from tasting.insight.findings.kinds.sequential import SequentialEvidence
from tasting.insight.findings.panel_checks import assessor_scores
from tasting.insight.findings.tally import Given, Tally
from tasting.panel.plan import Sample
from tasting.panel.session import Session
from tasting.stats.sequential import Looks
from tasting.store import damage, mapping, schema

_RECKONED: Final = 1
"""Raise it when a change to the findings makes another headline or p-value of the same answers: all
rows are then reckoned anew when a database is opened."""

_result, _score = schema.result, schema.score
_NOT_COUNTED, _COUNTED, _UNDECIDED = "-", "+", "="
SIGNS: Final = {_NOT_COUNTED: 0, _COUNTED: 1, _UNDECIDED: 2}
"""What stands behind the seat of an answer, and a number for it."""
OF_SAMPLE = ("kind", "id", "name")
_GIVEN = re.compile(r"(\d+)([-+=])")
_SPARE: Final[dict[str, Any]] = {
    "method": "",
    **{f"{letter}_{field}": "" for letter in "ab" for field in ("kind", "id", "name")},
    **{
        "pair": "",
        "planned": 0,
        "answers": 0,
        "excluded": 0,
        "given": "",
        "by_option": "",
        "looks": "",
        "n": 0,
    },
    **{"counted": 0, "undecided": 0, "shown": False, "p_value": None, "headline": ""},
}
"""What stands in the row of a session that is too damaged for more."""


def add(connection: Connection, session: Session) -> None:
    """Write what follows from a closed session."""
    mapping.add_rows(connection, rows_of(session))


def rows_of(session: Session) -> dict[Table, list[dict[str, Any]]]:
    """The same as rows, in an order in which they can be added."""
    row, scores = rows(session)
    return {_result: [row], _score: scores}


def rows(session: Session) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """What follows from a closed session, as rows. Raises SealedError while it is not closed."""
    closed = ClosedSession.of_session(_in_order(session))
    tally, seat_of = closed.tally, mapping.seats_of(session)
    found = evaluate(tally) if tally.n else None
    headline = found.headline(tally) if found else ""
    row = {
        "session_id": session.id,
        "reckoned": _RECKONED,
        "fault": "",
        "closed_at": mapping.stamp(session.closed_at),
        "method": session.plan.method,
        **_of_sample("a", closed.a),
        **_of_sample("b", closed.b),
        "pair": pair_of(closed.a, closed.b),
        "planned": tally.planned,
        "answers": closed.answers,
        "excluded": tally.excluded,
        "given": "".join(f"{seat_of[one.assessor]}{_sign(one)}" for one in tally.given),
        "by_option": json.dumps(tally.by_option) if tally.by_option else "",
        "looks": json.dumps([tally.looks.at, tally.looks.every]) if tally.looks else "",
        "n": tally.n,
        "counted": tally.count,
        "undecided": tally.undecided,
        "shown": found is not None and found.verdict.difference,
        "p_value": _p_value(found),
        "headline": headline,
        "words": _words(session.name, headline, session.purpose, closed.a.name, closed.b.name),
    }
    return row, list(_scores(session, tally))


def _in_order(session: Session) -> Session:
    """The session with its answers in the order in which they are read back."""
    seat_of = mapping.seats_of(session)
    kept = sorted(session.answers, key=lambda a: (a.given_at, seat_of[a.assessor], a.replicate))
    return session.model_copy(update={"answers": tuple(kept)})


def _of_sample(letter: str, sample: Sample) -> dict[str, str]:
    return {f"{letter}_{name}": getattr(sample, name) for name in OF_SAMPLE}


def pair_of(*samples: Sample) -> str:
    """Both samples by kind and id, whichever was A."""
    return pair_key(*((one.kind, one.id) for one in samples))


def pair_key(*drinks: tuple[str, str]) -> str:
    """The same of two drinks by kind and id."""
    return " ".join(sorted(f"{kind}:{id_}" for kind, id_ in drinks))


def _words(*texts: str) -> str:
    """Texts as a search looks through them."""
    return "\n".join(texts).casefold()


def _sign(given: Given) -> str:
    return _UNDECIDED if given.undecided else _COUNTED if given.counted else _NOT_COUNTED


def _p_value(evidence: Evidence | None) -> float | None:
    """None where nobody answered, and of a sequential test, which has none."""
    if evidence is None or isinstance(evidence, SequentialEvidence):
        return None
    return float(evidence.p_value)


def _scores(session: Session, tally: Tally) -> Iterator[dict[str, Any]]:
    """A row for each seat with an answer that chose a sample."""
    chose = Counter(one.assessor for one in tally.choosing)
    counted = Counter(one.assessor for one in tally.choosing if one.counted)
    right = {score.assessor: score.right for score in assessor_scores(session)}
    for who, seat in mapping.seats_of(session).items():
        if chose[who]:
            values = {"n": chose[who], "counted": counted[who], "right": right.get(who)}
            yield {"session_id": session.id, "seat": seat, **values}


def fill(connection: Connection, most: int) -> None:
    """Reckon up to so many sessions that have no row yet, or one that was reckoned otherwise.

    A damaged session gets a row that says what is wrong with it.
    """
    ids = connection.execute(_missing().limit(most)).scalars().all()
    for session_id in ids:
        connection.execute(delete(_score).where(_score.c.session_id == session_id))
        connection.execute(delete(_result).where(_result.c.session_id == session_id))
        try:
            add(connection, mapping.load(connection, session_id))
        except DamagedError as error:
            connection.execute(insert(_result), _faulty(connection, session_id, str(error)))


def count_undone(connection: Connection) -> int:
    """How many closed sessions have no row yet, or one that was reckoned otherwise."""
    return connection.execute(select(func.count()).select_from(_missing().subquery())).scalar_one()


def _missing() -> Any:
    known = schema.session
    home = known.outerjoin(_result, _result.c.session_id == known.c.id)
    undone = _result.c.session_id.is_(None) | (_result.c.reckoned != _RECKONED)
    return select(known.c.id).select_from(home).where(known.c.closed_at.is_not(None), undone)


def _faulty(connection: Connection, session_id: str, fault: str) -> dict[str, Any]:
    row = mapping.session_row(connection, session_id)
    own = {"session_id": session_id, "reckoned": _RECKONED, "closed_at": row["closed_at"]}
    return {**_SPARE, **own, "fault": fault, "words": _words(row["name"], row["purpose"])}


def _looks(kept: str) -> Looks | None:
    at, every = json.loads(kept) if kept else ((), 0)
    return Looks(tuple(at), every) if kept else None


def closed_session(row: RowMapping, who: dict[int, str]) -> ClosedSession:
    """The session of a row of `result` beside one of `session`. Raises DamagedError.

    who: what each seat is called; a pseudonym is not needed
    """
    with damage.named(row):
        if row["fault"]:
            raise DamagedError(row["fault"])
        a, b = (sample(*(row[f"{x}_{name}"] for name in OF_SAMPLE)) for x in "ab")
        return ClosedSession(
            id=row["id"],
            name=row["name"],
            invented=row["invented"],
            closed_at=datetime.fromisoformat(row["closed_at"]),
            a=a,
            b=b,
            answers=row["answers"],
            tally=_tally(row, who),
            weighed=None if row["p_value"] is None else (row["shown"], row["p_value"]),
        )


# Thousands of sessions compare the same few drinks, and answers are of three kinds.
@lru_cache(maxsize=1024)
def sample(kind: Literal["version", "reference"], id_: str, name: str) -> Sample:
    """A sample; what was made once is used again."""
    return Sample(kind=kind, id=id_, name=name)


@lru_cache(maxsize=4096)
def _given(who: str, sign: str) -> Given:
    return Given(who, sign == _COUNTED, sign == _UNDECIDED)


def _tally(row: RowMapping, who: dict[int, str]) -> Tally:
    plan = mapping.plan_for_one(row["plan"])
    options = json.loads(row["by_option"]) if row["by_option"] else None
    given = tuple(_given(who[int(seat)], sign) for seat, sign in _GIVEN.findall(row["given"]))
    return Tally.of_plan(
        plan,
        given,
        planned=row["planned"],
        by_option=(tuple(options[0]), tuple(options[1])) if options else None,
        excluded=row["excluded"],
        looks=_looks(row["looks"]),
        early_reason=row["early_reason"],
    )
