"""Ways to spoil a log past the program and past the guards of the database."""

import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy import Engine


def spoil(file: Path, *statements: str) -> None:
    """Run these with triggers and foreign keys out of the way; all are put back as they were."""
    with closing(sqlite3.connect(file)) as db:
        db.execute("PRAGMA foreign_keys=OFF")
        triggers = db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        kept = dict(triggers.fetchall())
        for name in kept:
            db.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            assert db.execute(statement).rowcount, statement
        for sql in kept.values():
            db.execute(sql)
        db.commit()


def file_of(engine: Engine) -> Path:
    """The file of an SQLite database."""
    return Path(str(engine.url.database))


CUT = "UPDATE session SET plan = substr(plan, 1, 80) WHERE id = 'acid'"
ANOTHER_ORDER = (
    "UPDATE serving_set SET serving_order = 'BBA' WHERE session_id = 'acid' AND place = 0"
)
ANOTHER_CODE = "UPDATE serving_set SET codes = '111 222 333' WHERE session_id = 'acid' AND seat = 3"
ANOTHER_PLAN = "UPDATE session SET plan = replace(plan, '0.05', '0.10') WHERE id = 'acid'"
NO_SEAT = "DELETE FROM seat WHERE session_id = 'acid' AND number = 11"
NO_ANSWER = "DELETE FROM answer WHERE session_id = 'acid' AND seat = 2"
NO_MOMENT = "UPDATE answer SET given_at = 'yesterday' WHERE session_id = 'acid' AND seat = 2"
UNREADABLE = {
    "the plan is cut": CUT,
    "an order was exchanged": ANOTHER_ORDER,
    "codes were exchanged": ANOTHER_CODE,
    "the plan was changed": ANOTHER_PLAN,
    "a seat is gone": NO_SEAT,
    "an answer is gone": NO_ANSWER,
    "a moment is none": NO_MOMENT,
}
"""What makes the session `acid` of the invented workshop unreadable."""


def cut_plan(engine: Engine) -> None:
    """The plan of the session `acid` is cut short."""
    engine.dispose()
    spoil(file_of(engine), CUT)
