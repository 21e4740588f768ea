"""Every page and state of the app can be used by everybody: one server, one walk past all of them.

What is looked at, and by which rules, stands in `looking.py`; which pages there are in `places.py`.
"""

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Browser, Page, expect
from sqlalchemy import Engine

from tasting.panel.methods import METHODS
from tasting.settings import SETUP_CODE
from tasting.store import access, ballots, host_logins
from tasting.store.database import file_address, open_database
from tests.browser import places
from tests.browser.conftest import PASSPHRASE, SETUP
from tests.browser.looking import (
    DESKTOP,
    ballot_states,
    complaints,
    rest,
    states,
    told,
    too_long,
    violations,
)
from tests.browser.places import Place
from tests.serving import Server

pytestmark = pytest.mark.browser

MANY, TRIES_AGAIN_AFTER_MS = 8, 20_000


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
    page.set_default_timeout(60_000)
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
def later(log: Engine, workshop: dict[str, str]) -> dict[str, str]:
    """What the workshop has none of, and its addresses."""
    return places.add_later(log)


FAULTY = """<!doctype html><html><head><title>Faulty</title><style>
body { margin: 0; font: 16px/20px sans-serif; } @keyframes turn { to { opacity: 0.5; } }
.cut { width: 60px; overflow: hidden; white-space: nowrap; } .over { margin-top: -20px; }
.wide { width: 2000px; } .turns { animation: turn 3s infinite; } .faint { color: #999; }
button { outline: none !important; border: 0; background: #eee; width: 20px; height: 20px; }
</style></head><body><div><h2>First</h2><div class="cut">A text that is longer than its box</div>
<div>One line of text</div><div class="over">Another line of text</div><p class="turns">Turns</p>
<p class="faint">Faint</p><canvas></canvas><button>x</button><p class="wide">Wide</p></div>
</body>"""


def test_what_is_wrong_is_seen(chromium: Browser) -> None:
    """The eyes of this walk: each fault of a page that has them all."""
    page = chromium.new_page()
    page.set_content(FAULTY)
    rest(page)
    found = "\n".join(complaints(page))
    for fault in (
        "color-contrast",
        "html-has-lang",
        "h1: 2",
        "no language",
        "not one main landmark",
        "a picture without text",
        "moves for Infinity ms",
        "cut by",
        "“Another line of text”",
        "lies on",
        "scrolls sideways: 2000 px in 320 px",
        "20 × 20 px: button “x”",
        "the focus is not seen: button “x”",
    ):
        assert fault in found, told(fault, [found])
    page.close()


def named(place: object) -> str | None:
    return place.name if isinstance(place, Place) else None


def walk(page: Page, server: Server, place: Place, known: dict[str, str]) -> None:
    """Look at a page as it opens, at all that is folded, and at each of its parts.

    One place leaves the next the other colours, so parts are seen in either.
    """
    found = []
    for state in states(page, server.url, place, known):
        if not state:
            found += misnamed(page, place, known)
            found += [] if place.deep else too_long(page)
        said = complaints(page, in_part=bool(state))
        found += [f"{state or 'as it opens'}: {one}" for one in said]
    assert not found, told(place.name, found)


def misnamed(page: Page, place: Place, known: dict[str, str]) -> Iterator[str]:
    """Whether its tab and the menu say where one is."""
    if page.title() != f"{place.title.format(**known)} · Tasting log":
        yield f"the tab is called {page.title()}"
    marked = page.evaluate("seen.current()")
    if marked != [place.menu] * bool(place.menu):
        yield f"marked in the menu: {marked}"


def look(page: Page, name: str, title: str) -> None:
    """A plain page, as it is now."""
    rest(page)
    found = complaints(page)
    if page.title() != title:
        found.append(f"the tab is called {page.title()}")
    assert not found, told(name, found)


def test_signing_in(page: Page, log: Engine, server: Server) -> None:
    page.goto(server.url)
    look(page, "first start", "Choose the host's passphrase")
    access.choose_passphrase(log, PASSPHRASE)
    page.goto(server.url)
    look(page, "later", "Sign in as the host")
    page.get_by_label("Passphrase").fill("rhubarb")
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("alert")).to_contain_text("That is not the passphrase")
    look(page, "wrong", "Sign in as the host")


