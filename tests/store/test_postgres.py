"""The store on PostgreSQL, on a server that the tests start themselves."""

import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from itertools import count

import pytest
from sqlalchemy import Engine, func, insert, select, update

from tasting.drink.bench import Tasted, TastedAway, Undone
from tasting.drink.formula import Formula
from tasting.errors import InputError, NotFoundError, StoreError
from tasting.panel.entries import Amendment
from tasting.records import checked
from tasting.store import ballots, bench, formulas, host_logins, schema, sessions
from tasting.store.access import check_passphrase, choose_passphrase
from tasting.store.check import misses
from tasting.store.database import open_database, reading, writing
from tasting.store.documents import export_document, import_documents
from tasting.store.schema import KEPT, metadata
from tests.faults.evening import begun
from tests.giving import record_answer
from tests.postgres import Cluster, cluster
from tests.store.test_database import corrected
from tests.store.test_fixed import SPOILS, keep_all
from tests.ui.workshop import SPRITZ, START, keep, planned, some_closed

pytestmark = pytest.mark.postgres
NUMBERS = count(1)


@pytest.fixture(scope="module")
def server() -> Iterator[Cluster]:
    """The server."""
    with cluster() as running:
        yield running


@pytest.fixture
def address(server: Cluster) -> str:
    """The address of an empty database in it."""
    return server.create(f"log{next(NUMBERS)}")


def test_a_session_goes_from_plan_to_finding(engine: Engine) -> None:
    keep(engine, planned("acid", replicates=2))
    sessions.open_session(engine, "acid", START + timedelta(days=31))
    tokens = ballots.links(engine, "acid", b"secret")
    for token in tokens.values():
        for replicate in (1, 2):
            choice = ballots.ballot(engine, token).codes[0]
            record_answer(engine, token, replicate, choice, START + timedelta(days=32))
    closed = sessions.close_session(engine, "acid", START + timedelta(days=33))

    assert len(closed.answers) == 2 * len(tokens)


def test_what_is_exported_from_one_is_imported_to_another(engine, server: Cluster) -> None:
    keep(engine, corrected())
    document = export_document(engine)
    other = open_database(server.create(f"log{next(NUMBERS)}"))
    import_documents(other, [document])
    again = export_document(other)
    other.dispose()

    (came,) = (session.events[-1].what for session in again.sessions)
    assert came == "imported"
    kept = [
        session.model_copy(update={"events": session.events[:-1]}) for session in again.sessions
    ]
    assert again.model_copy(update={"sessions": tuple(kept)}) == document


@pytest.mark.parametrize("act", ["UPDATE {0} SET {1} = {1}", "DELETE FROM {0}"])
def test_evidence_is_only_ever_added(engine: Engine, act: str) -> None:
    keep(engine, corrected())
    with writing(engine) as connection:
        place = {"session_id": "acid", "seat": 0, "replicate": 1}
        connection.execute(insert(schema.position).values(**place, chosen=1, given_at="2026"))
    for table in KEPT:
        spoil = act.format(table, metadata.tables[table].columns.keys()[-1])
        refused = pytest.raises(StoreError, match=f"rows of {table} are only ever added$")
        with refused, writing(engine) as connection:
            connection.exec_driver_sql(spoil)


def test_what_a_session_was_planned_and_closed_with_stays(engine: Engine) -> None:
    keep_all(engine)
    for spoil, said in SPOILS.values():
        with pytest.raises(StoreError, match=said), writing(engine) as connection:
            connection.exec_driver_sql(spoil)


def test_a_pseudonym_is_erased(engine: Engine) -> None:
    keep(engine, corrected())
    assert sessions.erase_pseudonym(engine, "Assessor 1") == 1
    assert sessions.seats(engine, "acid")[0].assessor.startswith("erased ")


def test_an_answer_to_a_set_counts_once_even_past_the_program(engine: Engine) -> None:
    keep(engine, corrected())
    with reading(engine) as connection:
        row = connection.execute(select(schema.answer)).mappings().first()
    with pytest.raises(StoreError, match="answer_pkey"), writing(engine) as connection:
        connection.execute(insert(schema.answer).values(**row))


def test_an_amendment_is_kept(engine: Engine) -> None:
    keep(engine, planned("acid"))
    sessions.open_session(engine, "acid", START + timedelta(days=31))
    who, token = next(iter(ballots.links(engine, "acid", b"secret").items()))
    codes = ballots.ballot(engine, token).codes
    moment = START + timedelta(days=32)
    record_answer(engine, token, 1, codes[0], moment)
    known = {"assessor": who, "replicate": 1, "made_at": moment, "reason": "misheard"}
    sessions.amend_answer(engine, "acid", Amendment(choice=codes[1], **known))

    assert "answer amended" in [event.what for event in sessions.events(engine, "acid")]


def test_nul_is_kept_nowhere_and_refused_nowhere_without_a_sentence(engine: Engine) -> None:
    """PostgreSQL takes no NUL in a text (its manual, 8.3), not even to compare with."""
    keep(engine, planned("acid", assessors=("P01",)))
    sessions.open_session(engine, "acid", START + timedelta(days=31))
    token = ballots.links(engine, "acid", b"secret")["P01"]
    choice, moment = ballots.ballot(engine, token).codes[0], START + timedelta(days=32)
    record_answer(engine, token, 1, choice, moment, remark="sharp\0, flat")
    sessions.pour_sheet(engine, "acid", moment, "Kim\0")
    with pytest.raises(NotFoundError, match="no session is saved"):
        sessions.summary(engine, "ac\0id")
    with pytest.raises(NotFoundError, match="no session has an assessor"):
        sessions.erase_pseudonym(engine, "P02\0")
    with pytest.raises(NotFoundError, match="not known"):
        ballots.ballot(engine, "\0")
    with pytest.raises(InputError, match="control character"):
        formulas.keep_formula(engine, checked(Formula, {**dict(SPRITZ), "name": "S\0pritz"}))
    closed = sessions.close_session(engine, "acid", moment)
    assert closed.answers[0].remark == "sharp, flat"


