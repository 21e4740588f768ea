"""A new tasting that begins as its address asks."""

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store import notes, sessions
from tasting.store.database import writing
from tasting.ui.tastings.planning.asked_for import address
from tests.ui import workshop
from tests.ui.conftest import visit
from tests.ui.workshop import SPRITZ


@pytest.fixture(autouse=True)
def _drinks(engine: Engine) -> None:
    workshop.keep(engine)


def chosen(page: AppTest) -> tuple[str, str]:
    return page.selectbox(key="a").value.id, page.selectbox(key="b").value.id


def test_the_address_leaves_out_what_is_not_asked_for() -> None:
    assert address("x", "y") == {"a": "x", "b": "y"}
    assert address("", "y", "paired", 12, attribute="more sour", name="n" * 200) == {
        "b": "y",
        "method": "paired",
        "tastings": "12",
        "attribute": "more sour",
        "name": "n" * 120,
    }


def test_drinks_method_and_direction_are_filled_in(engine: Engine, host: AppTest) -> None:
    more = {"attribute": "sweeter", "expected": "B", "tastings": "24"}
    page = visit(host, "new", a="spritz-1", b="R", method="paired", **more)
    assert page.radio(key="question").value == "Which is more …?"
    page.button(key="keep").click().run()
    (kept,) = sessions.summaries(engine)
    assert (kept.plan.a.id, kept.plan.b.id, kept.plan.method) == ("spritz-1", "R", "paired")
    assert (kept.plan.attribute, kept.plan.expected) == ("sweeter", "B")


@pytest.mark.parametrize(
    ("tastings", "method", "panel"),
    [
        ("6", "triangle", ("8", "1")),
        ("24", "triangle", ("8", "3")),
        ("25", "triangle", ("8", "4")),
        ("9" * 30, "triangle", ("8", "20")),
        ("25", "preference", ("25", "1")),
        ("0", "triangle", ("8", "2")),
        ("-4", "triangle", ("8", "2")),
        ("x", "triangle", ("8", "2")),
    ],
)
def test_so_many_tastings_become_sets_or_assessors(
    host: AppTest, tastings: str, method: str, panel: tuple[str, str]
) -> None:
    """Repeated answers of the same assessors count towards a difference, not to a preference.
    Without a number 16 tastings are proposed: ISO 4120:2004 table A.3, from memory."""
    page = visit(host, "new", a="R", b="S", method=method, tastings=tastings)
    assert tuple(page.text_input(key=key).value for key in ("people", "replicates")) == panel


def test_similarity_is_asked_for_by_its_aim(host: AppTest) -> None:
    page = visit(host, "new", a="R", b="S", method="triangle", aim="similarity")
    assert page.radio(key="question").value == "Are they similar?"


@pytest.mark.parametrize("query", [{"a": "<b>"}, {"a": "R", "b": "no-such"}])
def test_a_drink_that_is_not_kept_is_said(host: AppTest, query: dict[str, str]) -> None:
    page = visit(host, "new", **query)
    assert "not saved here" in page.warning[0].value
    assert not page.exception


def test_a_method_that_is_not_known_is_passed_over(host: AppTest) -> None:
    page = visit(host, "new", a="R", b="S", method="guessing", aim="x", expected="C")
    assert page.selectbox(key="method").value == "triangle"
    assert not page.exception


def test_what_is_typed_then_stays(host: AppTest) -> None:
    page = visit(host, "new", a="spritz-1", b="R", name="From the address")
    page.selectbox(key="a").select_index(1).run()
    page.text_input(key="name").set_value("Mine").run()
    assert chosen(page) == ("S", "R")
    assert page.text_input(key="name").value == "Mine"


def test_coming_back_begins_as_the_address_asks_again(host: AppTest) -> None:
    page = visit(host, "new", a="spritz-1", b="R")
    visit(page, "drinks")
    assert chosen(visit(page, "new", a="spritz-1", b="R")) == ("spritz-1", "R")


def test_drinks_that_are_put_away_are_offered_only_if_asked_for(
    engine: Engine, host: AppTest
) -> None:
    notes.archive(engine, "R")
    notes.archive(engine, SPRITZ.id)
    page = visit(host, "new")
    assert "compares two drinks" in page.markdown[0].value, "only bottle S is left"
    page = visit(host, "new", a="spritz-2", b="R")
    assert chosen(page) == ("spritz-2", "R")
    names = page.selectbox(key="a").options
    assert names == ["Reference bottle R", "Reference bottle S", "Rhubarb and bay spritz, v2"]


def test_a_plan_of_drinks_that_are_put_away_is_edited_all_the_same(
    engine: Engine, host: AppTest
) -> None:
    with writing(engine) as connection:
        sessions.insert_sessions(connection, [workshop.planned("old")])
    notes.archive(engine, SPRITZ.id)
    assert chosen(visit(host, "new", edit="old")) == ("spritz-1", "spritz-2")
