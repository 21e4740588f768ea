"""The pour sheet is the key: it has a link of its own, wants a code, and puts readers on record."""

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store import sessions
from tasting.store.access import choose_passphrase, new_pourer_code
from tests.ui import workshop
from tests.ui.conftest import PASSPHRASE


@pytest.fixture
def page(engine: Engine, app: AppTest) -> AppTest:
    """The page behind the link, for somebody who has not signed in."""
    choose_passphrase(engine, PASSPHRASE)
    workshop.keep(engine, workshop.opened(workshop.planned("one")))
    app.query_params["pour"] = "one"
    return app.run()


def ask(page: AppTest, code: str, reader: str = "the helper") -> AppTest:
    page.text_input(key="reader").input(reader)
    page.text_input(key="sheet_code").input(code)
    return page.button(key="show_sheet").click().run()


def shown_to(engine: Engine) -> list[str]:
    """Who the record says has seen the sheet."""
    happened = sessions.events(engine, "one")
    return [event.detail for event in happened if event.what == "pour sheet shown"]


@pytest.mark.parametrize("code", ["wrong one", "00000000", ""])
def test_a_wrong_code_shows_nothing(engine: Engine, page: AppTest, code: str) -> None:
    ask(page, code)
    assert page.error
    assert not page.table
    assert shown_to(engine) == []


def test_the_passphrase_shows_the_sheet_and_the_record_says_to_whom(
    engine: Engine, page: AppTest
) -> None:
    ask(page, PASSPHRASE)
    sample_a, sample_b, trays = (table.value for table in page.table)
    assert len(trays) == 12
    cups = sum(len(codes.split(" · ")) for codes in [*sample_a["Codes"], *sample_b["Codes"]])
    assert cups == 36
    assert len(page.get("download_button")) == 2
    assert shown_to(engine) == ["to the helper"]


def test_so_does_the_pourers_code(engine: Engine, page: AppTest) -> None:
    ask(page, new_pourer_code(engine, "one"))
    assert len(page.table) == 3


def test_a_newer_code_replaces_the_one_before(engine: Engine, page: AppTest) -> None:
    before = new_pourer_code(engine, "one")
    new_pourer_code(engine, "one")
    ask(page, before)
    assert not page.table


def test_a_reader_has_to_say_who_they_are(engine: Engine, page: AppTest) -> None:
    ask(page, PASSPHRASE, reader=" ")
    assert "who you are" in page.error[0].value
    assert shown_to(engine) == []


def test_an_unknown_session_says_so(app: AppTest) -> None:
    app.query_params["pour"] = "nothing"
    app.run()
    assert "not known" in app.markdown[0].value


def test_a_session_that_is_not_open_has_nothing_to_pour(engine: Engine, app: AppTest) -> None:
    workshop.keep(engine, workshop.planned("later"))
    app.query_params["pour"] = "later"
    app.run()
    assert any("nothing to pour" in text.value for text in app.markdown)


def test_who_tastes_alone_is_told_to_put_the_sheet_away(engine: Engine, app: AppTest) -> None:
    plan = {"assessors": ("me",), "alone": True}
    workshop.keep(engine, workshop.opened(workshop.planned("one", **plan)))
    app.query_params["pour"] = "one"
    app.run()
    assert "put the sheet away" in app.warning[0].value
