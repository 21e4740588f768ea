"""AppTest of the whole app on a database of its own."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import streamlit as st
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store import access
from tasting.store.access import choose_passphrase
from tasting.store.database import ADDRESS
from tasting.ui.access import SETUP_CODE

APP = Path(__file__).parents[2] / "streamlit_app.py"
PASSPHRASE = "rhubarb and bay"


@pytest.fixture(autouse=True)
def _fresh_app(monkeypatch: pytest.MonkeyPatch, address: str) -> Iterator[None]:
    """Each test has its own database and nothing cached (caches outlive an AppTest)."""
    monkeypatch.setenv(ADDRESS, address)
    monkeypatch.delenv(SETUP_CODE, raising=False)
    monkeypatch.setattr(access, "SCRYPT_N", 2)  # its strength is tested in tests/store
    st.cache_resource.clear()
    st.cache_data.clear()
    yield
    st.cache_resource.clear()


@pytest.fixture
def app() -> AppTest:
    """The app, not run yet, for somebody who has not signed in."""
    return AppTest.from_file(str(APP), default_timeout=20)


@pytest.fixture
def host(engine: Engine, app: AppTest) -> AppTest:
    """The app for a host who has signed in; the passphrase is PASSPHRASE."""
    choose_passphrase(engine, PASSPHRASE)
    app.run()
    app.text_input(key="passphrase").input(PASSPHRASE)
    app.button(key="sign_in").click().run()
    return app


@pytest.fixture
def open_page(host: AppTest) -> Callable[[str], AppTest]:
    """Opens a page of the host by the name of its script."""

    def opened(name: str) -> AppTest:
        return host.switch_page(f"tasting/ui/{name}.py").run()

    return opened
