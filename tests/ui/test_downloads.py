"""What Streamlit serves at the hash of its content: nothing that depends on the serving key.

Such an address answers whoever can build the content. All of the pour sheet but the order of
serving stands on slips that the host holds, so it could be found by trying orders.
"""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
import streamlit as st
from sqlalchemy import Engine
from streamlit.runtime.media_file_manager import MediaFileManager
from streamlit.testing.v1 import AppTest

from tasting.panel.methods import METHODS
from tasting.settings import DATABASE
from tasting.store import sessions
from tasting.store.database import file_address, open_database, shared_database, writing
from tasting.ui.pages import OF_THE_HOST
from tasting.ui.tastings.running.opened import SECTIONS
from tests.ui.workshop import answered, keep, opened, planned, some_closed

Given = list[bytes]
"""What was given to be served."""


@pytest.fixture
def given(monkeypatch: pytest.MonkeyPatch) -> Given:
    """Everything that pages give to Streamlit to serve, also what is made when it is asked for."""
    kept: Given = []

    def add(_: object, data: object, *args: object, **kwargs: object) -> str:
        kept.append(data if isinstance(data, bytes) else str(data).encode())
        return "/media/x"

    def add_deferred(_: object, make: Callable[[], object], *args: object, **kwargs: object) -> str:
        return add(_, make())

    monkeypatch.setattr(MediaFileManager, "add", add)
    monkeypatch.setattr(MediaFileManager, "add_deferred", add_deferred)
    return kept


def visit_all(
    host: AppTest, open_page: Callable[[str], AppTest], show_session: Callable[..., AppTest]
) -> None:
    """Open every page of the host, with every section of every session that is open."""
    host.query_params.clear()
    for page in OF_THE_HOST:
        assert not open_page(page.address).exception
    for method in METHODS:
        for section in SECTIONS:
            assert not show_session(f"evening-{method}", section).exception


def test_what_is_served_is_the_same_under_every_key(
    engine: Engine,
    host: AppTest,
    open_page: Callable[[str], AppTest],
    show_session: Callable[..., AppTest],
    given: Given,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Two workshops that differ in the keys of their open sessions alone."""
    keep(engine, *some_closed())
    engine.dispose()
    found: list[Given] = []
    for seed in (1, 2):
        file = tmp_path / f"key-{seed}.sqlite3"
        shutil.copy(tmp_path / "log.sqlite3", file)
        monkeypatch.setenv(DATABASE, file_address(file))
        shared_database.cache_clear()
        st.cache_data.clear()
        other = open_database(file_address(file))
        for method in METHODS:
            running = answered(opened(planned(f"evening-{method}", method), seed), 1, 1)
            with writing(other) as connection:
                sessions.insert_sessions(connection, [running])
        visit_all(host, open_page, show_session)
        found.append(given.copy())
        given.clear()
        other.dispose()

    assert len(found[0]) > len(METHODS), "the page with a picture was opened for each of them"
    assert found[0] == found[1]
