"""What the host prints has addresses that answer a signed-in host alone."""

from datetime import UTC, datetime

import pytest
from sqlalchemy import Engine

from tasting.settings import BASE_URL, HOSTS
from tasting.store import ballots, formulas, host_logins
from tasting.store.access import link_secret
from tasting.store.documents import Document, fill
from tasting.web.rendering import POLICY
from tests.ui import workshop
from tests.ui.conftest import PASSPHRASE
from tests.web.browsing import Browser

KINDS = ("labels", "cards", "ballots")


@pytest.fixture
def session(engine: Engine) -> None:
    """One that is open."""
    workshop.keep(engine, workshop.opened(workshop.planned("one")))


@pytest.mark.parametrize("kind", [*KINDS, "batches"])
def test_nobody_else_gets_any_of_it(browser: Browser, session: None, kind: str) -> None:
    said = browser.get(f"/print/one/{kind}")

    assert (said.status, said.text) == (303, "")
    assert said.headers["location"] == f"/signin?then=%2Fprint%2Fone%2F{kind}"


@pytest.mark.parametrize("kind", KINDS)
def test_the_host_gets_it_and_no_cache_does(host: Browser, session: None, kind: str) -> None:
    said = host.get(f"/print/one/{kind}")

    assert said.status == 200
    assert said.headers["cache-control"] == "no-store"
    assert "script" not in said.text
    assert not [name for name in ("Spritz", "spritz") if name in said.text]
    style = said.headers["content-security-policy"].split("style-src ")[1].split(";")[0]
    assert style.startswith("'sha256-")
    assert "unsafe" not in said.headers["content-security-policy"] + POLICY


def test_batches_are_there_before_and_after_opening(engine: Engine, host: Browser) -> None:
    workshop.keep(engine, workshop.opened(workshop.planned("one")), workshop.planned("two"))
    before, after = (host.get(f"/print/{name}/batches") for name in ("two", "one"))

    assert (before.status, after.status) == (200, 200)
    assert "18 cups" in before.text
    assert before.text.replace("Session two", "Session one") == after.text
    assert "Invented data" not in after.text


def test_batches_of_invented_drinks_say_so(engine: Engine, host: Browser) -> None:
    made_up = workshop.SPRITZ.model_copy(update={"invented": workshop.INVENTED})
    formulas.keep_formula(engine, made_up)
    fill(engine, Document(sessions=(workshop.planned("one"),)))

    assert host.get("/print/one/batches").text.count(f"Invented data: {workshop.INVENTED}") == 1


def test_cards_hold_the_links_that_the_run_page_shows(
    engine: Engine, host: Browser, session: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(BASE_URL, "https://tasting.example")
    tokens = ballots.links(engine, "one", link_secret(engine, PASSPHRASE))
    said = host.get("/print/one/cards").text

    assert all(f"https://tasting.example/?seat={token}" in said for token in tokens.values())
    assert ballots.ballot(engine, next(iter(tokens.values())))


def test_without_a_configured_address_cards_lead_to_the_one_asked(
    host: Browser, session: None
) -> None:
    assert "http://testserver/?seat=" in host.get("/print/one/cards").text


@pytest.mark.parametrize("path", ["/print/two/labels", "/print/one/key", "/print/one/pour"])
def test_there_is_nothing_else_to_print(host: Browser, session: None, path: str) -> None:
    assert host.get(path).status == 404


def test_a_session_that_is_not_open_has_nothing_to_print(engine: Engine, host: Browser) -> None:
    workshop.keep(engine, workshop.planned("one"))
    for kind in KINDS:
        assert host.get(f"/print/one/{kind}").status == 404


def test_with_single_sign_on_a_stranger_gets_nothing_either(
    browser: Browser, session: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(HOSTS, "ann@workshop.example")

    assert browser.get("/print/one/cards").status == 303


def test_a_ticket_lets_a_host_print_and_do_nothing_else(
    engine: Engine, browser: Browser, session: None
) -> None:
    ticket = host_logins.begin(engine, bytes(64), datetime.now(UTC), host_logins.TICKET_LASTS)
    said = browser.get(f"/print/one/cards?ticket={ticket}")
    assert (said.status, said.headers["location"]) == (303, "/print/one/cards")
    assert {"HttpOnly", "Path=/print", "SameSite=strict"} <= set(
        said.headers["set-cookie"].split("; ")
    )
    assert browser.get("/print/one/cards").status == 200
    assert browser.get("/_stcore/health").status == 403

    host_logins.end(engine, ticket)
    assert browser.get("/print/one/cards").status == 303


@pytest.mark.parametrize("ticket", ["", "nonsense", "a%0d%0ab", "%22%3b"])
def test_a_ticket_that_nobody_gave_prints_nothing(
    engine: Engine, browser: Browser, session: None, ticket: str
) -> None:
    browser.get(f"/print/one/cards?ticket={ticket}")

    assert browser.get("/print/one/cards").status == 303


def test_the_report_of_a_closed_session_is_for_the_host_alone(
    engine: Engine, browser: Browser
) -> None:
    workshop.keep(engine, workshop.closed(workshop.planned("done"), 10, 2))

    assert browser.get("/print/done/report").status == 303


def test_a_report_is_there_only_after_closing(engine: Engine, host: Browser) -> None:
    done = workshop.closed(workshop.planned("done"), 10, 2)
    workshop.keep(engine, workshop.opened(workshop.planned("one")), done)
    early = host.get("/print/one/report")

    assert early.status == 404
    assert "A difference was shown" in host.get("/print/done/report").text
    assert not [code for code in ("Spritz", "correct") if code in early.text]
