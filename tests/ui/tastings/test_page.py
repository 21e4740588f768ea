"""The table of sessions by their state."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tests.ui.conftest import visit
from tests.ui.reading import linked, read
from tests.ui.workshop import answered, closed, keep, opened, planned

OpenPage = Callable[[str], AppTest]


def test_with_nothing_kept_it_offers_a_new_tasting(open_page: OpenPage) -> None:
    page = open_page("tastings")
    assert "No session yet." in read(page)
    assert page.button(key="new").click().run().title[0].value == "New tasting"


@pytest.fixture
def many(engine: Engine) -> None:
    """Fourteen closed sessions, an open one, and two planned ones that share a name."""
    twins = [planned(one).model_copy(update={"name": "Twins"}) for one in ("twin-1", "twin-2")]
    done = [closed(planned(f"s{day}"), 10, 2, day=40 + day) for day in range(14)]
    keep(engine, *done, answered(opened(planned("now")), 3, 2), *twins)


@pytest.mark.usefixtures("many")
def test_sessions_stand_by_state_the_newest_closed_one_first(open_page: OpenPage) -> None:
    page = open_page("tastings")
    assert [one.value for one in page.header] == ["Open", "Planned", "Closed (14)"]
    said = read(page)
    assert "5 of 12 answers in · Triangle test · v1 and v2 · 12 assessors × 1 set" in said
    assert "A difference was shown between v1 and v2" in said
    addresses = [
        link.proto.query_string for link in page.get("page_link") if "id=" in str(link.proto)
    ]
    assert addresses[0] == "id=now"
    assert {"id=twin-1", "id=twin-2"} == set(addresses[1:3])
    assert addresses[3:] == [f"id=s{day}" for day in range(13, 1, -1)]


def test_planned_sessions_stand_by_their_day(engine: Engine, open_page: OpenPage) -> None:
    """What has none, as in older documents, comes last."""
    days = {"later": "2026-12-01", "never": None, "sooner": "2026-11-28"}
    keep(engine, *(planned(one, taste_on=on) for one, on in days.items()))
    page = open_page("tastings")
    links = [link for link in linked(page).values() if link.startswith("tasting?")]
    assert links == ["tasting?id=sooner", "tasting?id=later", "tasting?id=never"]
    assert "28 Nov 2026 · Triangle test · v1 and v2" in read(page)


@pytest.mark.usefixtures("many")
def test_earlier_sessions_stand_on_the_next_page(open_page: OpenPage) -> None:
    page = open_page("tastings").button(key="earlier").click().run()
    assert page.query_params["page"] == "2"
    assert linked(page)["**Session s0**"] == "tasting?id=s0"
    assert "**Session s13**" not in linked(page)


@pytest.mark.usefixtures("many")
@pytest.mark.parametrize("asked", ["0", "99", "x", "-1", "9" * 40])
def test_a_page_that_is_not_there_is_the_nearest_one(host: AppTest, asked: str) -> None:
    page = visit(host, "tastings", page=asked)
    assert not page.exception
    assert not page.error


def test_an_unknown_session_in_the_address_is_one_sentence(host: AppTest) -> None:
    page = visit(host, "tasting", id="<b>no-such</b>")
    (error,) = page.error
    assert "No session is saved under the id" in error.value
    assert linked(page)["All tastings"] == "tastings"
    assert not page.exception
