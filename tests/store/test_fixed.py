"""What a session was planned, sealed and closed with stays, also for whoever writes SQL by hand."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine

from tasting.errors import StoreError
from tasting.store import access, ballots, sessions
from tasting.store.database import writing
from tests.ui.workshop import ASSESSORS, START, closed, keep, opened, planned

LATER = START + timedelta(days=40)
SESSION = "what a session was planned, sealed and closed with never changes"
SEAT = "a seat stays, and so do its consent and withdrawal"

SPOILS = {
    "plan": ("UPDATE session SET plan = '{}'", SESSION),
    "plan before opening": ("UPDATE session SET plan = '{}' WHERE id = 'next'", SESSION),
    "name": ("UPDATE session SET name = 'another' WHERE id = 'next'", SESSION),
    "invented": ("UPDATE session SET invented = 'not at all' WHERE id = 'done'", SESSION),
    "id": ("UPDATE session SET id = 'another' WHERE id = 'next'", SESSION),
    "seal": ("UPDATE session SET sealed = salt WHERE id = 'running'", SESSION),
    "salt": ("UPDATE session SET salt = '' WHERE id = 'running'", SESSION),
    "opened again": ("UPDATE session SET opened_at = planned_at WHERE id = 'running'", SESSION),
    "not opened": ("UPDATE session SET opened_at = NULL WHERE id = 'running'", SESSION),
    "not closed": ("UPDATE session SET closed_at = NULL WHERE id = 'done'", SESSION),
    "closed later": ("UPDATE session SET closed_at = '2027-01-01' WHERE id = 'done'", SESSION),
    "closed unopened": ("UPDATE session SET closed_at = planned_at WHERE id = 'next'", SESSION),
    "early reason": ("UPDATE session SET early_reason = 'better' WHERE id = 'done'", SESSION),
    "closed, given up": ("UPDATE session SET abandoned_at = closed_at WHERE id = 'done'", SESSION),
    "not given up": ("UPDATE session SET abandoned_at = NULL WHERE id = 'gone'", SESSION),
    "reason": ("UPDATE session SET abandoned_reason = 'none' WHERE id = 'gone'", SESSION),
    "no session": ("DELETE FROM session WHERE id = 'next'", "rows of session are never deleted"),
    "no seat": ("DELETE FROM seat WHERE number = 3", "rows of seat are never deleted"),
    "pseudonym": ("UPDATE seat SET assessor = 'Kim' WHERE number = 3", SEAT),
    "number": ("UPDATE seat SET number = 99 WHERE number = 3", SEAT),
    "consent": ("UPDATE seat SET consented_at = NULL WHERE consented_at IS NOT NULL", SEAT),
}
"""Statements by which somebody could make history better, and what the database says to each."""


def keep_all(engine: Engine) -> None:
    """A session of each state, and a seat that has consented."""
    running = opened(planned("running"))
    gone = opened(planned("gone")).abandoned(LATER, "The bottle broke")
    keep(engine, planned("next"), running, closed(planned("done"), 5, 3, "tired"), gone)
    token = ballots.links(engine, "running", b"secret")[ASSESSORS[0]]
    ballots.consent(engine, token, LATER)


@pytest.fixture
def kept(engine: Engine) -> Engine:
    keep_all(engine)
    return engine


@pytest.mark.parametrize(("spoil", "said"), SPOILS.values(), ids=SPOILS)
def test_it_cannot_be_changed_afterwards(kept: Engine, spoil: str, said: str) -> None:
    with pytest.raises(StoreError, match=said), writing(kept) as connection:
        connection.exec_driver_sql(spoil)


@pytest.mark.parametrize("table", ["session", "seat", "answer", "version", "serving_set", "event"])
def test_nothing_is_replaced_by_a_connection_without_our_settings(
    kept: Engine, tmp_path: Path, table: str
) -> None:
    """REPLACE by itself asks no trigger against deleting (sqlite.org/lang_conflict.html)."""
    kept.dispose()
    with closing(sqlite3.connect(tmp_path / "log.sqlite3")) as bare:
        before = bare.execute(f"SELECT * FROM {table}").fetchall()
        with pytest.raises(sqlite3.IntegrityError, match=f"rows of {table} are only ever added"):
            bare.execute(f"REPLACE INTO {table} SELECT * FROM {table} LIMIT 1")
        assert bare.execute(f"SELECT * FROM {table}").fetchall() == before


@pytest.mark.parametrize(
    "act",
    [
        lambda engine: sessions.open_session(engine, "next", LATER),
        lambda engine: sessions.close_session(engine, "running", LATER, "enough"),
        lambda engine: sessions.abandon_session(engine, "running", LATER, "enough"),
        lambda engine: sessions.abandon_session(engine, "next", LATER, "nobody came"),
        lambda engine: sessions.erase_pseudonym(engine, ASSESSORS[11]),
        lambda engine: access.new_pourer_code(engine, "running"),
        lambda engine: ballots.new_link(engine, "running", 0, LATER),
    ],
    ids=["open", "close", "abandon", "abandon planned", "erase", "pourer", "link"],
)
def test_what_the_program_does_goes_on(
    engine: Engine, act: Callable[[Engine], object], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(access, "SCRYPT_N", 2)
    some = ASSESSORS[:11]
    keep(engine, planned("next", assessors=some), closed(planned("done"), 5, 3, "tired"))
    sessions.plan_session(engine, planned("running", assessors=some))
    sessions.open_session(engine, "running", LATER - timedelta(days=1))
    act(engine)
    assert len(sessions.summaries(engine)) == 3