def test_the_host_signs_in(engine: Engine, now: datetime, monkeypatch) -> None:
    monkeypatch.setattr("tasting.store.access.SCRYPT_N", 2)
    choose_passphrase(engine, "rhubarb and bay")
    check_passphrase(engine, "rhubarb and bay", now)
    token = host_logins.begin(engine, bytes(64), now)

    assert host_logins.secret_of(engine, token, now) == bytes(64)


def test_eight_that_open_a_new_database_at_once_all_succeed(address: str) -> None:
    with ThreadPoolExecutor(8) as threads:
        opened = list(threads.map(lambda _: open_database(address), range(8)))
    for engine in opened:
        engine.dispose()

    assert len(opened) == 8


def test_no_turn_is_lost_when_eight_read_and_then_write(engine: Engine) -> None:
    """A counter: each turn reads it and writes one more, so a lost turn shows in the sum."""
    with writing(engine) as connection:
        connection.execute(insert(schema.setting).values(name="count", value="0"))

    def turns(_: int) -> None:
        for _turn in range(10):
            with writing(engine) as connection:
                value = int(connection.execute(select(schema.setting.c.value)).scalar_one())
                connection.execute(update(schema.setting).values(value=str(value + 1)))

    with ThreadPoolExecutor(8) as threads:
        list(threads.map(turns, range(8)))
    with reading(engine) as connection:
        assert connection.execute(select(schema.setting.c.value)).scalar_one() == "80"


def test_a_reader_sees_one_state_while_others_write(engine: Engine) -> None:
    rows = select(func.count()).select_from(schema.setting)
    with reading(engine) as reader:
        before = reader.execute(rows).scalar()
        with writing(engine) as writer:
            writer.execute(insert(schema.setting).values(name="more", value="1"))
        assert reader.execute(rows).scalar() == before


def test_the_same_answer_from_many_phones_at_once_is_kept_once(engine: Engine) -> None:
    evening = begun(engine, assessors=1, replicates=1)
    (token,) = evening.tokens.values()
    choice, gate = ballots.ballot(engine, token).codes[0], threading.Barrier(6)

    def tap(_: int) -> None:
        gate.wait()
        record_answer(engine, token, 1, choice, evening.moment)

    with ThreadPoolExecutor(6) as threads:
        list(threads.map(tap, range(6)))

    assert sessions.summary(engine, evening.session_id).answered == 1


def test_a_server_that_is_gone_is_said_and_found_again(engine: Engine, server: Cluster) -> None:
    keep(engine, planned("acid"))
    server.stop()
    with pytest.raises(StoreError, match="see whether the database's server runs"):
        sessions.summaries(engine)
    server.start()

    assert [known.id for known in sessions.summaries(engine)] == ["acid"]


def test_writers_of_different_sessions_do_not_wait_for_each_other(engine: Engine) -> None:
    """One evening's writer is held up; another evening's answers come in all the same."""
    first, second = begun(engine, 2, 1), begun(engine, 2, 1)
    token = next(iter(second.tokens.values()))
    code = ballots.ballot(engine, token).codes[0]
    with writing(engine, first.session_id), ThreadPoolExecutor(1) as thread:
        kept = thread.submit(record_answer, engine, token, 1, code, second.moment)

        assert kept.result(timeout=20)


def test_writers_of_one_session_and_of_everything_wait(engine: Engine) -> None:
    evening = begun(engine, 2, 1)
    token = next(iter(evening.tokens.values()))
    code = ballots.ballot(engine, token).codes[0]
    for about in (evening.session_id, ""):
        with ThreadPoolExecutor(1) as thread:
            with writing(engine, about):
                later = thread.submit(record_answer, engine, token, 1, code, evening.moment)
                with pytest.raises(TimeoutError):
                    later.result(timeout=0.5)
            later.result(timeout=20)


def test_check_looks_at_schema_and_triggers_there(engine: Engine) -> None:
    keep(engine, *some_closed())
    assert list(misses(engine)) == []
    with writing(engine) as connection:
        connection.exec_driver_sql("DROP TRIGGER answer_kept ON answer")
        connection.exec_driver_sql("ALTER TABLE session DISABLE TRIGGER session_fixed")
        connection.exec_driver_sql("UPDATE result SET counted = 1 WHERE session_id = 'acid'")
    said = [str(miss) for miss in misses(engine)]

    assert [one for one in said if "answer_kept is gone or switched off" in one]
    assert [one for one in said if "session_fixed is gone or switched off" in one]
    assert [one for one in said if "Session acid" in one and "its counted do not follow" in one]
    assert len(said) == 3


def test_a_glass_at_the_bench_is_kept_step_by_step(engine: Engine) -> None:
    keep(engine)
    glass = bench.pour(engine, "spritz-2", 120)
    for seen, step in enumerate([TastedAway(volume_ml=10), Tasted(note="flat"), Undone()]):
        bench.add_step(engine, glass, step, seen)

    kept = bench.glass(engine, glass)
    assert [step.kind for step in kept.log.steps] == ["tasted away", "tasted", "undone"]
    assert [one.steps for one in bench.poured(engine, ["spritz-2"])] == [3]
    assert bench.poured_since(engine, kept.poured_at) == (kept,)
    assert list(misses(engine)) == []
