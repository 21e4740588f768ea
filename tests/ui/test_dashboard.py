"""The dashboard."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tests.ui.reading import linked, read
from tests.ui.workshop import answered, closed, keep, opened, planned, some_closed

OpenPage = Callable[[str], AppTest]


def sessions_listed(page: AppTest) -> set[str]:
    return set(page.table[0].value["Session"])


def charts(page: AppTest) -> int:
    return len(page.get("vega_lite_chart"))


def test_it_is_the_first_page_after_signing_in(host: AppTest) -> None:
    assert "Dashboard" in read(host)


def test_with_nothing_kept_it_begins_with_a_formula(open_page: OpenPage) -> None:
    page = open_page("dashboard")

    assert "Nothing is kept yet" in read(page)
    assert linked(page)["Write the first formula"] == "formulas"
    assert charts(page) == 0
    assert not page.exception


def test_with_formulas_only_it_goes_on_with_a_plan(open_page: OpenPage, engine: Engine) -> None:
    keep(engine)
    page = open_page("dashboard")

    assert linked(page)["Plan a session"] == "plan"
    assert "Rhubarb and bay spritz against Reference bottle R" in read(page)


def test_with_an_open_session_it_waits_for_its_end(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, answered(opened(planned("now")), 3, 2))
    page = open_page("dashboard")

    assert "What it finds is drawn here once you close it." in read(page)
    assert linked(page)["See how many answers are in"] == "run"
    assert not page.exception


@pytest.fixture
def some(engine: Engine) -> None:
    keep(engine, *some_closed(), answered(opened(planned("now")), 3, 2))


@pytest.mark.usefixtures("some")
def test_every_closed_session_with_an_answer_is_listed(open_page: OpenPage) -> None:
    page = open_page("dashboard")

    assert {name.split()[1] for name in sessions_listed(page)} == {
        "acid",
        "syrup",
        "liking",
        "unknown",
    }
    assert charts(page) == 3


@pytest.mark.usefixtures("some")
def test_it_says_which_sessions_are_not_drawn(open_page: OpenPage) -> None:
    assert (
        "In the table only, because the titratable acidity of one of the two drinks is not known: "
        "Session unknown." in read(open_page("dashboard"))
    )


@pytest.mark.usefixtures("some")
def test_it_says_how_to_read_a_preference(open_page: OpenPage) -> None:
    assert "read it as a lower bound" in read(open_page("dashboard"))


@pytest.mark.usefixtures("some")
def test_a_reference_leaves_the_sessions_that_compare_it(open_page: OpenPage) -> None:
    page = open_page("dashboard")
    page.selectbox(key="dashboard_reference").select_index(0).run()

    assert sessions_listed(page) == {"Session liking"}
    assert "Rhubarb and bay spritz against Reference bottle R" in read(page)


@pytest.mark.usefixtures("some")
def test_only_undrawn_sessions_leave_the_table(open_page: OpenPage) -> None:
    page = open_page("dashboard")
    page.selectbox(key="dashboard_reference").select_index(1).run()

    assert sessions_listed(page) == {"Session unknown"}
    assert charts(page) == 2
    assert not page.exception


def test_a_filter_that_nothing_fits_says_so(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, closed(planned("acid"), 10, 2))
    page = open_page("dashboard")
    page.selectbox(key="dashboard_reference").select_index(0).run()

    assert "No closed session with an answer compares these." in read(page)
    assert not page.exception


def test_invented_data_are_labelled_once(open_page: OpenPage, engine: Engine) -> None:
    made_up = [
        closed(planned(id), 9, 3).model_copy(update={"invented": "by a script"})
        for id in ("one", "two")
    ]
    keep(engine, *made_up)
    page = open_page("dashboard")

    assert read(page).count("Invented data: by a script") == 1
    assert all("invented" in name for name in sessions_listed(page))
