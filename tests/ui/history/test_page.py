"""The history."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store import sessions
from tests.store.damaging import cut_plan
from tests.ui.conftest import PASSPHRASE, visit
from tests.ui.reading import linked, read
from tests.ui.workshop import START, answered, closed, keep, opened, planned, some_closed

LATER = START + timedelta(days=40)

OpenPage = Callable[[str], AppTest]


def test_with_nothing_kept_it_begins_with_a_formula(open_page: OpenPage) -> None:
    page = open_page("history")

    assert linked(page)["Write the first formula"] == "drinks"
    assert not page.get("download_button")
    assert not page.exception


@pytest.fixture
def some(engine: Engine) -> None:
    keep(engine, *some_closed(), answered(opened(planned("now")), 3, 2), planned("next"))


@pytest.mark.usefixtures("some")
def test_versions_and_sessions_are_told(open_page: OpenPage) -> None:
    told = read(open_page("history"))

    assert "**Rhubarb and bay spritz, v2**\nMore lemon: *flat* beside R" in told
    assert "A difference was shown between Spritz, v1 and Spritz, v2." in told
    assert "5 of 12 answers are in." in told
    assert "12 tastings planned." in told


@pytest.mark.usefixtures("some")
def test_a_closed_session_leads_to_its_finding(open_page: OpenPage) -> None:
    page = open_page("history")
    page.text_input(key="search").input("session acid").run()

    assert linked(page)["Read the finding"] == "tasting?id=acid"


@pytest.mark.usefixtures("some")
def test_search_says_how_much_it_found(open_page: OpenPage) -> None:
    page = open_page("history")
    page.text_input(key="search").input("lemon").run()

    assert "1 entry fits" in read(page)


@pytest.mark.usefixtures("some")
def test_a_kind_shows_only_itself(open_page: OpenPage) -> None:
    page = open_page("history")
    page.pills(key="kinds").select("Open session").run()

    assert "1 entry fits" in read(page)
    assert "Read the finding" not in linked(page)


@pytest.mark.usefixtures("some")
def test_finding_nothing_is_said(open_page: OpenPage) -> None:
    page = open_page("history")
    page.text_input(key="search").input("no such word").run()

    assert "Nothing fits." in read(page)
    assert not page.exception


@pytest.mark.usefixtures("some")
def test_everything_can_be_taken_away(open_page: OpenPage) -> None:
    labels = [button.proto.label for button in open_page("history").get("download_button")]

    assert labels == ["Everything (JSON)", "Answers (CSV)"]


def test_old_entries_stand_on_later_pages(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, *(closed(planned(f"s{day}"), 6, 6, day=40 + day) for day in range(55)))
    page = open_page("history")

    assert "Session s54**" in read(page)
    assert "Session s0**" not in read(page)
    page.session_state["page"] = 2
    assert "Session s0**" in read(page.run())


@pytest.mark.usefixtures("some")
def test_the_address_holds_what_is_searched(host: AppTest) -> None:
    page = visit(
        host,
        "history",
        search="session",
        kinds="Closed session",
        drink="Rhubarb and bay spritz, v3",
    )

    assert "1 entry fits" in read(page)
    assert "**Session syrup**" in read(page)


@pytest.mark.usefixtures("some")
def test_it_says_when_two_drinks_were_compared_last(open_page: OpenPage) -> None:
    page = open_page("history")
    for key, name in (("drink", "v2"), ("other", "v1")):
        box = page.selectbox(key=key)
        box.select_index(next(i for i, one in enumerate(box.options) if one.endswith(name)))
    page.run()

    assert "Last compared on 15 Feb 2026; 2 times in all." in read(page)


@pytest.mark.usefixtures("some")
def test_what_all_sessions_say_together_waits_until_it_is_unfolded(open_page: OpenPage) -> None:
    page = open_page("history")
    assert "of these 4 tests" not in read(page)
    page.session_state["together-alarms"] = True

    assert "of these 4 tests" in read(page.run())


def test_a_damaged_session_is_set_aside_by_name(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, *some_closed())
    cut_plan(engine)
    page = open_page("history")

    assert not page.exception
    assert "**Session syrup**" in read(page)


def test_invented_data_are_labelled(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, closed(planned("acid"), 10, 2).model_copy(update={"invented": "by a script"}))

    assert "11 Feb 2026 · Closed session · invented data" in read(open_page("history"))


@pytest.mark.usefixtures("some")
def test_the_record_of_a_session_can_be_read(open_page: OpenPage, engine: Engine) -> None:
    sessions.abandon_session(engine, "now", LATER, "the fridge failed")
    page = open_page("history")
    page.session_state["history_log"] = True
    page.selectbox(key="history_record").select("now").run()

    assert "abandoned" in page.table[-1].value["What"].tolist()
    assert "Given up: the fridge failed." in read(page)


def erase(page: AppTest, name: str, passphrase: str) -> str:
    """Ask for it, and what the page says."""
    page.text_input(key="erase_name").input(name)
    page.text_input(key="erase_passphrase").input(passphrase)
    page.button(key="erase").click().run()
    return " ".join(message.value for message in [*page.error, *page.success])


def test_a_pseudonym_is_erased_for_who_knows_the_passphrase(
    open_page: OpenPage, engine: Engine
) -> None:
    keep(engine, closed(planned("acid"), 10, 2))
    page = open_page("history")

    assert "not the passphrase" in erase(page, "Assessor 1", "a guess")
    assert "Erased in 1 session" in erase(page, "Assessor 1", PASSPHRASE)
    session = sessions.closed_session(engine, "acid")
    assert '"Assessor 1"' not in session.model_dump_json()
    assert len(session.answers) == 12


def test_an_unknown_pseudonym_is_told(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, closed(planned("acid"), 10, 2))

    assert "no session has an assessor" in erase(
        open_page("history"), "Nobody", PASSPHRASE
    ).replace("No session", "no session")
