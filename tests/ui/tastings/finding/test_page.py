"""The page of findings."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tests.panel.sessions import amendment, changed, exclusion
from tests.ui.reading import linked, read, tabled
from tests.ui.workshop import START, answered, closed, keep, opened, planned, some_closed

OpenPage = Callable[[str], AppTest]
LATER = START + timedelta(days=40)


def table(page: AppTest, column: str) -> dict[str, list[str]]:
    """The first table that has this column."""
    values = next(shown.value for shown in page.table if column in shown.value).to_dict("list")
    return {key: [str(cell).replace("\\", "") for cell in cells] for key, cells in values.items()}


def asked(open_page: OpenPage, host: AppTest, session_id: str) -> AppTest:
    host.query_params["session"] = session_id
    return open_page("tasting")


def test_with_nothing_planned_it_leads_to_a_plan(open_page: OpenPage) -> None:
    page = open_page("tasting")

    assert "No session is closed yet" in read(page)
    assert linked(page)["Plan a session"] == "new"


def test_without_a_closed_session_it_leads_to_the_planned_one(
    open_page: OpenPage, engine: Engine
) -> None:
    keep(engine, planned("next"))
    page = open_page("tasting")

    assert linked(page)["Run a session"] == "tastings"
    assert not page.exception


def test_the_session_that_was_closed_last_is_read_first(
    open_page: OpenPage, engine: Engine
) -> None:
    keep(engine, closed(planned("early"), 9, 3, day=32), closed(planned("late"), 5, 7, day=40))
    page = open_page("tasting")

    assert page.selectbox(key="session_to_read").value == "late"
    assert "Spritz, v1 and Spritz, v2 were not shown to differ" in read(page)


@pytest.fixture
def some(engine: Engine) -> None:
    keep(engine, *some_closed(), answered(opened(planned("now")), 3, 2))


@pytest.mark.usefixtures("some")
def test_the_address_chooses_the_session(open_page: OpenPage, host: AppTest) -> None:
    page = asked(open_page, host, "acid")

    assert "A difference was shown between Spritz, v1 and Spritz, v2" in read(page)
    assert page.query_params["session"] == "acid"


@pytest.mark.usefixtures("some")
def test_choosing_changes_the_address(open_page: OpenPage) -> None:
    page = open_page("tasting")
    page.selectbox(key="session_to_read").select("liking").run()

    assert "Spritz, v2 was preferred to Reference bottle R" in read(page)
    assert page.query_params["session"] == "liking"


@pytest.mark.usefixtures("some")
def test_the_evidence_cites_the_published_row(open_page: OpenPage, host: AppTest) -> None:
    """FAO document V7180E, Appendix A: 8 of 12 in a triangle test at 0.05."""
    page = asked(open_page, host, "acid")

    assert "10 of 12 correct; 8 needed (α = 0.05, n = 12)" in read(page)
    assert "V7180E" in tabled(page)


@pytest.mark.usefixtures("some")
def test_the_plan_is_shown_as_it_was_fixed(open_page: OpenPage, host: AppTest) -> None:
    plan = table(asked(open_page, host, "syrup"), "As planned")
    fixed = dict(zip(plan["What"], plan["As planned"], strict=True))

    assert fixed["Method"] == "Paired comparison (ISO 5495)"
    assert fixed["Question"] == "Which sample is more sour?"
    assert fixed["Direction"] == "one-sided: sample B was expected to be more sour"
    assert fixed["Tastings"] == "12 assessors × 1 set = 12"
    assert fixed["Closed"] == "12 Feb 2026, with all planned answers"


@pytest.mark.usefixtures("some")
def test_closing_early_is_told_with_its_reason(open_page: OpenPage, host: AppTest) -> None:
    page = asked(open_page, host, "unknown")

    assert "Closed early, with 8 of 12 planned answers: The bottle broke" in read(page)
    ending = table(page, "As planned")["As planned"][-1]
    assert ending.endswith("early, with 8 of 12 planned answers: The bottle broke")


@pytest.mark.usefixtures("some")
def test_the_key_stands_beside_each_answer(open_page: OpenPage, host: AppTest) -> None:
    key = table(asked(open_page, host, "acid"), "Counted")

    assert key["Counted"].count("yes") == 10
    for order, codes, chosen, letter in zip(
        key["Order"], key["Codes"], key["Chosen"], key["Sample"], strict=True
    ):
        assert order[codes.split().index(chosen)] == letter


@pytest.mark.usefixtures("some")
def test_a_session_that_nobody_answered_gets_a_sentence(open_page: OpenPage, host: AppTest) -> None:
    page = asked(open_page, host, "nobody")

    assert "No answer counts, so there is nothing to conclude." in read(page)
    assert len(page.table) == 1
    assert not page.exception


@pytest.mark.usefixtures("some")
def test_an_open_session_in_the_address_stays_sealed(open_page: OpenPage, host: AppTest) -> None:
    page = asked(open_page, host, "now")

    assert "Session now is open. Its finding can be read here once it is closed." in read(page)
    assert page.selectbox(key="session_to_read").value == "nobody"


def test_an_abandoned_session_in_the_address_stays_sealed_for_ever(
    open_page: OpenPage, host: AppTest, engine: Engine
) -> None:
    given_up = opened(planned("spilt")).abandoned(LATER, "The bottle broke")
    keep(engine, closed(planned("acid"), 10, 2), given_up)

    assert "Session spilt is abandoned." in read(asked(open_page, host, "spilt"))


def test_corrections_count_and_are_told(open_page: OpenPage, engine: Engine) -> None:
    running = answered(opened(planned("acid")), 10, 2)
    corrections = {"amendments": (amendment(running),), "exclusions": (exclusion("Assessor 12"),)}
    keep(engine, changed(running, **corrections).closed(LATER))
    said = read(open_page("tasting"))

    assert "9 of 11 correct" in said
    assert "1 assessor was excluded before the session was closed; the record says why." in said


@pytest.mark.usefixtures("some")
def test_an_unknown_session_in_the_address_is_one_sentence(
    open_page: OpenPage, host: AppTest
) -> None:
    page = asked(open_page, host, "no-such")

    (error,) = page.error
    assert error.value.replace("\\", "") == "No session is kept under the id 'no-such'"
    assert not page.exception


def test_what_people_typed_is_shown_as_it_is(open_page: OpenPage, engine: Engine) -> None:
    names = ("Anna *bold*", "<b>Ben</b>", "[x](http://a)")
    keep(engine, closed(planned("odd", assessors=names), 3, 0))
    page = open_page("tasting")

    assert tuple(table(page, "Counted")["Assessor"]) == names
    assert any("\\*bold\\*" in str(shown.value) for shown in page.table)


def test_invented_data_are_labelled(open_page: OpenPage, engine: Engine) -> None:
    made_up = closed(planned("acid"), 10, 2).model_copy(update={"invented": "by a script"})
    keep(engine, made_up)

    assert "Invented data: by a script" in read(open_page("tasting"))


@pytest.mark.usefixtures("some")
@pytest.mark.parametrize("session_id", ["acid", "syrup", "liking", "unknown"])
def test_no_word_calls_two_drinks_the_same(
    open_page: OpenPage, host: AppTest, session_id: str
) -> None:
    words = set(read(asked(open_page, host, session_id)).casefold().split())

    assert not {"same", "significant"} & words
