"""The history."""

import re
from collections.abc import Callable
from datetime import timedelta
from html import unescape

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tests.store.damaging import cut_plan
from tests.ui.conftest import visit
from tests.ui.reading import linked, read
from tests.ui.workshop import START, answered, closed, keep, opened, planned, some_closed

LATER = START + timedelta(days=40)

OpenPage = Callable[[str], AppTest]


def test_with_nothing_kept_it_begins_with_a_formula(open_page: OpenPage) -> None:
    page = open_page("history")

    assert linked(page)["Write the first formula"] == "drink?new=formula"
    assert not page.exception


@pytest.fixture
def some(engine: Engine) -> None:
    keep(engine, *some_closed(), answered(opened(planned("now")), 3, 2), planned("next"))


def rows(page: AppTest) -> list[str]:
    """The rows of the table, each as it reads."""
    (body,) = [html.proto.body for html in page.get("html") if "<table" in html.proto.body]
    cells = [re.findall(r"<td[^>]*>(.*?)</td>", row) for row in body.split("<tr")]
    return [" | ".join(unescape(re.sub("<.*?>", "", cell)) for cell in row) for row in cells if row]


def led(page: AppTest) -> dict[str, str]:
    """Where each title leads."""
    body = " ".join(html.proto.body for html in page.get("html"))
    return {
        unescape(name): unescape(to) for to, name in re.findall(r'<a href="(.*?)">(.*?)<', body)
    }


@pytest.mark.usefixtures("some")
def test_versions_and_sessions_are_told(open_page: OpenPage) -> None:
    told = rows(open_page("history"))

    assert "12 Jan 2026 | Version | v2 | More lemon: *flat* beside R" in told
    shown = "A difference was shown between Spritz, v1 and Spritz, v2."
    assert f"11 Feb 2026 | Closed | Session acid | {shown}" in told
    assert any(row.endswith("5 of 12 answers are in.") for row in told)
    assert any(row.endswith("12 tastings planned.") for row in told)


@pytest.mark.usefixtures("some")
def test_the_answer_comes_first(open_page: OpenPage) -> None:
    page = open_page("history")

    assert page.header[0].value == "5 sessions are closed, the last on 15 Feb 2026"


@pytest.mark.usefixtures("some")
def test_a_row_opens_its_thing(open_page: OpenPage) -> None:
    leads = led(open_page("history"))

    assert leads["Session acid"] == "tasting?id=acid"
    assert leads["Session now"] == "tasting?id=now"
    assert leads["v2"] == "drink?id=spritz"


@pytest.mark.usefixtures("some")
def test_search_says_how_much_it_found(open_page: OpenPage) -> None:
    page = open_page("history")
    page.text_input(key="search").input("lemon").run()

    assert "1 entry matches" in read(page)


@pytest.mark.usefixtures("some")
def test_a_kind_shows_only_itself(open_page: OpenPage) -> None:
    page = open_page("history")
    page.pills(key="kinds").select("Open").run()

    assert "1 entry matches" in read(page)
    assert list(led(page)) == ["Session now"]


@pytest.mark.usefixtures("some")
def test_finding_nothing_is_said(open_page: OpenPage) -> None:
    page = open_page("history")
    page.text_input(key="search").input("no such word").run()

    assert "Nothing matches." in read(page)
    assert not page.exception


def test_old_entries_stand_on_later_pages(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, *(closed(planned(f"s{day}"), 6, 6, day=40 + day) for day in range(15)))
    page = open_page("history")

    assert "Session s14" in led(page)
    assert "Session s0" not in led(page)
    page.session_state["page"] = 2
    assert "Session s0" in led(page.run())


@pytest.mark.usefixtures("some")
def test_the_address_holds_what_is_searched(host: AppTest) -> None:
    asked = {"search": "session", "kinds": "Closed", "drink": "Rhubarb and bay spritz, v3"}
    page = visit(host, "history", **asked)

    assert "1 entry matches" in read(page)
    assert list(led(page)) == ["Session syrup"]


@pytest.mark.usefixtures("some")
def test_it_says_when_two_drinks_were_compared_last(open_page: OpenPage) -> None:
    page = open_page("history")
    for key, name in (("drink", "v2"), ("other", "v1")):
        box = page.selectbox(key=key)
        box.select_index(next(i for i, one in enumerate(box.options) if one.endswith(name)))
    page.run()

    assert "Last compared on 15 Feb 2026; 2 times in all." in read(page)


@pytest.mark.usefixtures("some")
def test_what_all_sessions_say_together_waits_until_it_is_asked_for(open_page: OpenPage) -> None:
    page = open_page("history")
    assert "of these 4 tests" not in read(page)
    page.session_state["look"] = "False alarms"

    assert "of these 4 tests" in read(page.run())


def test_what_was_typed_is_shown_as_it_was_typed(open_page: OpenPage, engine: Engine) -> None:
    named = planned("acid").model_copy(update={"name": "<img src=x> & co"})
    keep(engine, closed(named, 10, 2))
    page = open_page("history")

    assert "<img" not in " ".join(html.proto.body for html in page.get("html"))
    assert "<img src=x> & co" in led(page)


def test_a_damaged_session_is_set_aside_by_name(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, *some_closed())
    cut_plan(engine)
    page = open_page("history")

    assert not page.exception
    assert "Session syrup" in led(page)


def test_invented_data_are_labelled(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, closed(planned("acid"), 10, 2).model_copy(update={"invented": "by a script"}))

    page = open_page("history")
    assert "11 Feb 2026 | Closed (invented) | Session acid" in "\n".join(rows(page))


def test_where_all_data_are_invented_the_page_says_so_once(
    open_page: OpenPage, engine: Engine
) -> None:
    made_up = {"invented": "by a script"}
    keep(engine, closed(planned("acid"), 10, 2).model_copy(update=made_up))
    page = open_page("history")
    page.pills(key="kinds").select("Closed").run()

    assert read(page).count("Invented data") == 1
    assert "(invented)" not in "\n".join(rows(page))
