"""Running a session: open, hand out links, watch, close."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.settings import BASE_URL
from tasting.store import sessions
from tasting.store.database import writing
from tests.ui import workshop

OpenPage = Callable[[str], AppTest]


def test_with_nothing_planned_it_points_to_planning(open_page: OpenPage) -> None:
    page = open_page("tastings")
    assert page.markdown[0].value == "No session is planned or open."


def test_opening_draws_the_serving_plan(engine: Engine, open_page: OpenPage) -> None:
    workshop.keep(engine, workshop.planned("one"))
    open_page("tastings").button(key="open").click().run()
    assert sessions.summary(engine, "one").state == "open"
    assert len(sessions.seats(engine, "one")) == 12


@pytest.fixture
def page(engine: Engine, open_page: OpenPage) -> AppTest:
    """The page of an open session with two answers in."""
    workshop.keep(engine, workshop.answered(workshop.opened(workshop.planned("one")), 1, 1))
    return open_page("tastings")


def test_it_links_to_the_configured_address(page: AppTest, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(BASE_URL, "https://tasting.example/")
    page.run()
    assert any(code.value.startswith("https://tasting.example/?seat=") for code in page.code)


def test_it_warns_that_phones_cannot_reach_this_computer(page: AppTest) -> None:
    assert "--lan" in page.warning[0].value


def test_it_counts_answers_and_tells_nothing_else(engine: Engine, page: AppTest) -> None:
    shown = " ".join(str(table.value.to_dict()) for table in page.table)
    key = sessions.pour_sheet(engine, "one", workshop.START, "a test")
    codes = [code for served in key.sets for code in served.codes]
    assert "1 of 1" in shown
    assert not [
        secret for secret in (*codes, *set(served.order for served in key.sets)) if secret in shown
    ]


def test_a_database_that_fails_is_told_in_one_sentence(engine: Engine, page: AppTest) -> None:
    with writing(engine) as connection:
        connection.exec_driver_sql("ALTER TABLE answer RENAME TO gone")
    page.run()
    assert "no such table" in page.error[0].value
    assert not page.exception


def close(page: AppTest, reason: str, sure: bool) -> AppTest:
    page.text_input(key="reason-one").input(reason)
    if sure:
        page.checkbox(key="sure-one").check()
    return page.button(key="close").click().run()


@pytest.mark.parametrize(
    ("reason", "sure", "sentence"),
    [("tired", False, "Tick the box"), ("  ", True, "10 answers are missing")],
)
def test_closing_early_needs_a_tick_and_a_reason(
    engine: Engine, page: AppTest, reason: str, sure: bool, sentence: str
) -> None:
    close(page, reason, sure)
    assert any(sentence in error.value for error in page.error)
    assert sessions.summary(engine, "one").state == "open"


def test_closing_leads_to_the_finding(engine: Engine, page: AppTest) -> None:
    close(page, "the bottle was empty", True)
    assert sessions.closed_session(engine, "one").early_reason == "the bottle was empty"
    assert page.title[0].value == "Findings"
