"""One session while it is planned and open: open it, hand out links, watch, close."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.settings import BASE_URL
from tasting.store import sessions
from tasting.store.database import writing
from tests.ui import workshop
from tests.ui.reading import linked, read, tables

Show = Callable[..., AppTest]


def test_opening_draws_the_serving_plan(engine: Engine, show_session: Show) -> None:
    workshop.keep(engine, workshop.planned("one"))
    page = show_session("one").button(key="open-one").click().run()
    assert sessions.summary(engine, "one").state == "open"
    assert len(sessions.seats(engine, "one")) == 12
    assert "0 of 12 answers are in" in read(page)


def test_a_planned_session_says_what_it_asks_of_assessors(
    engine: Engine, show_session: Show
) -> None:
    workshop.keep(engine, workshop.planned("one"))
    page = show_session("one")
    said = read(page)
    assert "Each assessor gets 3 cups, 90 mL in all" in said
    assert "Opening locks the plan and draws random orders and codes. It cannot be undone." in said
    assert linked(page)["Edit the plan"] == "new?edit=one"


def test_of_two_plans_with_one_name_the_one_in_the_address_is_opened(
    engine: Engine, show_session: Show
) -> None:
    twins = [
        workshop.planned(id_).model_copy(update={"name": "Lemon?"}) for id_ in ("first", "second")
    ]
    workshop.keep(engine, *twins)
    page = show_session("second")
    page.button(key="open-second").click().run()
    states = {one.id: one.state for one in sessions.summaries(engine)}
    assert states == {"first": "planned", "second": "open"}
    assert read(page).splitlines()[0] == "Lemon?"
    assert "Open since" in read(page)
    assert "Planned ·" not in read(page)


@pytest.fixture
def page(engine: Engine, show_session: Show) -> AppTest:
    """The page of an open session with two answers in."""
    workshop.keep(engine, workshop.answered(workshop.opened(workshop.planned("one")), 1, 1))
    return show_session("one")


def test_it_links_to_the_configured_address(page: AppTest, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(BASE_URL, "https://tasting.example/")
    page.run()
    assert any(code.value.startswith("https://tasting.example/?seat=") for code in page.code)


def test_the_links_are_shown_one_assessor_after_the_other(page: AppTest) -> None:
    shown = []
    for _ in workshop.ASSESSORS:
        shown.append((page.selectbox(key="seat-one").value, page.code[0].value))
        page.button(key="next-seat-one").click().run()
    assert [who for who, _ in shown] == list(workshop.ASSESSORS)
    assert len({link for _, link in shown}) == len(workshop.ASSESSORS)
    assert page.selectbox(key="seat-one").value == workshop.ASSESSORS[0], "after the last the first"


def test_it_warns_that_phones_cannot_reach_this_computer(page: AppTest) -> None:
    assert "--lan" in page.warning[0].value


def test_it_counts_answers_and_tells_nothing_else(
    engine: Engine, page: AppTest, show_session: Show
) -> None:
    page = show_session("one", "Answers")
    shown = " ".join(str(table.to_dict()) for table in tables(page))
    key = sessions.pour_sheet(engine, "one", workshop.START, "a test")
    codes = [code for served in key.sets for code in served.codes]
    assert "1 of 1" in shown
    assert "2 done · 10 not begun" in read(page)
    assert "Still to come: 10 of 12 assessors" in read(page)
    assert "Assessor 3 (not begun) · Assessor 4 (not begun)" in read(page)
    assert not [
        secret for secret in (*codes, *set(served.order for served in key.sets)) if secret in shown
    ]


def test_a_database_that_fails_is_told_in_one_sentence(engine: Engine, page: AppTest) -> None:
    with writing(engine) as connection:
        connection.exec_driver_sql("ALTER TABLE answer RENAME TO gone")
    page.run()
    assert "no such table" in page.error[0].value
    assert not page.exception


def close(show_session: Show, reason: str, sure: bool) -> AppTest:
    page = show_session("one", "Close")
    page.text_input(key="reason-one").input(reason)
    if sure:
        page.checkbox(key="sure-one").check()
    return page.button(key="close").click().run()


@pytest.mark.usefixtures("page")
@pytest.mark.parametrize(
    ("reason", "sure", "sentence"),
    [
        ("tired", False, "Tick the box"),
        ("  ", True, "10 answers are missing"),
        ("", False, "missing: say why you close early. Tick the box"),
    ],
)
def test_closing_early_needs_a_tick_and_a_reason(
    engine: Engine, show_session: Show, reason: str, sure: bool, sentence: str
) -> None:
    page = close(show_session, reason, sure)
    assert any(sentence in error.value.replace("\\", "") for error in page.error)
    assert sessions.summary(engine, "one").state == "open"


@pytest.mark.usefixtures("page")
def test_closing_leads_to_the_finding(engine: Engine, show_session: Show) -> None:
    page = close(show_session, "the bottle was empty", True)
    assert sessions.closed_session(engine, "one").early_reason == "the bottle was empty"
    assert "of 2 correct" in read(page)
    assert not page.exception


def test_who_tastes_alone_gets_steps_and_no_plain_labels(
    engine: Engine, show_session: Show
) -> None:
    alone = workshop.planned("one", assessors=("me",), alone=True, replicates=6)
    workshop.keep(engine, workshop.opened(alone))
    said = read(show_session("one"))
    assert "Stack A" in said
    assert "The codes now stand under the cups, and you have read none." in said
    page = show_session("one", "Pour")
    links = [node.proto.label for node in page.get("link_button")]
    assert "Cup labels to print" not in links
    assert "labels in two stacks, A and B" in read(page)
