"""Answers given and typed in as the pages do it, for tests of one at a time."""

from datetime import datetime

from sqlalchemy import Engine

from tasting.store import ballots
from tasting.store.database import writing


def record_answer(
    engine: Engine,
    token: str,
    replicate: int,
    choice: str,
    now: datetime,
    *,
    remark: str = "",
    sure: bool | None = None,
) -> bool:
    """Send an answer from a seat; whether it was kept now."""
    given = {"replicate": replicate, "choice": choice, "sure": sure, "remark": remark}
    return ballots.answer_and_go_on(engine, token, {**given, "given_at": now})[0]


def enter_answer(
    engine: Engine, session_id: str, assessor: str, replicate: int, choice: str, now: datetime
) -> None:
    """Type in an answer that was given on paper."""
    with writing(engine, session_id) as connection:
        ballots.enter(connection, session_id, assessor, replicate, choice, now)
