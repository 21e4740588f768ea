"""The server before an app with a database of its own."""

import pytest


@pytest.fixture(autouse=True)
def _own_database(app_database: None) -> None:
    """Each test has one."""
