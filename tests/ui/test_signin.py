"""Signing in."""

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store.access import choose_passphrase
from tasting.ui.access import SETUP_CODE
from tests.ui.conftest import PASSPHRASE


def test_first_start_asks_for_a_new_passphrase(app: AppTest) -> None:
    app.run()
    assert app.title[0].value == "Choose the host's passphrase"
    assert not app.exception


def keep(app: AppTest, passphrase: str, again: str) -> AppTest:
    app.run()
    app.text_input(key="passphrase").input(passphrase)
    app.text_input(key="again").input(again)
    return app.button(key="keep").click().run()


def test_first_start_refuses_two_different_passphrases(app: AppTest) -> None:
    keep(app, PASSPHRASE, "another one")
    assert "differ" in app.error[0].value


def test_first_start_needs_the_setup_code(app: AppTest, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(SETUP_CODE, "8f3a-11")
    keep(app, PASSPHRASE, PASSPHRASE)
    assert "setup code" in app.error[0].value


def test_a_wrong_passphrase_opens_nothing(engine: Engine, app: AppTest) -> None:
    choose_passphrase(engine, PASSPHRASE)
    app.run()
    app.text_input(key="passphrase").input("wrong one")
    app.button(key="sign_in").click().run()
    assert "not the passphrase" in app.error[0].value
    assert app.title[0].value == "Sign in as the host"
