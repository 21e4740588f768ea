"""Single sign-on: who counts as a host, what is shown to others, and one secret for all hosts."""

from datetime import UTC, datetime

import pytest
import streamlit as st
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting import settings
from tasting.settings import HOSTS
from tasting.store import ballots
from tasting.store.access import shared_link_secret
from tasting.store.host_logins import LASTS
from tasting.store.provider_logins import standing_of
from tests.ui import workshop
from tests.ui.conftest import visit

NOW = datetime.now(UTC).timestamp()
ANN = "ann@workshop.example"
# Claims as in OpenID Connect Core 1.0, sections 2 and 5.1; is_logged_in is Streamlit's.
LOGIN = {"is_logged_in": True, "email": ANN, "email_verified": True, "iat": int(NOW)}
KEY = "a long random text, which this is not"
LOG_IN, SIGN_IN = "log_in", "Sign in as the host"
with_a_user = pytest.mark.skipif(
    tuple(map(int, st.__version__.split(".")[:2])) < (1, 67),
    reason="an AppTest has no user before Streamlit 1.67; tests/browser drives the login itself",
)


@pytest.fixture
def listed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ann is a host by single sign-on."""
    monkeypatch.setenv(HOSTS, f"bay@workshop.example, {ANN}")


@pytest.fixture
def ann(engine: Engine, app: AppTest, listed: None) -> AppTest:
    """The app for Ann, who has logged in; not run yet."""
    app.user = dict(LOGIN)
    return app


@pytest.mark.parametrize(
    ("listing", "found"),
    [
        ("", set()),
        (" , ,", set()),
        (ANN, {ANN}),
        (f" {ANN.upper()} ,b@c.example,", {ANN, "b@c.example"}),
    ],
)
def test_hosts_are_listed_with_commas(monkeypatch, listing: str, found: set[str]) -> None:
    monkeypatch.setenv(HOSTS, listing)

    assert settings.hosts() == found


@pytest.mark.parametrize(
    ("said", "change"),
    [
        ("host", {}),
        ("host", {"email": ANN.upper()}),
        ("host", {"email_verified": "true"}),
        ("host", {"iat": NOW - LASTS.total_seconds() + 1}),
        ("another", {"email": f"x{ANN}"}),
        ("another", {"email": None}),
        ("another", {"email": ""}),
        ("another", {"email_verified": False}),
        ("another", {"email_verified": "false"}),
        ("another", {"email_verified": None}),
        ("nobody", {"iat": NOW - LASTS.total_seconds() - 1}),
        ("nobody", {"iat": None}),
        ("nobody", {"is_logged_in": False}),
        ("nobody", {"is_logged_in": "true"}),
    ],
)
def test_who_is_a_host(said: str, change: dict[str, object]) -> None:
    assert standing_of({**LOGIN, **change}, frozenset({ANN}), NOW) == said


def test_a_provider_that_verifies_nothing_is_taken_at_its_word() -> None:
    bare = {name: value for name, value in LOGIN.items() if name != "email_verified"}

    assert standing_of(bare, frozenset({ANN}), NOW) == "host"


def test_without_a_list_nobody_becomes_a_host() -> None:
    assert standing_of(LOGIN, frozenset(), NOW) == "another"
    assert standing_of({**LOGIN, "email": ""}, frozenset(), NOW) == "another"


@with_a_user
def test_a_listed_address_sees_the_pages_and_signs_out(ann: AppTest) -> None:
    out = ann.run().button(key="sign_out")
    assert ann.title[0].value == "Dashboard"

    out.click().run()
    assert ann.title[0].value == SIGN_IN
    assert not ann.user["is_logged_in"]


def test_without_the_list_a_login_opens_nothing(engine: Engine, app: AppTest) -> None:
    app.user = dict(LOGIN)
    app.run()

    assert app.title[0].value == SIGN_IN
    assert [button.key for button in app.button] == []


@with_a_user
def test_an_address_that_is_not_listed_is_named_as_text(ann: AppTest) -> None:
    ann.user["email"] = "*eve*@workshop.example"
    ann.run()

    assert ann.title[0].value == SIGN_IN
    assert r"\*eve\*@workshop\.example is logged in, but is not" in ann.error[0].value
    ann.button(key="log_out").click().run()
    assert [button.key for button in ann.button] == [LOG_IN]


def test_a_provider_that_is_not_set_up_is_said(ann: AppTest) -> None:
    ann.user = {}
    ann.run().button(key=LOG_IN).click().run()

    assert "Single sign\\-on is not set up" in ann.error[0].value
    assert not ann.exception


def links_of(page: AppTest) -> list[str]:
    return [code.value for code in page.code if "?seat=" in code.value]


@pytest.mark.parametrize("login", [LOGIN, {}])
def test_every_host_gets_the_same_links(
    engine: Engine, host: AppTest, listed: None, login: dict[str, object]
) -> None:
    """`host` signed in with the passphrase, and once logged in as well."""
    workshop.keep(engine, workshop.opened(workshop.planned("one")))
    wanted = ballots.links(engine, "one", shared_link_secret(engine, KEY))
    host.secrets["auth"] = {"cookie_secret": KEY}
    host.user = dict(login)
    page = visit(host, "tasting", id="one")

    assert links_of(page)[0].endswith(wanted[workshop.ASSESSORS[0]])


def test_without_a_list_the_links_come_from_the_passphrase(engine: Engine, host: AppTest) -> None:
    workshop.keep(engine, workshop.opened(workshop.planned("one")))
    shared = ballots.links(engine, "one", shared_link_secret(engine, KEY))
    host.secrets["auth"] = {"cookie_secret": KEY}
    page = visit(host, "tasting", id="one")

    assert not links_of(page)[0].endswith(shared[workshop.ASSESSORS[0]])
