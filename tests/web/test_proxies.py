"""Behind a proxy: whose word about a client's address is believed, through uvicorn's own reading.

X-Forwarded-For: MDN and RFC 7239, section 5.2 (from memory): the last address is the one that the
nearest proxy saw; what stands before it anybody may have written.
"""

import pytest
import uvicorn
from sqlalchemy import Engine

from tasting import settings
from tasting.cli import server as cli_server
from tasting.web.guard import Guard
from tests.web.browsing import Browser
from tests.web.test_sign_in_form import HOME, SIGN_IN

PROXY, OTHER, CLIENT = "10.0.0.7", "10.0.0.8", "192.0.2.44"


@pytest.fixture
def proxied(server: Guard, monkeypatch: pytest.MonkeyPatch) -> object:
    """The server as `tasting app` starts it where TASTING_PROXIES names one proxy."""
    monkeypatch.setenv("TASTING_PROXIES", PROXY)
    monkeypatch.setenv(cli_server._BELIEVED, settings.proxies())
    config = uvicorn.Config(server)
    config.load()
    return config.loaded_app


def guess(app: object, through: str, told: str, passphrase: str = "a guess") -> str:
    """What is answered to a passphrase that comes through a machine and is told to be another's."""
    browser = Browser(app, address=through)
    sent = {"origin": HOME, "x-forwarded-for": told}
    reply = browser.post(SIGN_IN, {"passphrase": passphrase}, **sent)
    if reply.status == 303:
        return "in"
    if "oo many wrong" in reply.text:
        return "wait"
    assert "not the passphrase" in reply.text
    return "wrong"


def test_a_trusted_proxy_is_believed(proxied: object, known: str) -> None:
    assert [guess(proxied, PROXY, CLIENT) for _ in range(4)] == ["wrong"] * 3 + ["wait"]
    assert guess(proxied, PROXY, "192.0.2.45", known) == "in", "nobody else behind it has to wait"
    assert guess(proxied, PROXY, CLIENT, known) == "wait"


def test_what_the_client_wrote_before_the_proxy_counts_for_nothing(
    proxied: object, known: str
) -> None:
    """Attack: a new address for each guess in front of the true one."""
    told = [guess(proxied, PROXY, f"198.51.100.{turn}, {CLIENT}") for turn in range(4)]

    assert told == ["wrong"] * 3 + ["wait"]


def test_anybody_elses_word_counts_for_nothing(proxied: object, known: str) -> None:
    told = [guess(proxied, OTHER, f"198.51.100.{turn}") for turn in range(4)]

    assert told == ["wrong"] * 3 + ["wait"]


def test_behind_a_proxy_an_ipv6_network_is_one_client(proxied: object, known: str) -> None:
    told = [guess(proxied, PROXY, f"2001:db8:1:2::{turn}") for turn in range(4)]

    assert told == ["wrong"] * 3 + ["wait"]
    assert guess(proxied, PROXY, "2001:db8:1:3::1", known) == "in"


@pytest.mark.parametrize(("base", "believed"), [("", ""), ("https://x.example", "127.0.0.1,::1")])
def test_unless_told_a_proxy_on_this_machine_is_believed_and_only_with_a_base_url(
    monkeypatch: pytest.MonkeyPatch, base: str, believed: str
) -> None:
    monkeypatch.delenv("TASTING_PROXIES", raising=False)
    monkeypatch.setenv(settings.BASE_URL, base)

    assert settings.proxies() == believed


def test_guessing_links_from_one_ipv6_network_ends_soon(engine: Engine, server: Guard) -> None:
    """Attack: whole addresses were counted, and a network has 2^64 of them."""
    asked = [
        Browser(server, address=f"2001:db8:1:2::{turn:x}").get(f"/?seat=guess-{turn}").status
        for turn in range(80)
    ]

    assert (asked[0], asked[-1]) == (404, 429)
    assert Browser(server, address="2001:db8:1:3::1").get("/?seat=guess").status == 404
