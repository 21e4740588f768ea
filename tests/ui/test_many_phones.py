"""Phones without a browser against the real app: the whole of it in small.

The whole load: `python -m tests.faults.load_app`.
"""

import asyncio
from collections.abc import Iterator
from random import Random

import pytest
from sqlalchemy import Engine, insert, select

from tasting.store.database import file_address, open_database, writing
from tasting.store.schema import event
from tests.faults import load_app
from tests.faults import phone as phones
from tests.faults.evening import Count, answer_next, begun, counted
from tests.faults.load_app import Assessor, Seen, at_set, on_postgres, over_with, ready
from tests.faults.phone import Phone
from tests.serving import Server


@pytest.fixture(autouse=True)
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """A phone that shows nothing new fails soon."""
    monkeypatch.setattr(phones, "PATIENCE_SECONDS", 30)


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """One process of the app, on an SQLite file."""
    folder = tmp_path_factory.mktemp("app")
    app = Server(file_address(folder / "log.sqlite3"), folder)
    app.start()
    yield app
    app.kill()


@pytest.fixture
def kept(server: Server) -> Iterator[Engine]:
    """The database of that process."""
    opened = open_database(server.address)
    yield opened
    opened.dispose()


def test_eight_phones_at_once_lose_and_double_nothing(server: Server, kept: Engine) -> None:
    evening = begun(kept, 8, 2)
    seen = asyncio.run(load_app.tasted([server.url], list(evening.tokens.values())))
    found = counted(kept, [evening], seen.told)

    assert (found.told, found.kept, found.lost, found.doubled) == (16, 16, 0, 0)
    assert seen.faults == server.complaints() == []
    assert all(seen.mishaps.values()), "each mishap happened"


@pytest.mark.postgres
def test_nor_do_they_with_two_processes_on_postgresql() -> None:
    found, seen = on_postgres(8, 2)

    assert (found.told, found.kept, found.lost, found.doubled) == (16, 16, 0, 0)
    assert seen.faults == []
    assert seen.mishaps["moved to the other process"]


def test_the_choice_tapped_last_is_recorded_however_soon(
    server: Server, kept: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    for mishap in ("DOUBLE_TAP", "LOST_CONNECTION", "NEXT_TAP_SECONDS"):
        monkeypatch.setattr(load_app, mishap, 0)
    monkeypatch.setattr(load_app, "CHANGE_OF_MIND", 1)
    evening = begun(kept, 3, 5)
    seen = asyncio.run(load_app.tasted([server.url], list(evening.tokens.values())))

    assert counted(kept, [evening], seen.told).lost == 0
    assert len(seen.told) == seen.mishaps["changed their mind"] == 15


def test_a_phone_that_comes_back_is_where_its_seat_is(server: Server, kept: Engine) -> None:
    (token,) = begun(kept, 1, 2).tokens.values()
    phone = Phone(server.url, f"seat={token}")

    async def go_away_and_come_back() -> None:
        await phone.open()
        await phone.until(ready)
        await Assessor(token, phone, [], Random(1), Seen()).consent()
        phone.drop()
        answer_next(kept, token, Random(1))
        await phone.come_back()
        await phone.until(over_with(1))
        phone.drop()

    asyncio.run(go_away_and_come_back())
    assert at_set(phone.page) == 2


def test_the_count_would_notice_what_is_lost_or_doubled(server: Server, kept: Engine) -> None:
    evening = begun(kept, 1, 1)
    (token,) = evening.tokens.values()
    (told,) = asyncio.run(load_app.tasted([server.url], [token])).told
    another = (token, 1, "no code")
    with writing(kept) as connection:
        noted = select(event).where(event.c.session_id == evening.session_id)
        row = connection.execute(noted.where(event.c.what == "answer")).mappings().one()
        again = {column: value for column, value in row.items() if column != "id"}
        connection.execute(insert(event).values(again))

    assert counted(kept, [evening], [told]) == Count(told=1, kept=1, lost=0, doubled=1)
    assert counted(kept, [evening], [told, another]).lost == 1
