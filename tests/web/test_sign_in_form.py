"""The form for signing in: its cookie, the first start, and who is turned away."""

from urllib.parse import quote, urlencode

import pytest
from sqlalchemy import Engine, select

from tasting.report.links import SIGN_IN
from tasting.settings import BASE_URL, HOSTS, SETUP_CODE
from tasting.store import known_browsers
from tasting.store.database import reading
from tasting.store.host_logins import COOKIE
from tasting.store.schema import host_session
from tasting.web.guard import Guard
from tests.ui.conftest import PASSPHRASE
from tests.web.browsing import Browser
from tests.web.conftest import STREAMLIT

HOME = "http://testserver"
PAGE = {"accept": "text/html"}
HOSTILE = '"><script>alert(1)</script>'


def send(browser: Browser, then: str = "/", origin: str | None = HOME, **given: str):
    headers = {"origin": origin} if origin else {}
    return browser.post(f"{SIGN_IN}?then={quote(then)}", given, **headers)


def sign_ins(engine: Engine) -> int:
    with reading(engine) as connection:
        return len(connection.execute(select(host_session)).all())


def test_the_host_signs_in_and_stays_so_over_reloads(browser: Browser, known: str) -> None:
    said = send(browser, "/new", passphrase=known)

    assert (said.status, said.headers["location"]) == (303, "/new")
    for _ in range(2):
        assert browser.get("/new", **PAGE).text == STREAMLIT


def test_no_script_reads_the_cookie_and_no_other_site_sends_it(browser, known: str) -> None:
    """RFC 6265 and its draft successor: HttpOnly, SameSite."""
    both = send(browser, passphrase=known).cookies

    assert [cookie.split("=")[0] for cookie in both] == [COOKIE, known_browsers.COOKIE]
    for cookie in both:
        flags = {flag for flag in cookie.split("; ")[1:] if flag[:7] not in ("expires", "Max-Age")}
        assert flags == {"HttpOnly", "Path=/", "SameSite=strict"}


def test_behind_https_the_cookie_goes_by_https_only(
    browser: Browser, known: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(BASE_URL, "https://tasting.example")
    said = send(browser, origin="https://tasting.example", passphrase=known)

    assert all("Secure" in cookie.split("; ") for cookie in said.cookies)


def test_the_address_never_holds_a_secret(browser: Browser, known: str) -> None:
    said = send(browser, passphrase=known)
    token = browser.cookies[COOKIE]

    assert token not in said.headers["location"]
    assert known not in said.headers["location"]


@pytest.mark.parametrize(
    "origin", [None, "null", "https://elsewhere.example", f"{HOME}.elsewhere.example", "testserver"]
)
def test_a_form_from_another_site_is_refused(browser, engine, known: str, origin) -> None:
    said = send(browser, origin=origin, passphrase=known)

    assert said.status == 403
    assert "from another site" in said.text
    assert sign_ins(engine) == 0


def test_a_wrong_passphrase_is_refused_and_waits_after_three(browser, known: str) -> None:
    for _ in range(3):
        assert "not the passphrase" in send(browser, passphrase="a guess").text
    said = send(browser, passphrase=known)

    assert said.status == 403
    assert "too many wrong attempts" in said.text.lower()


def test_strangers_who_guess_lock_neither_a_known_browser_nor_another_address_out(
    server: Guard, browser: Browser, known: str
) -> None:
    send(browser, passphrase=known)
    del browser.cookies[COOKIE]
    stranger = Browser(server, address=browser.address)
    for _ in range(70):
        send(stranger, passphrase="a guess")

    assert send(stranger, passphrase=known).status == 429
    assert send(browser, passphrase=known).status == 303
    assert send(Browser(server, address="198.51.100.7"), passphrase=known).status == 303


def test_a_network_of_ipv6_addresses_is_one_client(server: Guard, known: str) -> None:
    for number in range(3):
        send(Browser(server, address=f"2001:db8:1:2::{number}"), passphrase="a guess")

    assert "oo many wrong" in send(Browser(server, address="2001:db8:1:2:9::"), passphrase="a").text
    assert send(Browser(server, address="2001:db8:1:3::"), passphrase=known).status == 303


@pytest.mark.parametrize("planted", ["x" * 43, "", "tasting"])
def test_a_token_that_was_planted_before_opens_nothing_after(
    browser: Browser, engine: Engine, known: str, planted: str
) -> None:
    """Session fixation (OWASP ASVS 5.0, 7.2.4, from memory): signing in draws a new token."""
    browser.cookies[COOKIE] = planted
    send(browser, passphrase=known)

    assert browser.cookies[COOKIE] != planted
    stale = Browser(browser.app, cookies={COOKIE: planted})
    assert stale.get("/new", **PAGE).status == 303


@pytest.mark.parametrize(
    "then",
    [
        "https://elsewhere.example",
        "//elsewhere.example",
        "/\\x",
        "/plan?seat=x",
        "/?id=x",
        "/plan?x=//y",
        "/a/b",
    ],
)
def test_signing_in_leads_to_no_other_site(browser: Browser, known: str, then: str) -> None:
    assert send(browser, then, passphrase=known).headers["location"] == "/"


def test_what_was_typed_is_shown_as_text(browser: Browser, known: str) -> None:
    said = browser.get(f"{SIGN_IN}?{urlencode({'then': HOSTILE})}")

    assert "<script>" not in said.text


def test_the_first_start_keeps_the_passphrase(browser: Browser, engine: Engine) -> None:
    assert "Choose the host" in browser.get(SIGN_IN).text
    assert send(browser, passphrase=PASSPHRASE, again=PASSPHRASE).status == 303
    assert "Sign in as the host" in browser.get(SIGN_IN).text


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"passphrase": PASSPHRASE, "again": "another one", "code": "8f-11"}, "differ"),
        ({"passphrase": PASSPHRASE, "again": PASSPHRASE}, "not the setup code"),
        ({"passphrase": "short", "again": "short", "code": "8f-11"}, "too short"),
        ({}, "not the setup code"),
    ],
)
def test_the_first_start_is_checked(browser, engine, monkeypatch, given, said: str) -> None:
    monkeypatch.setenv(SETUP_CODE, "8f-11")

    assert said in send(browser, **given).text
    assert sign_ins(engine) == 0


def test_all_faults_are_said_at_once_and_the_right_code_stays(browser, engine, monkeypatch) -> None:
    monkeypatch.setenv(SETUP_CODE, "8f-11")

    both = send(browser, passphrase=PASSPHRASE, again="another", code="x").text
    assert "setup code" in both
    assert "differ" in both
    assert 'value="x"' not in both
    assert 'value="8f-11"' in send(browser, passphrase="a", again="b", code="8f-11").text


def test_the_code_is_told_to_nobody(browser, engine, monkeypatch) -> None:
    monkeypatch.setenv(SETUP_CODE, "8f-11")

    assert "8f-11" not in browser.get(SIGN_IN).text
    assert "8f-11" not in send(browser, passphrase="a", again="b").text


def test_a_form_that_is_far_too_large_is_not_read(browser: Browser, known: str) -> None:
    assert send(browser, passphrase=known, more="x" * 10_000).status == 413


@pytest.mark.parametrize(("listed", "links"), [("ann@workshop.example", 1), (" ,", 0)])
def test_the_form_leads_to_single_sign_on_if_there_is_any(
    browser, known: str, monkeypatch, listed: str, links: int
) -> None:
    monkeypatch.setenv(HOSTS, listed)

    assert browser.get(SIGN_IN).text.count('href="/">Sign in with single sign-on') == links
