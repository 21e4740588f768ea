"""Who reaches what: the plain pages are open, all that is Streamlit's is the host's alone."""

import asyncio
import json
from datetime import UTC, datetime
from urllib.parse import quote

import pytest
from itsdangerous import URLSafeTimedSerializer
from sqlalchemy import Engine
from streamlit.web.server.starlette.starlette_server_config import USER_COOKIE_NAME

from tasting.report.links import SIGN_IN
from tasting.settings import BASE_URL, DATABASE, HOSTS
from tasting.store import host_logins
from tasting.store.host_logins import COOKIE
from tasting.web import guard, provider_login, sockets
from tasting.web.guard import HEADERS, Guard
from tests.web.browsing import Browser
from tests.web.conftest import STREAMLIT

HOME = "http://testserver"
PAGE = {"accept": "text/html"}
ELSEWHERE = "https://elsewhere.example"
INSIDE = (
    "/_stcore/health",
    "/_stcore/host-config",
    "/_stcore/metrics",
    "/_stcore/upload_file/a/b",
    "/_stcore/anything",
    "/media/0123456789abcdef.html",
    "/component/x",
    "/static/js/index.js",
    "/auth/login",
    "/oauth2callback",
    "/%2e%2e/_stcore/health",
    "/ballots",
    "/pouring",
)
TO_LOG_IN = (
    *("/", "/plan", "/favicon.png", "/_stcore/health", "/_stcore/host-config"),
    *("/static/js/index.js", "/auth/login", "/oauth2callback"),
)
PAGES = ("/ballots", "/pouring")


@pytest.mark.parametrize("path", ["/", "/plan", "/findings"])
def test_without_a_sign_in_a_page_of_the_host_leads_to_the_form(
    browser: Browser, engine: Engine, path: str
) -> None:
    said = browser.get(path, **PAGE)

    assert said.status == 303
    assert said.headers["location"] == f"{SIGN_IN}?then={quote(path, safe='')}"


@pytest.mark.parametrize("path", INSIDE)
@pytest.mark.parametrize("accept", ["*/*", "text/html"])
def test_nothing_of_streamlit_answers_a_stranger(
    browser: Browser, engine: Engine, path: str, accept: str
) -> None:
    for said in (browser.get(path, accept=accept), browser.post(path, {"x": "1"}, origin=HOME)):
        assert said.status in (303, 403)
        assert STREAMLIT not in said.text


@pytest.mark.parametrize("path", ["/", "/run", *INSIDE[:8]])
def test_a_signed_in_host_reaches_it(host: Browser, path: str) -> None:
    assert host.get(path).text == STREAMLIT
    assert host.post(path, {}, origin=HOME).text == STREAMLIT


@pytest.mark.parametrize("origin", ["null", ELSEWHERE, f"{HOME}.elsewhere.example", "testserver"])
@pytest.mark.parametrize("listed", ["", "ann@workshop.example"])
def test_another_site_reaches_nothing_even_with_the_hosts_cookie(
    host: Browser, monkeypatch: pytest.MonkeyPatch, origin: str, listed: str
) -> None:
    monkeypatch.setenv(HOSTS, listed)
    for path in ("/", "/_stcore/upload_file/a/b", "/_stcore/health", SIGN_IN, "/pour/x"):
        for said in (host.get(path, origin=origin), host.post(path, {}, origin=origin)):
            assert (said.status, said.text) == (403, "Sent from another site")


def knock(server: Guard, **headers: str) -> str:
    """What a WebSocket is told first."""
    told: list[str] = []

    async def receive() -> dict[str, object]:
        return {"type": "websocket.connect"}

    async def send(message: dict[str, object]) -> None:
        told.append(str(message["type"]))

    async def streamlit(scope: object, receive: object, send: object) -> None:
        await send({"type": "websocket.accept"})

    server.app = streamlit
    given = {"host": "testserver", **headers}
    scope = {
        "type": "websocket",
        "path": "/_stcore/stream",
        "query_string": b"",
        "headers": [(name.encode(), value.encode()) for name, value in given.items()],
    }
    asyncio.run(server(scope, receive, send))
    return told[0]


OPEN, SHUT = "websocket.accept", "websocket.close"


@pytest.mark.parametrize("origin", [None, "null", ELSEWHERE, f"{HOME}:81", HOME])
@pytest.mark.parametrize("signed_in", [True, False])
@pytest.mark.parametrize("listed", ["", "ann@workshop.example"])
def test_a_websocket_is_a_signed_in_hosts_of_our_own_origin(
    server: Guard,
    host: Browser,
    monkeypatch: pytest.MonkeyPatch,
    origin: str | None,
    signed_in: bool,
    listed: str,
) -> None:
    """With single sign-on, only Streamlit can tell whether somebody has logged in."""
    monkeypatch.setenv(HOSTS, listed)
    given = {"origin": origin} if origin else {}
    if signed_in:
        given["cookie"] = f"{COOKIE}={host.cookies[COOKIE]}"
    wanted = OPEN if origin == HOME and (signed_in or listed) else SHUT

    assert knock(server, **given) == wanted


