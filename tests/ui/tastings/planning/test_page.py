"""Planning a session."""

from collections.abc import Callable
from datetime import date, time

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

import sample_sessions
from tasting.records import now
from tasting.store import documents, sessions
from tasting.store.database import writing
from tests.ui import workshop
from tests.ui.conftest import visit
from tests.ui.reading import read

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
    page.text_input(key="replicates").set_value("1").run()
    page.button(key="keep").click().run()
    (kept,) = sessions.summaries(engine)
    assert (kept.name, kept.state, kept.plan.tastings) == ("Is the lemon noticed?", "planned", 12)
    assert (page.title[0].value, page.query_params["id"]) == (kept.name, kept.id)


def test_a_tasting_is_planned_for_today_unless_another_day_is_chosen(
    engine: Engine, page: AppTest
) -> None:
    assert page.date_input(key="taste_on").value == now().astimezone().date()
    page.date_input(key="taste_on").set_value(date(2026, 11, 28))
    page.time_input(key="taste_at").set_value(time(19, 30)).run()
    page.button(key="keep").click().run()
    (kept,) = sessions.summaries(engine)
    assert (kept.plan.taste_on, kept.plan.taste_at) == (date(2026, 11, 28), time(19, 30))
    assert "Planned for 28 Nov 2026, 19:30 · Triangle test" in read(page)
    page = visit(page, "new", edit=kept.id)
    assert page.time_input(key="taste_at").value == time(19, 30)


def test_a_day_that_has_passed_is_said(page: AppTest) -> None:
    page.date_input(key="taste_on").set_value(date(2026, 11, 1)).run()

    assert "1 Nov 2026 has passed. Choose the day of the tasting." in [
        one.value for one in page.warning
    ]


def test_it_asks_a_direction_of_a_paired_comparison(engine: Engine, page: AppTest) -> None:
    page.radio(key="question").set_value("Which is more …?").run()
    page.text_input(key="name").input("More sour?")
    page.radio(key="expected").set_value("B, Reference bottle S: one-sided").run()
    page.button(key="keep").click().run()
    (kept,) = sessions.summaries(engine)
    assert (kept.plan.attribute, kept.plan.expected, kept.plan.sides) == ("more sour", "B", 1)


def test_it_says_how_many_tastings_are_needed(page: AppTest) -> None:
    """40 for p_d 0.3, alpha 0.05, beta 0.2: ISO 4120:2004 table A.3, from memory; computed."""
    page.text_input(key="p_d-0.5").set_value("0.3").run()
    assert any("You need 40 tastings (19 correct answers)." in text.value for text in page.markdown)


@pytest.mark.parametrize(
    ("names", "sentence"),
    [("P1\nP2\np1", "listed twice"), ("", "1–500 assessors")],
)
def test_a_panel_that_cannot_be_is_told(page: AppTest, names: str, sentence: str) -> None:
    page.text_area(key="names-8").input(names).run()
    assert any(sentence in error.value for error in page.error)
    assert not page.exception


def test_the_same_drink_twice_is_refused(page: AppTest) -> None:
    page.selectbox(key="b").select_index(0).run()
    assert any("the same drink" in error.value for error in page.error)


def test_a_session_needs_a_name(engine: Engine, page: AppTest) -> None:
    page.text_input(key="name").set_value(" ").run()
    page.button(key="keep").click().run()
    assert any("name" in error.value.lower() for error in page.error)
    assert sessions.summaries(engine) == ()


def test_what_reaches_the_power_is_proposed_until_another_number_is_typed(page: AppTest) -> None:
    """p_d 0.5 in a triangle at 0.05 and 0.2 takes 16: ISO 4120:2004 table A.3, from memory."""
    assert [page.text_input(key=key).value for key in ("people", "replicates")] == ["8", "2"]
    page.text_input(key="people").set_value("4").run()
    assert page.text_input(key="replicates").value == "4"
    page.text_input(key="replicates").set_value("3").run()
    page.text_input(key="people").set_value("16").run()
    assert page.text_input(key="replicates").value == "3"


def test_similarity_is_planned_with_one_set_each(engine: Engine, page: AppTest) -> None:
    page.radio(key="question").set_value("Are they similar?").run()
    page.button(key="keep").click().run()
    (kept,) = sessions.summaries(engine)
    assert (kept.plan.aim, kept.plan.replicates, kept.plan.method) == ("similarity", 1, "triangle")


def test_it_names_the_session_until_another_name_is_typed(page: AppTest) -> None:
    proposed = page.text_input(key="name").value
    page.radio(key="question").set_value("Which is preferred?").run()
    assert proposed == "Do Reference bottle R and Reference bottle S differ?"
    assert page.text_input(key="name").value.endswith("which is preferred?")
    page.text_input(key="name").set_value("Mine").run()
    page.radio(key="question").set_value("Do they differ?").run()
    assert page.text_input(key="name").value == "Mine"


def test_a_tasting_of_two_drinks_takes_few_fields(page: AppTest) -> None:
    """Nothing has to be typed; six fields stand before the folds, beside the tick for alone."""
    typed = ("a", "b", "question", "purpose", "people", "replicates", "name")
    assert [page.session_state[key] != "" for key in typed].count(False) == 1, "the purpose"


def test_a_planned_session_is_edited_until_it_is_opened(
    engine: Engine, host: AppTest, page: AppTest
) -> None:
    plan = {"replicates": 2, "serving_ml": 25, "minutes_open": 20, "alpha": 0.01}
    old = workshop.planned("old", "paired", expected="B", **plan)
    with writing(engine) as connection:
        sessions.insert_sessions(connection, [old])
    page = visit(host, "new", edit="old")
    assert page.title[0].value == "Edit the plan"
    page.text_input(key="serving_ml").set_value("40").run()
    page.button(key="keep").click().run()
    new = sessions.summary(engine, page.query_params["id"])
    told = {name for name, value in dict(old.plan).items() if getattr(new.plan, name) != value}
    assert told == {"serving_ml", "a", "b"}, "samples are found by id and have their present names"
    assert (new.plan.a.id, new.plan.b.id) == (old.plan.a.id, old.plan.b.id)
    assert sessions.summary(engine, "old").abandoned_reason == "Replaced by an edited plan"


def test_an_open_session_is_not_edited(engine: Engine, host: AppTest, page: AppTest) -> None:
    with writing(engine) as connection:
        sessions.insert_sessions(connection, [workshop.opened(workshop.planned("open"))])
    page = visit(host, "new", edit="open")
    assert page.title[0].value == "New tasting"
    assert "its plan is fixed" in page.error[0].value


def test_invented_drinks_are_labelled_once(engine: Engine, open_page: OpenPage) -> None:
    documents.fill(engine, *map(documents.read_document, sample_sessions.documents()))

    told = [one.value for one in open_page("new").caption if "Invented data" in one.value]

    assert len(told) == 1
