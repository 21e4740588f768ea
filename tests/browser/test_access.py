"""Every page and state of the app can be used by everybody: one server, one walk past all of them.

What is looked at, and by which rules, stands in `looking.py`; which pages there are in `places.py`.
"""

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Browser, Page, expect
from sqlalchemy import Engine

from tasting.settings import SETUP_CODE
from tasting.store import access, host_logins
from tasting.store.database import file_address, open_database
from tests.browser import places
from tests.browser.conftest import SETUP
from tests.browser.looking import DESKTOP, complaints, press, rest, told, unfold
from tests.browser.places import Place
from tests.serving import Server

pytestmark = pytest.mark.browser

PASSPHRASE = "rhubarb and bay"


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """The app on a log in which nothing is saved yet."""
    folder = tmp_path_factory.mktemp("access")
    app = Server(file_address(folder / "log.sqlite3"), folder, environment={SETUP_CODE: SETUP})
    app.start()
    yield app
    app.stop()


@pytest.fixture(scope="module")
def log(server: Server) -> Iterator[Engine]:
    opened = open_database(server.address)
    yield opened
    opened.dispose()


@pytest.fixture(scope="module")
def page(chromium: Browser) -> Iterator[Page]:
    """One tab of somebody who wants nothing to move."""
    size = {"width": DESKTOP[0], "height": DESKTOP[1]}
    context = chromium.new_context(viewport=size, color_scheme="light", reduced_motion="reduce")
    page = context.new_page()
    page.set_default_timeout(30_000)
    yield page
    context.close()


@pytest.fixture(scope="module")
def host(page: Page, log: Engine, server: Server) -> Page:
    """The same tab, signed in as the host."""
    if not access.has_passphrase(log):
        access.choose_passphrase(log, PASSPHRASE)
    token = host_logins.begin(log, b"s" * 64, datetime.now(UTC))
    page.context.add_cookies([{"name": host_logins.COOKIE, "value": token, "url": server.url}])
    return page


@pytest.fixture(scope="module")
def workshop(log: Engine) -> dict[str, str]:
    """The invented workshop, and what the addresses of its pages hold."""
    places.fill_workshop(log)
    return places.ids(log)


@pytest.fixture(scope="module")
def later(log: Engine, workshop: dict[str, str]) -> None:
    places.add_later(log)


def named(place: object) -> str | None:
    return place.name if isinstance(place, Place) else None


def walk(page: Page, server: Server, place: Place, known: dict[str, str]) -> None:
    """Look at a page as it opens, then at each of its parts, and at all that is folded."""
    page.goto(f"{server.url}/{place.address.format(**known)}")
    rest(page)
    found = complaints(page)
    title = place.title.format(**known)
    if page.title() != f"{title} · Tasting log":
        found.append(f"the tab is called {page.title()}")
    marked = page.evaluate("seen.current()")
    if marked != [place.menu] * bool(place.menu):
        found.append(f"marked in the menu: {marked}")
    if unfold(page):
        found += [f"unfolded: {one}" for one in complaints(page)]
    for part in place.parts:
        press(page, part)
        unfold(page)
        found += [f"{part}: {one}" for one in complaints(page)]
        page.keyboard.press("Escape")
    assert not found, told(place.name, found)


@pytest.mark.parametrize("place", places.EMPTY, ids=named)
def test_before_anything_is_saved(host: Page, server: Server, place: Place) -> None:
    walk(host, server, place, {})


@pytest.mark.parametrize("place", places.WORKSHOP, ids=named)
def test_in_the_workshop(
    host: Page, server: Server, workshop: dict[str, str], place: Place
) -> None:
    walk(host, server, place, workshop)


@pytest.mark.parametrize("place", places.LATER, ids=named)
def test_at_other_ends_of_a_session(
    host: Page, server: Server, later: None, place: Place
) -> None:
    walk(host, server, place, {})
