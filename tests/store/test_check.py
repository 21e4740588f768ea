"""`check`: everything is damaged once, and it says what and where."""

import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest
from sqlalchemy import Engine

from tasting.errors import DamagedError
from tasting.store import backup
from tasting.store.check import misses
from tasting.store.database import file_address, open_database
from tests.store.damaging import UNREADABLE, file_of, spoil
from tests.ui.workshop import keep, opened, planned, some_closed

ANOTHER_CHOICE = (
    "UPDATE answer SET choice = (SELECT substr(codes, 9, 3) FROM serving_set WHERE session_id = "
    "'acid' AND seat = 0) WHERE session_id = 'acid' AND seat = 0 AND choice <> (SELECT "
    "substr(codes, 9, 3) FROM serving_set WHERE session_id = 'acid' AND seat = 0)"
)
AFTER_WARDS = {
    "UPDATE result SET counted = counted + 1 WHERE session_id = 'acid'": "its counted do not",
    "UPDATE result SET headline = 'All alike' WHERE session_id = 'acid'": "its headline do not",
    "UPDATE result SET p_value = 0.5 WHERE session_id = 'acid'": "its p_value do not",
    "UPDATE score SET n = n + 1 WHERE session_id = 'acid' AND seat = 1": "the scores of its seats",
    "DELETE FROM score WHERE session_id = 'acid' AND seat = 1": "the scores of its seats",
}
ELSEWHERE = {
    "DROP TRIGGER answer_no_update": "schema: answer_no_update is gone",
    "DROP TRIGGER session_fixed": "schema: session_fixed is gone",
    "DROP INDEX ix_event_session_id": "schema: ix_event_session_id is gone",
    "CREATE TRIGGER mine AFTER INSERT ON answer BEGIN SELECT 1; END": "mine is none of this",
    "ALTER TABLE answer ADD COLUMN colour TEXT": "schema: answer was changed",
    "DELETE FROM version WHERE id = 'spritz-2'": "version 'spritz-2', which is gone",
    "UPDATE version SET body = '{' WHERE id = 'spritz-3'": "(spritz-3): its row cannot",
    "UPDATE version SET label = 'v9' WHERE id = 'spritz-3'": "name different drinks",
    "UPDATE reference SET body = '' WHERE id = 'R'": "reference 'Reference bottle R' (R): its row",
    "INSERT INTO event VALUES (999, 'nowhere', NULL, '2026', 'x', '')": "event: row 999 stands",
}


@pytest.fixture
def log(engine: Engine) -> Engine:
    keep(engine, *some_closed(), opened(planned("now")), planned("next"))
    return engine


def said(engine: Engine) -> list[str]:
    return [str(miss) for miss in misses(engine)]


def test_a_whole_log_has_nothing(log: Engine) -> None:
    done = []
    assert list(misses(log, lambda number, every: done.append((number, every)))) == []
    assert done[-1] == (7, 7)


@pytest.mark.parametrize("harm", UNREADABLE.values(), ids=UNREADABLE)
def test_a_session_that_cannot_be_read_is_named(log: Engine, harm: str) -> None:
    spoil(file_of(log), harm)

    assert any(one.startswith("session 'Session acid' (acid): ") for one in said(log))


@pytest.mark.parametrize(("harm", "what"), AFTER_WARDS.items())
def test_columns_that_were_tampered_with_are_told(log: Engine, harm: str, what: str) -> None:
    spoil(file_of(log), harm)

    assert [one for one in said(log) if what in one] == said(log) != []


def test_an_answer_that_was_exchanged_no_longer_fits_its_columns(log: Engine) -> None:
    """The seal covers plan and key; the answers are covered by what was reckoned from them."""
    for seat in range(12):
        harm = ANOTHER_CHOICE.replace("seat = 0", f"seat = {seat}")
        try:
            spoil(file_of(log), harm)
        except AssertionError:  # this one has chosen that cup
            continue
        break
    assert any("do not follow from its answers" in one for one in said(log))


@pytest.mark.parametrize(("harm", "what"), ELSEWHERE.items())
def test_everything_else_is_told_where_it_is(log: Engine, harm: str, what: str) -> None:
    log.dispose()
    with closing(sqlite3.connect(file_of(log))) as db:
        for (name,) in (
            db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall()
            if harm.startswith(("DELETE", "UPDATE"))
            else ()
        ):
            db.execute(f"DROP TRIGGER {name}")
        db.execute(harm)
        db.commit()

    assert any(what in one for one in said(log)), said(log)


@pytest.mark.parametrize(
    ("harm", "what"),
    [*((harm, "session 'Session acid'") for harm in UNREADABLE.values()), *AFTER_WARDS.items()],
)
def test_a_copy_is_refused_and_taken_where_that_is_asked_for(
    log: Engine, tmp_path: Path, now: datetime, harm: str, what: str
) -> None:
    copy, target = tmp_path / "copy", tmp_path / "new.sqlite3"
    backup.back_up(file_of(log), copy)
    spoil(copy, harm)
    with pytest.raises(DamagedError, match="is damaged: .*; take another copy"):
        backup.restore(copy, target, now)
    assert not target.exists()
    _, found = backup.restore(copy, target, now, damaged=True)

    assert any(what in str(miss) for miss in found)
    assert target.exists()


def test_a_copy_without_a_trigger_is_refused(log: Engine, tmp_path: Path, now: datetime) -> None:
    copy = tmp_path / "copy"
    backup.back_up(file_of(log), copy)
    with closing(sqlite3.connect(copy)) as db:
        db.execute("DROP TRIGGER serving_set_no_update")
    with pytest.raises(DamagedError, match="serving_set_no_update is gone"):
        backup.restore(copy, tmp_path / "new.sqlite3", now)


def test_what_is_damaged_before_it_was_reckoned_is_kept_as_a_fault(
    log: Engine, tmp_path: Path
) -> None:
    """As when an earlier program's log, with a damaged session in it, is opened."""
    spoil(file_of(log), UNREADABLE["the plan is cut"], "UPDATE result SET reckoned = 0")
    log.dispose()
    again = open_database(file_address(file_of(log)))
    wrong = said(again)
    again.dispose()

    assert len(wrong) == 1
    assert "Session acid" in wrong[0]
