"""Durable answers through the store, beside SQLite alone and beside another writer: for `size`."""

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

from sqlalchemy import Engine, text

from tasting.store import ballots
from tasting.store.database import file_address, open_database, writing
from tasting.store.seats import digest
from tests.faults.evening import MOMENT, begun
from tests.giving import record_answer
from tests.postgres import binaries, cluster

ANSWERS, TURNS = 1000, 5
_BARE = "INSERT INTO answer VALUES (?, ?, ?, ?, ?, ?, ?)"


def durable(folder: Path, _count: int) -> dict[str, float]:
    """Answers a second, one after the other, through the store and into a table alone: the medians
    of turns about, because a disk is not the same from one second to the next."""
    engine = open_database(file_address(folder / "evening.sqlite3"))
    evening = begun(engine, assessors=50, replicates=ANSWERS // 50)
    for token in evening.tokens.values():
        ballots.consent(engine, token, MOMENT)
    given = list(_given(engine, evening.tokens.values()))
    given.sort(key=lambda one: one[1])  # the first set of all seats first
    ours, bare, many = [], [], ANSWERS // TURNS
    for turn in range(TURNS):
        part = given[turn * many : (turn + 1) * many]
        ours.append(_answers_a_second(engine, part))
        bare.append(_bare(folder / f"bare{turn}.sqlite3", many))
    engine.dispose()
    return {"store, answers/s": median(ours), "bare, answers/s": median(bare)}


def _answers_a_second(engine: Engine, given: Sequence[tuple[str, int, str]]) -> float:
    began = perf_counter()
    for token, replicate, choice in given:
        record_answer(engine, token, replicate, choice, MOMENT)
    return len(given) / (perf_counter() - began)


def writers(folder: Path, _count: int) -> dict[str, float]:
    """On PostgreSQL, answers a second of an evening: alone, and while another evening's writer
    holds its transaction. Nothing where there is no PostgreSQL."""
    if binaries() is None:
        return {}
    with cluster() as server:
        engine = open_database(server.create("evening"))
        first, second = begun(engine, 2, 1), begun(engine, 50, 8)
        given = sorted(_given(engine, second.tokens.values()), key=lambda one: one[1])
        alone = _answers_a_second(engine, given[:200])
        with writing(engine, first.session_id):
            beside = _answers_a_second(engine, given[200:])
        engine.dispose()
    return {"PostgreSQL alone, answers/s": alone, "PostgreSQL beside, answers/s": beside}


def _given(engine: Engine, tokens: Any) -> Iterator[tuple[str, int, str]]:
    """The first code of every set: which one it is does not matter here."""
    wanted = text(
        "SELECT codes, replicate FROM serving_set JOIN seat ON seat.session_id = "
        "serving_set.session_id AND seat.number = seat WHERE token_hash = :hash ORDER BY replicate"
    )
    with engine.connect() as connection:
        for token in tokens:
            for codes, replicate in connection.execute(wanted, {"hash": digest(token)}):
                yield token, replicate, codes.split()[0]


def _bare(file: Path, answers: int) -> float:
    """The same settings, one INSERT a transaction."""
    with closing(sqlite3.connect(file, isolation_level=None)) as db:
        db.execute("PRAGMA journal_mode=WAL")
        db.execute("PRAGMA synchronous=FULL")
        db.execute(
            "CREATE TABLE answer (session_id TEXT, seat INT, replicate INT, choice TEXT, sure INT, "
            "remark TEXT, given_at TEXT, PRIMARY KEY (session_id, seat, replicate))"
        )
        began = perf_counter()
        for number in range(answers):
            db.execute("BEGIN IMMEDIATE")
            db.execute(_BARE, ("s", number, 1, "482", None, "", MOMENT.isoformat()))
            db.execute("COMMIT")
        return answers / (perf_counter() - began)
