"""A server of its own for each test, and Chromium."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Playwright, expect, sync_playwright
from sqlalchemy import Engine

from sample_sessions import documents
from tasting.panel.session import Session
from tasting.settings import SETUP_CODE
from tasting.store import ballots, sessions
from tasting.store.database import file_address, open_database
from tasting.store.documents import fill, read_document
from tests.serving import Server, free_port
from tests.ui.workshop import keep

SETUP = "rhubarb-bay"
PASSPHRASE = "rhubarb and bay"
expect.set_options(timeout=60_000)  # two busy cores may take their time; what passes does not wait
CHROMIUM = "/usr/bin/chromium"
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
SETTLED = (
    '[data-testid="stApp"][data-test-script-state="notRunning"]'
    '[data-test-connection-state="CONNECTED"]'
)


@contextmanager
def running(address: str, folder: Path, port: int, **more: str) -> Iterator[str]:
    """The address of the app, started by its own command; `more` goes into its environment."""
    app = Server(address, folder, port, {SETUP_CODE: SETUP, **more})
    app.start()
    try:
        yield app.url
    finally:
        app.stop()


@pytest.fixture
def server(address: str, tmp_path: Path) -> Iterator[str]:
    """The app on a database of its own."""
    with running(address, tmp_path, free_port()) as url:
        yield url


@pytest.fixture(scope="module")
def ballot_db(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Engine]:
    """One database for all ballots of a module; each test has a session of its own."""
    opened = open_database(file_address(tmp_path_factory.mktemp("ballots") / "log.sqlite3"))
    yield opened
    opened.dispose()


@pytest.fixture(scope="module")
def one_server(ballot_db: Engine, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """One app for all of them: starting it takes longer than answering."""
    with running(str(ballot_db.url), tmp_path_factory.mktemp("app"), free_port()) as url:
        yield url


@pytest.fixture(scope="session")
def workshop_app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """One app on the sample workshop, for all tests that leave it as they found it."""
    folder = tmp_path_factory.mktemp("workshop")
    address = file_address(folder / "log.sqlite3")
    _fill_with_sample(address)
    with running(address, folder, free_port()) as url:
        yield url


def _fill_with_sample(address: str) -> None:
    opened = open_database(address)
    fill(opened, *(read_document(path) for path in documents()))
    opened.dispose()


def sign_in(page: Page, server: str) -> None:
    """Sign in as the host: with the passphrase, which the first one chooses."""
    page.goto(server)
    for field in page.locator('input[type="password"]').all():
        field.fill(PASSPHRASE)
    if (code := page.get_by_label("Setup code")).count():
        code.fill(SETUP)
    page.get_by_role("button").last.click()
    expect(page.get_by_role("button", name="Host")).to_be_visible()
    settle(page)


def open_links(engine: Engine, server: str, session: Session) -> list[str]:
    """The links of the assessors of a session, which is kept and opened."""
    if sessions.summaries(engine):
        sessions.plan_session(engine, session)
    else:
        keep(engine, session)
    sessions.open_session(engine, session.id, datetime.now(UTC) - timedelta(hours=1))
    tokens = ballots.links(engine, session.id, b"secret")
    return [f"{server}/?seat={token}" for token in tokens.values()]


@pytest.fixture
def workshop(address: str) -> None:
    """The invented sample workshop, in the database before the app starts."""
    _fill_with_sample(address)


@pytest.fixture(scope="session")
def driver() -> Iterator[Playwright]:
    """What drives browsers; there can be one in a process."""
    with sync_playwright() as playwright:
        yield playwright


@pytest.fixture(scope="session")
def chromium(driver: Playwright) -> Iterator[Browser]:
    """Debian's Chromium."""
    browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
    yield browser
    browser.close()


@pytest.fixture
def phone(chromium: Browser) -> Callable[[], Page]:
    """Makes a new phone, 360 px wide, that knows nothing of the others."""

    def made() -> Page:
        context = chromium.new_context(
            viewport={"width": 360, "height": 740},
            is_mobile=True,
            has_touch=True,
            device_scale_factor=2,
        )
        return context.new_page()

    return made


def settle(page: Page) -> None:
    """Wait until the script has run."""
    page.wait_for_selector(SETTLED, timeout=60_000)
