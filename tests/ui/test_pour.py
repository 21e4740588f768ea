"""The pour sheet is the key, so it is shown for the passphrase only, and that is put on record."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store import sessions
from tests.ui import workshop
from tests.ui.conftest import PASSPHRASE

OpenPage = Callable[[str], AppTest]


def test_with_nothing_open_there_is_nothing_to_pour(open_page: OpenPage) -> None:
    assert "No session is open" in open_page("pour").markdown[0].value


@pytest.fixture
def page(engine: Engine, open_page: OpenPage) -> AppTest:
    """The page while a session is open."""
    workshop.keep(engine, workshop.opened(workshop.planned("one")))
    return open_page("pour")


def ask(page: AppTest, passphrase: str) -> AppTest:
    page.text_input(key="sheet_passphrase").input(passphrase)
    return page.button(key="show_sheet").click().run()


def test_a_wrong_passphrase_shows_nothing(engine: Engine, page: AppTest) -> None:
    ask(page, "wrong one")
    assert not page.table
    assert sessions.sheet_views(engine, "one") == ()


def test_the_right_one_shows_the_sheet_and_is_put_on_record(engine: Engine, page: AppTest) -> None:
    ask(page, PASSPHRASE)
    sample_a, sample_b, trays = (table.value for table in page.table)
    assert len(sample_a) == len(sample_b) == len(trays) == 12
    assert len(sessions.sheet_views(engine, "one")) == 1
