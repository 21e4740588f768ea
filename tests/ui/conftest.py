"""AppTest of the whole app on a database of its own."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import pytest
import streamlit as st
from sqlalchemy import Engine
from streamlit.components.v2 import manifest_scanner
from streamlit.runtime.scriptrunner.script_cache import ScriptCache
from streamlit.testing.v1 import AppTest, app_test
from streamlit.util import calc_hash

from tasting.store import host_logins
from tasting.store.access import choose_passphrase, link_secret
from tasting.ui import access as ui_access
from tasting.ui.tastings.finding.closed import depth_key
from tasting.ui.tastings.running.opened import ALONE, SECTIONS, section_key

APP = Path(__file__).parents[2] / "streamlit_app.py"
PASSPHRASE = "rhubarb and bay"
# Every new AppTest would read the metadata of all installed packages, and every run would compile
# the pages anew; both stay as they are while tests run, and a server does both once.
installed_components = cache(manifest_scanner.scan_component_manifests)
compiled_pages = cache(ScriptCache)


def visit(app: AppTest, address: str, **query: str) -> AppTest:
    """Opens the page at this address, as a browser does: pages are known by their address."""
    app._page_hash = calc_hash(address)
    for name, value in query.items():
        app.query_params[name] = value
    return app.run()


@pytest.fixture(autouse=True)
def _fresh_app(monkeypatch: pytest.MonkeyPatch, app_database: None) -> Iterator[None]:
    """Each test has its own database and nothing cached (caches outlive an AppTest)."""
    monkeypatch.setattr(manifest_scanner, "scan_component_manifests", installed_components)
    monkeypatch.setattr(app_test, "ScriptCache", compiled_pages)
    monkeypatch.setattr(ui_access, "host_token", lambda: "")  # an AppTest has no cookies
    st.cache_resource.clear()
    st.cache_data.clear()
    yield
    st.cache_resource.clear()


@pytest.fixture
def app() -> AppTest:
    """The app, not run yet, for somebody who has not signed in."""
    return AppTest.from_file(str(APP), default_timeout=20)


@pytest.fixture
def host(engine: Engine, app: AppTest, monkeypatch: pytest.MonkeyPatch) -> AppTest:
    """The app, not run yet, for a host who has signed in; the passphrase is PASSPHRASE."""
    choose_passphrase(engine, PASSPHRASE)
    token = host_logins.begin(engine, link_secret(engine, PASSPHRASE), datetime.now(UTC))
    monkeypatch.setattr(ui_access, "host_token", lambda: token)
    return app


@pytest.fixture
def open_page(host: AppTest) -> Callable[[str], AppTest]:
    """Opens a page of the host by its address."""

    def opened(name: str) -> AppTest:
        return visit(host, name)

    return opened


@pytest.fixture
def show_session(host: AppTest) -> Callable[..., AppTest]:
    """Opens the page of a session by its id, at one of its sections."""

    def shown(session_id: str, section: str = "") -> AppTest:
        if section:
            key = section_key if section in SECTIONS | ALONE else depth_key
            host.session_state[key(session_id)] = section
        return visit(host, "tasting", id=session_id)

    return shown
