"""Planning a session."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store import sessions
from tests.ui import workshop

OpenPage = Callable[[str], AppTest]


def test_without_two_drinks_it_says_what_to_do(open_page: OpenPage) -> None:
    page = open_page("new")
    assert "compares two drinks" in page.markdown[0].value
    assert not page.exception


@pytest.fixture
def page(engine: Engine, open_page: OpenPage) -> AppTest:
    """The page with some drinks to compare."""
    workshop.keep(engine)
    return open_page("new")


def test_it_keeps_a_triangle_session(engine: Engine, page: AppTest) -> None:
    page.text_input(key="name").input("Is the lemon noticed?")
    page.text_input(key="people").set_value("12").run()
    page.button(key="keep").click().run()
    (kept,) = sessions.summaries(engine)
    assert (kept.name, kept.state, kept.plan.tastings) == ("Is the lemon noticed?", "planned", 12)
    assert page.success


def test_it_asks_a_direction_of_a_paired_comparison(engine: Engine, page: AppTest) -> None:
    page.selectbox(key="method").select("paired").run()
    page.text_input(key="name").input("More sour?")
    page.radio(key="expected").set_value("B, Reference bottle S: one-sided").run()
    page.button(key="keep").click().run()
    (kept,) = sessions.summaries(engine)
    assert (kept.plan.attribute, kept.plan.expected, kept.plan.sides) == ("more sour", "B", 1)


def test_it_says_how_many_tastings_are_needed(page: AppTest) -> None:
    """40 for p_d 0.3, alpha 0.05, beta 0.2: ISO 4120:2004 table A.3, from memory; computed."""
    page.text_input(key="beta").set_value("0.2").run()
    assert any("You need 40 tastings (19 correct answers)." in text.value for text in page.markdown)


@pytest.mark.parametrize(
    ("names", "sentence"),
    [("P1\nP2\np1", "listed twice"), ("", "1 to 500 assessors")],
)
def test_a_panel_that_cannot_be_is_told(page: AppTest, names: str, sentence: str) -> None:
    page.text_area(key="names-8").input(names).run()
    assert any(sentence in error.value for error in page.error)
    assert not page.exception


def test_the_same_drink_twice_is_refused(page: AppTest) -> None:
    page.selectbox(key="b").select_index(0).run()
    assert any("the same drink" in error.value for error in page.error)


def test_a_session_needs_a_name(engine: Engine, page: AppTest) -> None:
    page.button(key="keep").click().run()
    assert any("name" in error.value.lower() for error in page.error)
    assert sessions.summaries(engine) == ()
