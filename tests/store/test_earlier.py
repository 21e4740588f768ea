"""A database of every released schema opens, is upgraded, and tells the same."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Engine

from tasting.errors import StoreError
from tasting.insight.findings.finding import finding
from tasting.store import ballots, bench, sessions
from tasting.store.check import misses
from tasting.store.database import file_address, open_database, reading, writing
from tasting.store.schema import FIXED, KEPT, metadata
from tests.giving import record_answer
from tests.ui.workshop import SPRITZ, START, closed, planned

EARLIER = sorted((Path(__file__).parent / "fixtures").glob("*.sql"))


@pytest.fixture(params=EARLIER, ids=lambda path: path.stem)
def upgraded(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Engine]:
    """A database as an earlier program left it, opened by this one."""
    file = tmp_path / "earlier.sqlite3"
    with closing(sqlite3.connect(file)) as connection:
        connection.executescript(request.param.read_text("utf-8"))
    engine = open_database(file_address(file))
    yield engine
    engine.dispose()


def test_it_has_the_present_schema(upgraded: Engine) -> None:
    with reading(upgraded) as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})

        assert compare_metadata(context, metadata) == []


def test_its_sessions_are_all_there(upgraded: Engine) -> None:
    states = {known.id: known.state for known in sessions.summaries(upgraded)}

    assert states == {"acid": "closed", "syrup": "closed", "running": "open", "next": "planned"}


def test_its_glasses_at_the_bench_can_be_read(
    upgraded: Engine, request: pytest.FixtureRequest
) -> None:
    """As many as the file has; the fifth schema was the first to have one."""
    written = request.node.callspec.params["upgraded"].read_text("utf-8")
    poured = bench.poured(upgraded, [version.id for version in SPRITZ.versions])

    assert len(poured) == written.count('INSERT INTO "bench" VALUES')
    assert [len(bench.glass(upgraded, one.id).log.steps) for one in poured] == [5] * len(poured)


def test_its_findings_are_as_they_were(upgraded: Engine) -> None:
    found = finding(sessions.closed_session(upgraded, "acid"))
    invented = finding(closed(planned("acid"), 10, 2, day=32))

    assert found.tally == invented.tally
    assert found.evidence == invented.evidence


@pytest.mark.parametrize("table", [*KEPT, *FIXED])
def test_its_evidence_cannot_be_changed(upgraded: Engine, table: str) -> None:
    """One trigger each against changing, deleting and replacing."""
    guards = f"SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND tbl_name = '{table}'"
    with reading(upgraded) as connection:
        assert connection.exec_driver_sql(guards).scalar() == 3


def test_its_open_session_goes_on_to_its_end(upgraded: Engine) -> None:
    token = next(iter(ballots.links(upgraded, "running", b"secret").values()))
    moment = START + timedelta(days=40)
    assert record_answer(upgraded, token, 1, ballots.ballot(upgraded, token).codes[0], moment)
    assert len(sessions.close_session(upgraded, "running", moment, "enough").answers) == 1


def test_a_program_that_is_older_than_the_database_refuses_it(upgraded: Engine) -> None:
    with writing(upgraded) as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = 'next year'")
    with pytest.raises(StoreError, match="newer version of the program; update the program"):
        open_database(str(upgraded.url))


def test_its_columns_follow_from_its_answers(upgraded: Engine) -> None:
    """Fails when a headline changes and the number of the reckoning (`results`) does not."""
    found = [str(miss) for miss in misses(upgraded)]

    assert found == []
