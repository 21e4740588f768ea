"""Single sign-on in a real browser, against a small identity provider on this machine."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tasting.settings import HOSTS
from tasting.store import ballots
from tasting.store.database import file_address, open_database
from tests.browser.conftest import running, settle
from tests.browser.provider import CLIENT, CLIENT_SECRET, Provider, serving
from tests.serving import free_port
from tests.ui import workshop

pytestmark = pytest.mark.browser

HOST, SOMEBODY = "ann@workshop.example", "somebody@workshop.example"
SECRETS = """[auth]
redirect_uri = "http://127.0.0.1:{port}/oauth2callback"
cookie_secret = "a long random text, which this is not"
client_id = "{client}"
client_secret = "{secret}"
server_metadata_url = "{provider}/.well-known/openid-configuration"
"""


@pytest.fixture(scope="module")
def provider() -> Iterator[Provider]:
    with serving(free_port()) as found:
        yield found


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the one app of all these tests is started."""
    return tmp_path_factory.mktemp("app")


@pytest.fixture(scope="module")
def address(folder: Path) -> str:
    return file_address(folder / "log.sqlite3")


@pytest.fixture(scope="module")
def app(address: str, folder: Path, provider: Provider) -> Iterator[str]:
    """The app with an open session, told of the provider and of one host."""
    opened = open_database(address)
    workshop.keep(opened, workshop.opened(workshop.planned("one")))
    opened.dispose()
    port = free_port()
    told = {"port": port, "client": CLIENT, "secret": CLIENT_SECRET, "provider": provider.url}
    (folder / ".streamlit").mkdir()
    (folder / ".streamlit" / "secrets.toml").write_text(SECRETS.format(**told))
    hosts = {HOSTS: f"bay@workshop.example, {HOST.upper()}", "NO_PROXY": "127.0.0.1"}
    with running(address, folder, port, **hosts) as url:
        yield url


def log_in(page: Page, app: str, provider: Provider, email: str, verified: bool = True) -> None:
    provider.claims = {"email": email, "email_verified": verified}
    page.goto(app)
    settle(page)
    page.get_by_role("button", name="Sign in with single sign-on").click()


def prints_what_the_page_shows(page: Page, link: str) -> None:
    """The server's plain pages do not know Streamlit's login, so its page hands a ticket over."""
    for _ in range(2):
        with page.context.expect_page() as opened:
            page.get_by_role("link", name="Print seat cards").click()
        expect(opened.value.get_by_role("heading", name="Seat cards")).to_be_visible()
        assert opened.value.url.endswith("/print/one/cards"), "the ticket is gone from the address"
        assert link.strip() in opened.value.inner_text("body")
        opened.value.close()


def test_a_listed_address_is_let_in_and_out(
    app: str, provider: Provider, chromium: Browser
) -> None:
    page = chromium.new_context().new_page()
    log_in(page, app, provider, HOST)
    expect(page.get_by_role("button", name="Host")).to_be_visible()
    page.goto(f"{app}/tasting?id=one")
    link = page.get_by_text("/?seat=")
    expect(link).to_be_visible()
    shown = link.inner_text()
    page.reload()
    expect(link).to_have_text(shown)
    prints_what_the_page_shows(page, shown)

    page.get_by_role("button", name="Host").click()
    page.get_by_role("button", name="Sign out").click()
    login = page.get_by_role("button", name="Sign in with single sign-on")
    expect(login).to_be_visible()
    page.goto(f"{app}/tastings")
    expect(login).to_be_visible()


@pytest.mark.parametrize(("email", "verified"), [(SOMEBODY, True), (HOST, False)])
def test_anybody_else_is_told_so_and_sees_no_page_of_the_host(
    app: str, provider: Provider, phone: Callable[[], Page], email: str, verified: bool
) -> None:
    page = phone()
    log_in(page, app, provider, email, verified)
    expect(page.get_by_text("is not the verified address of a host")).to_be_visible()
    for path in ("tastings", "tasting"):
        page.goto(f"{app}/{path}")
        settle(page)
        expect(page.get_by_role("heading", name="Sign in as the host")).to_be_visible()
        expect(page.get_by_text("/?seat=")).to_have_count(0)


def test_the_link_of_an_assessor_asks_for_no_login(
    app: str, address: str, phone: Callable[[], Page]
) -> None:
    opened = open_database(address)
    token = ballots.links(opened, "one", b"secret")[workshop.ASSESSORS[0]]
    opened.dispose()
    page = phone()
    page.goto(f"{app}/?seat={token}")
    expect(page.get_by_role("heading", name="Before you taste")).to_be_visible()
