"""Pages for somebody whose sign-in ended, or never began."""

from datetime import UTC, datetime

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.report.links import SIGN_IN
from tasting.store import host_logins
from tasting.ui import access
from tests.ui import workshop

ASKED = "Please sign in as the host to see this page."


def test_without_a_sign_in_the_app_leads_to_the_form(engine: Engine, app: AppTest) -> None:
    app.run()

    assert app.title[0].value == "Sign in as the host"
    assert f'href="{SIGN_IN}"' in app.get("html")[-1].proto.body
    assert not app.exception


@pytest.mark.parametrize("token", ["", "x", "0" * 43])
def test_a_cookie_that_nobody_gave_opens_nothing(
    engine: Engine, app: AppTest, monkeypatch: pytest.MonkeyPatch, token: str
) -> None:
    monkeypatch.setattr(access, "host_token", lambda: token)

    assert app.run().title[0].value == "Sign in as the host"


def test_a_sign_in_that_ended_opens_nothing(
    engine: Engine, app: AppTest, monkeypatch: pytest.MonkeyPatch
) -> None:
    token = host_logins.begin(engine, bytes(64), datetime.now(UTC) - host_logins.LASTS)
    monkeypatch.setattr(access, "host_token", lambda: token)

    assert app.run().title[0].value == "Sign in as the host"


def test_signing_out_ends_the_sign_in_itself(engine: Engine, host: AppTest) -> None:
    token = access.host_token()
    host.run().button(key="sign_out").click().run()

    assert host.title[0].value == "Sign in as the host"
    assert host_logins.secret_of(engine, token, datetime.now(UTC)) is None


@pytest.mark.parametrize("signed_in_still", [True, False])
def test_the_count_of_answers_asks_again_for_the_sign_in(
    engine: Engine, host: AppTest, monkeypatch: pytest.MonkeyPatch, signed_in_still: bool
) -> None:
    """Alone, as it runs every few seconds: without the page around it."""
    workshop.keep(engine, workshop.answered(workshop.opened(workshop.planned("one")), 1, 1))
    if not signed_in_still:
        host_logins.end(engine, access.host_token())
    part = "from tasting.ui.tastings.running.progress import progress\nprogress('one')"
    alone = AppTest.from_string(part, default_timeout=20).run()

    assert [said.value for said in alone.error] == ([] if signed_in_still else [ASKED])
    assert any("answers are in" in one.value for one in alone.header) == signed_in_still