def test_a_websocket_behind_a_proxy_comes_from_the_configured_address(
    server: Guard, host: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(BASE_URL, "https://tasting.example")
    cookie = f"{COOKIE}={host.cookies[COOKIE]}"

    assert knock(server, origin="https://tasting.example", cookie=cookie) == OPEN


def test_there_is_a_bound_on_what_is_open_at_once(
    server: Guard, host: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    cookie = f"{COOKIE}={host.cookies[COOKIE]}"
    assert knock(server, origin=HOME, cookie=cookie) == OPEN
    monkeypatch.setattr(sockets, "MOST_SOCKETS", 0)
    assert knock(server, origin=HOME, cookie=cookie) == SHUT
    assert not server.sockets.open
    assert server.at_work == 0

    monkeypatch.setattr(guard, "MOST_AT_ONCE", 0)
    said = host.get("/health")
    assert (said.status, said.headers["retry-after"]) == (503, "2")


def test_whether_the_server_answers_is_no_secret(browser: Browser) -> None:
    assert (browser.get("/health").status, browser.get("/health").text) == (200, "ok")


def test_the_assets_are_kept_for_ever_and_there_are_no_others(browser: Browser) -> None:
    said = browser.get("/assets/look.css?v=1")

    assert "immutable" in said.headers["cache-control"]
    assert said.headers["content-type"].startswith("text/css")
    for path in ("/assets/guard.py", "/assets/%2e%2e%2fguard.py", "/assets/"):
        assert browser.get(path).status in (303, 404)


def test_a_cookie_whose_sign_in_ended_is_taken_away(browser: Browser, engine: Engine) -> None:
    said = browser.get("/", **PAGE, cookie=f"{COOKIE}=dead")

    assert said.headers["location"].startswith(SIGN_IN)
    assert "Max-Age=0" in said.headers["set-cookie"]


def test_signing_out_shuts_everything_again(engine: Engine, host: Browser) -> None:
    host_logins.end(engine, host.cookies[COOKIE])

    assert [host.get(path).status for path in ("/media/x", "/_stcore/health")] == [403, 403]


@pytest.mark.parametrize(
    "path", ["/?seat=abc", SIGN_IN, "/_stcore/health", "/", "/health", "/ballot", "/pour/x"]
)
def test_every_answer_carries_the_headers(browser: Browser, engine: Engine, path: str) -> None:
    got = browser.get(path, **PAGE).headers

    for name, value in HEADERS.items():
        assert value in got[name.lower()] or got[name.lower()] == "no-referrer"


def test_a_database_that_cannot_be_opened_is_said(
    browser: Browser, monkeypatch: pytest.MonkeyPatch, tmp_path
) -> None:
    monkeypatch.setenv(DATABASE, f"sqlite:///{tmp_path}/missing/log.sqlite3")
    given = {**PAGE, "cookie": f"{COOKIE}={'x' * 43}"}
    for path in (SIGN_IN, "/run", "/pour/x", "/print/x/labels"):
        said = browser.get(path, **given)
        assert said.status == 503
        assert "nable to open database file" in said.text


def test_with_single_sign_on_the_pages_themselves_ask(
    browser: Browser, engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(HOSTS, "ann@workshop.example")

    assert browser.get("/new", **PAGE).text == STREAMLIT


@pytest.mark.parametrize("path", TO_LOG_IN)
def test_with_single_sign_on_a_stranger_reaches_the_way_to_log_in(
    browser: Browser, engine: Engine, monkeypatch: pytest.MonkeyPatch, path: str
) -> None:
    monkeypatch.setenv(HOSTS, "ann@workshop.example")

    assert browser.get(path).text == STREAMLIT
    assert browser.post(path, {}, origin=HOME).status == 403


@pytest.mark.parametrize("path", [one for one in INSIDE if one not in (*TO_LOG_IN, *PAGES)])
@pytest.mark.parametrize("origin", [HOME, None])
def test_with_single_sign_on_a_stranger_reaches_nothing_else(
    browser: Browser, engine: Engine, monkeypatch: pytest.MonkeyPatch, path: str, origin
) -> None:
    """Eight uploads of 45 MB by somebody who was not signed in stayed in memory."""
    monkeypatch.setenv(HOSTS, "ann@workshop.example")
    sent = {"origin": origin} if origin else {}

    assert browser.get(path, **sent).status == 403
    assert browser.post(path, {}, origin=HOME).status == 403


@pytest.mark.parametrize(
    ("email", "age_seconds", "key", "reached"),
    [
        ("ann@workshop.example", 0, "k" * 32, True),
        ("bob@elsewhere.example", 0, "k" * 32, False),
        ("ann@workshop.example", 13 * 3600, "k" * 32, False),
        ("ann@workshop.example", 0, "another key of somebody", False),
    ],
)
def test_a_host_whom_the_provider_knows_reaches_it(
    browser: Browser,
    engine: Engine,
    monkeypatch: pytest.MonkeyPatch,
    email: str,
    age_seconds: int,
    key: str,
    reached: bool,
) -> None:
    """The cookie as Streamlit signs it, with itsdangerous."""
    monkeypatch.setenv(HOSTS, "ann@workshop.example")
    monkeypatch.setattr(provider_login, "get_cookie_secret", lambda: "k" * 32)
    issued = datetime.now(UTC).timestamp() - age_seconds
    claims = {"is_logged_in": True, "email": email, "iat": issued, "origin": HOME}
    signed = URLSafeTimedSerializer(key, salt=USER_COOKIE_NAME).dumps(json.dumps(claims))
    browser.cookies[USER_COOKIE_NAME] = signed

    for said in (
        browser.get("/media/x"),
        browser.post("/_stcore/upload_file/a/b", {}, origin=HOME),
    ):
        assert (said.text == STREAMLIT) is reached
