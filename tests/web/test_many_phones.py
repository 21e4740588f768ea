"""Phones without a browser against the real app: the whole of it in small.

The whole load: `python -m tests.faults.load_app`.
"""

import asyncio
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest
from sqlalchemy import Engine, insert, select

from tasting.store.database import file_address, open_database, writing
from tasting.store.schema import event
from tests.faults import bare, load_app
from tests.faults import phone as phones
from tests.faults.evening import Count, answer_next, begun, counted
from tests.faults.load_app import on_postgres
from tests.faults.phone import ANSWER, BEGIN, Phone
from tests.serving import Server


@pytest.fixture(autouse=True)
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """A phone that shows nothing new fails soon."""
    monkeypatch.setattr(phones, "PATIENCE_SECONDS", 30)


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """One process of the app, on an SQLite file."""
    folder = tmp_path_factory.mktemp("app")
    started = Server(file_address(folder / "log.sqlite3"), folder)
    started.start()
    yield started
    started.kill()


@pytest.fixture
def kept(app: Server) -> Iterator[Engine]:
    """The database of that process."""
    opened = open_database(app.address)
    yield opened
    opened.dispose()


def test_many_phones_at_once_lose_and_double_nothing(app: Server, kept: Engine) -> None:
    evening = begun(kept, 20, 3)
    seen = asyncio.run(load_app.tasted([app.url], list(evening.tokens.values())))
    found = counted(kept, [evening], seen.told)

    assert (found.told, found.kept, found.lost, found.doubled) == (60, 60, 0, 0)
    assert seen.faults == app.complaints() == []
    assert all(seen.mishaps.values()), "each mishap happened"


@pytest.mark.postgres
def test_nor_do_they_with_two_processes_on_postgresql(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bare, "rate", lambda *_: 1.0)
    found, seen = on_postgres(20, 3).rough

    assert (found.told, found.kept, found.lost, found.doubled) == (60, 60, 0, 0)
    assert seen.faults == []
    assert seen.mishaps["moved to the other process"]


def test_a_bare_route_is_measured_as_well(tmp_path: Path) -> None:
    assert bare.rate(file_address(tmp_path / "bare.sqlite3"), tmp_path, 1, 2, 3) > 0


@pytest.mark.parametrize("scripted", [True, False])
def test_a_phone_that_comes_back_is_where_its_seat_is(
    app: Server, kept: Engine, scripted: bool
) -> None:
    (token,) = begun(kept, 1, 3).tokens.values()
    phone = Phone(app.url, scripted=scripted)

    async def go_away_and_come_back() -> None:
        await phone.show(f"/?seat={token}")
        await phone.send(BEGIN, phone.page.form(agreed="yes"))
        phone.drop()
        answer_next(kept, token, Random(1))
        await phone.show("/ballot")
        assert phone.page.at_set == 2
        given = phone.page.form(choice=phone.page.codes[0])
        await phone.send(ANSWER, given)
        await phone.send(ANSWER, given)
        phone.drop()

    asyncio.run(go_away_and_come_back())
    assert phone.page.at_set == 3
    assert phone.page.said == []


def test_the_count_would_notice_what_is_lost_or_doubled(app: Server, kept: Engine) -> None:
    evening = begun(kept, 1, 1)
    (token,) = evening.tokens.values()
    (told,) = asyncio.run(load_app.tasted([app.url], [token])).told
    another = (token, 1, "no code")
    with writing(kept) as connection:
        noted = select(event).where(event.c.session_id == evening.session_id)
        row = connection.execute(noted.where(event.c.what == "answer")).mappings().one()
        again = {column: value for column, value in row.items() if column != "id"}
        connection.execute(insert(event).values(again))

    assert counted(kept, [evening], [told]) == Count(told=1, kept=1, lost=0, doubled=1)
    assert counted(kept, [evening], [told, another]).lost == 1