@pytest.mark.parametrize("place", places.EMPTY, ids=named)
def test_before_anything_is_saved(host: Page, server: Server, place: Place) -> None:
    walk(host, server, place, {})


@pytest.mark.parametrize("place", places.WORKSHOP, ids=named)
def test_in_the_workshop(
    host: Page, server: Server, workshop: dict[str, str], place: Place
) -> None:
    walk(host, server, place, workshop)


@pytest.mark.parametrize("place", places.LATER, ids=named)
def test_what_comes_later(host: Page, server: Server, later: dict[str, str], place: Place) -> None:
    walk(host, server, place, later)


@pytest.mark.parametrize("place", [*places.FAULTS, *places.PRINTED], ids=named)
def test_faults_and_what_is_printed(
    host: Page, server: Server, workshop: dict[str, str], place: Place
) -> None:
    host.goto(f"{server.url}/{place.address.format(**workshop)}")
    title = place.title.format(**workshop)
    look(host, place.name, title)


def test_the_pour_sheet(host: Page, server: Server, workshop: dict[str, str]) -> None:
    host.goto(f"{server.url}/pour/{workshop['open']}")
    host.get_by_label("Who are you?").fill("Pourer")
    host.get_by_label("Pourer's code").fill("12345678")
    host.get_by_role("button").click()
    look(host, "wrong code", "Pour sheet")
    host.get_by_label("Pourer's code").fill(PASSPHRASE)
    host.get_by_role("button").click()
    expect(host.get_by_role("heading", name="Pour sheet")).to_be_visible()
    look(host, "pour sheet", "Pour sheet")


@pytest.mark.parametrize("method", list(METHODS))
def test_a_ballot_of_each_kind(
    page: Page, log: Engine, server: Server, workshop: dict[str, str], method: str
) -> None:
    more = {"no_preference": True} if method == "preference" else {}
    (link,) = places.ballot_links(log, [places.session(f"with-{method}", method, **more)])
    for state in ballot_states(page, f"{server.url}/{link}"):
        look(page, state, "Your tasting")


def test_a_ballot_alone_its_rest_and_its_end(
    page: Page, log: Engine, server: Server, workshop: dict[str, str]
) -> None:
    more = {"alone": True, "replicates": 2, "pause_seconds": 600}
    (link,) = places.ballot_links(log, [places.session("by-myself", **more)])
    page.goto(f"{server.url}/{link}")
    page.get_by_role("checkbox").check()
    page.get_by_role("button", name="Start tasting").click()
    look(page, "place", "Your tasting")
    page.get_by_role("button", name="Cup 2").click()
    page.get_by_label("Code under the cup").fill("000")
    page.get_by_role("button", name="Record").click()
    expect(page.get_by_role("alert")).to_be_visible()
    look(page, "wrong code", "Your tasting")
    codes = ballots.ballot(log, link.partition("=")[2]).codes
    page.get_by_label("Code under the cup").fill(codes[1])
    page.get_by_role("button", name="Record").click()
    expect(page.get_by_role("heading", name="Rest your palate")).to_be_visible()
    look(page, "rest", "Your tasting")


def test_a_server_that_is_away(host: Page, server: Server, workshop: dict[str, str]) -> None:
    """The page says so in our words; no dialog of Streamlit's lies over it; then it goes on."""
    host.clock.install()
    host.goto(f"{server.url}/drinks")
    rest(host)
    server.kill()
    # Streamlit's dialog opens after some tries, and makes all beside it inert.
    over_it = host.locator("[role=dialog], [inert]")
    note = host.get_by_text("Cannot reach the server. What was saved is safe.")
    expect(note).to_be_visible()
    for _ in range(MANY):
        host.clock.fast_forward(TRIES_AGAIN_AFTER_MS)
        host.wait_for_timeout(150)
        expect(over_it).to_have_count(0)
    found = violations(host)
    server.start()
    host.clock.fast_forward(TRIES_AGAIN_AFTER_MS)
    expect(note).to_have_count(0)
    expect(host.get_by_role("link", name="Rhubarb and bay spritz")).to_be_visible()
    assert not found, told("away", found)
