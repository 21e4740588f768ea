"""The server before an app with a database of its own."""

from datetime import UTC, datetime

import pytest
from sqlalchemy import Engine
from starlette.responses import PlainTextResponse

from tasting.store import host_logins
from tasting.store.access import choose_passphrase, link_secret
from tasting.store.host_logins import COOKIE
from tasting.web.bounds import SEATS, STRANGERS
from tasting.web.guard import Guard
from tests.ui.conftest import PASSPHRASE
from tests.web.browsing import Browser
from tests.web.phone import BallotPhone

STREAMLIT = "Streamlit's own answer"


@pytest.fixture(autouse=True)
def _own_database(app_database: None) -> None:
    """Each test has one."""


@pytest.fixture(autouse=True)
def _fresh_counts() -> None:
    """Nobody has asked for anything yet."""
    for allowance in (SEATS, STRANGERS):
        allowance._left.clear()


@pytest.fixture
def server() -> Guard:
    """The server; a plain answer stands in for Streamlit."""
    return Guard(PlainTextResponse(STREAMLIT))


@pytest.fixture
def browser(server: Guard) -> Browser:
    """A browser before it."""
    return Browser(server)


@pytest.fixture
def known(engine: Engine) -> str:
    """A passphrase that was chosen."""
    choose_passphrase(engine, PASSPHRASE)
    return PASSPHRASE


@pytest.fixture
def host(engine: Engine, server: Guard, known: str) -> Browser:
    """A browser that is signed in as the host."""
    token = host_logins.begin(engine, link_secret(engine, known), datetime.now(UTC))
    return Browser(server, cookies={COOKIE: token})


@pytest.fixture
def phone(browser: Browser) -> BallotPhone:
    """A phone that has opened nothing yet."""
    return BallotPhone(browser)
