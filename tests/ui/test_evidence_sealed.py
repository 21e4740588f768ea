"""Findings, dashboard and history never tell the key of an open session, nor who was right."""

import re
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tasting.panel.session import Session
from tasting.settings import DATABASE
from tasting.store import host_logins
from tasting.store.access import choose_passphrase, link_secret
from tasting.store.database import file_address, open_database
from tasting.ui import access as ui_access
from tasting.ui.tastings.finding.closed import depth_key
from tests.ui.conftest import PASSPHRASE, visit
from tests.ui.reading import read, sent, tabled
from tests.ui.workshop import answered, closed, keep, opened, planned

PAGES = ("tastings", "dashboard", "history")
NOW = opened(planned("now"), seed=1)
CLOSED = closed(planned("acid"), 10, 2)
# As many answers as NOW has below: under another key, and all of them wrong.
OTHER_KEY = answered(opened(planned("now"), seed=2), 6, 0)
ALL_WRONG = answered(NOW, 0, 6)

Show = Callable[..., AppTest]


@pytest.fixture
def show(host: AppTest, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Show:
    """A page for the host of a database that keeps these sessions."""

    def shown(name: str, *sessions: Session) -> AppTest:
        address = file_address(tmp_path / f"{len(list(tmp_path.iterdir()))}.sqlite3")
        engine = open_database(address)
        keep(engine, *sessions)
        choose_passphrase(engine, PASSPHRASE)
        token = host_logins.begin(engine, link_secret(engine, PASSPHRASE), datetime.now(UTC))
        monkeypatch.setattr(ui_access, "host_token", lambda: token)
        engine.dispose()
        monkeypatch.setenv(DATABASE, address)
        return visit(host, name)

    return shown


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("others", [(), (CLOSED,)], ids=["alone", "beside a closed one"])
def test_neither_key_nor_correctness_of_an_open_session_changes_a_page(
    show: Show, name: str, others: tuple[Session, ...]
) -> None:
    page = sent(show(name, answered(NOW, 6, 0), *others))

    assert sent(show(name, OTHER_KEY, *others)) == page
    assert sent(show(name, ALL_WRONG, *others)) == page


@pytest.mark.parametrize("name", PAGES)
def test_a_page_beside_an_open_session_tells_no_code_and_no_serving_order(
    show: Show, name: str
) -> None:
    page = show(name, answered(NOW, 6, 0))
    words = set(re.findall(r"\w+", read(page) + tabled(page)))
    secret = {part for served in NOW.sets for part in (*served.codes, served.order)}

    assert not page.exception
    assert not secret & words


def show_session_of(show: Show, done: Session) -> AppTest:
    """Its answers beside the serving key, once it is closed."""
    page = show("tastings", done)
    page.session_state[depth_key("now")] = "Answers and serving key"
    return visit(page, "tasting", id="now")


def test_once_it_is_closed_the_same_codes_and_orders_are_told(show: Show) -> None:
    done = answered(NOW, 6, 6).closed(CLOSED.closed_at or CLOSED.planned_at)
    words = set(re.findall(r"\w+", tabled(show_session_of(show, done))))

    assert {part for served in NOW.sets for part in (*served.codes, served.order)} <= words
