"""The answers of closed sessions as one tidy table, and as CSV that a spreadsheet opens safely."""

import csv
from collections.abc import Iterable, Iterator
from datetime import datetime

import pandas as pd

from tasting.errors import SealedError
from tasting.panel.entries import ANSWER_COLUMNS, Answer
from tasting.panel.serving import ServingSet
from tasting.panel.session import Session

_FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r", "\0")
"""First characters that make a spreadsheet run a cell (OWASP ASVS 5.0, 1.2.10; "\\r" is ours)."""


def answers_table(sessions: Iterable[Session]) -> pd.DataFrame:
    """One row for each answer, session after session, in the order in which sets were served.

    `serving_order` and `sample` are letters of the plan's samples A and B; `codes` are the cups
    from left to right; `counted` says whether the answer counts towards the number that is tested;
    `invented` whether the session is made up.
    Raises SealedError for a session that is not closed.
    """
    rows = [row for session in sessions for row in _rows(session)]
    return pd.DataFrame(rows, columns=list(ANSWER_COLUMNS))


def when_closed(session: Session) -> datetime:
    """The moment at which it was closed. Raises SealedError for a session that is not."""
    if session.closed_at is None:
        raise SealedError(f"the session {session.name!r} is {session.state}: close it first")
    return session.closed_at


def _rows(session: Session) -> Iterator[dict[str, object]]:
    closed_at = when_closed(session).isoformat()
    given = {(answer.assessor, answer.replicate): answer for answer in session.counted_answers}
    for served in session.sets:
        answer = given.get((served.assessor, served.replicate))
        if answer:
            yield {
                "session_id": session.id,
                "session": session.name,
                "closed_at": closed_at,
                "method": session.plan.method,
                **_row(session, served, answer),
                "invented": bool(session.invented),
            }


def _row(session: Session, served: ServingSet, answer: Answer) -> dict[str, object]:
    return {
        "assessor": served.assessor,
        "replicate": served.replicate,
        "serving_order": served.order,
        "codes": " ".join(served.codes),
        "chosen": answer.choice,
        "sample": _sample(served, answer.choice),
        "counted": session.plan.is_counted(served, answer.choice),
        "remark": answer.remark,
    }


def _sample(served: ServingSet, choice: str) -> str:
    """The samples in the chosen cups; nothing where the choice was in words."""
    codes = choice.split("+")
    return "".join(map(served.sample_of, codes)) if set(codes) <= set(served.codes) else ""


def safe_csv(table: pd.DataFrame) -> str:
    """The table as CSV; a text that a spreadsheet would run as a formula starts with an apostrophe.

    >>> print(safe_csv(pd.DataFrame({"assessor": ["=1+1", "M-1"], "set": [1, 2]})), end="")
    "assessor","set"
    "'=1+1",1
    "M-1",2
    """
    # Every text is quoted: unquoted, a lone carriage return in a remark would end its row.
    quoted = table.map(_guarded).to_csv(
        index=False, lineterminator="\n", quoting=csv.QUOTE_NONNUMERIC
    )
    return str(quoted)


def _guarded(cell: object) -> object:
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(_FORMULA_SIGNS) else cell
