"""Fixtures shared by all tests."""

import os
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from hypothesis import settings
from sqlalchemy import Engine

from tasting.panel.methods import Method
from tasting.settings import DATABASE, SETUP_CODE
from tasting.store import access
from tasting.store.database import file_address, open_database, shared_database
from tests import postgres

# The same examples every time: a run that fails by chance tells nothing about the change before it.
# `pytest --hypothesis-profile=default tests/drink` looks for new ones.
settings.register_profile("steady", derandomize=True, deadline=None)
settings.load_profile("steady")

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)


def pytest_addoption(parser: pytest.Parser) -> None:
    """--browser runs the tests that drive Chromium."""
    parser.addoption("--browser", action="store_true", help="also run the browser tests")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Left out: browser tests without --browser, PostgreSQL's without it (but never in CI)."""
    out = set() if config.getoption("--browser") else {"browser"}
    if not postgres.binaries() and os.environ.get("CI") != "true":
        out.add("postgres")
    left = [item for item in items if any(map(item.get_closest_marker, out))]
    config.hook.pytest_deselected(items=left)
    items[:] = [item for item in items if item not in left]


def pytest_make_parametrize_id(val: object) -> str | None:
    """A method is called by its key."""
    return val.key if isinstance(val, Method) else None


@pytest.fixture(autouse=True)
def _own_randomness() -> Iterator[None]:
    """Fails a test that draws from numpy's global random state."""
    before = np.random.get_state()[1].tolist()
    yield
    assert np.random.get_state()[1].tolist() == before, "use a Generator of your own"


@pytest.fixture
def now() -> datetime:
    """A fixed moment."""
    return NOW


@pytest.fixture
def address(tmp_path: Path) -> str:
    """The address of a database that does not exist yet."""
    return file_address(tmp_path / "log.sqlite3")


@pytest.fixture
def app_database(monkeypatch: pytest.MonkeyPatch, address: str) -> Iterator[None]:
    """What the app reads from its environment: a database of its own, and no setup code."""
    monkeypatch.setenv(DATABASE, address)
    monkeypatch.delenv(SETUP_CODE, raising=False)
    monkeypatch.setattr(access, "SCRYPT_N", 2)  # its strength is tested in tests/store
    shared_database.cache_clear()
    yield
    shared_database.cache_clear()


@pytest.fixture(scope="session")
def empty_log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty database in a file, to copy: making one anew takes a tenth of a second."""
    file = tmp_path_factory.mktemp("empty") / "log.sqlite3"
    open_database(file_address(file)).dispose()
    return file


@pytest.fixture
def engine(address: str, empty_log: Path, tmp_path: Path) -> Iterator[Engine]:
    """An empty database of its own."""
    shutil.copy(empty_log, tmp_path / "log.sqlite3")
    opened = open_database(address)
    yield opened
    opened.dispose()
