"""The page of a session once it is closed, or given up."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.panel.session import Session
from tests.panel.sessions import amendment, changed, exclusion
from tests.ui.reading import read, tabled, tables
from tests.ui.workshop import START, answered, closed, keep, opened, planned, some_closed

Show = Callable[..., AppTest]
LATER = START + timedelta(days=40)


def table(page: AppTest, column: str) -> dict[str, list[str]]:
    """The first table that has this column."""
    values = next(shown for shown in tables(page) if column in shown).to_dict("list")
    return {key: [str(cell).replace("\\", "") for cell in cells] for key, cells in values.items()}


@pytest.fixture
def some(engine: Engine) -> None:
    keep(engine, *some_closed(), answered(opened(planned("now")), 3, 2))


@pytest.mark.usefixtures("some")
def test_the_address_chooses_the_session(show_session: Show) -> None:
    page = show_session("acid")

    assert page.title[0].value == "Session acid"
    assert "A difference was shown between v1 and v2" in read(page)
    assert "Spritz, v1" not in read(page), "within one formula a sample is called by its version"


@pytest.mark.usefixtures("some")
def test_what_differs_between_the_drinks_stands_beside_the_finding(show_session: Show) -> None:
    """The label of R says 6.4 g/L; what v2 holds is computed with its range."""
    figures = table(show_session("liking"), "A: Reference bottle R")

    assert figures["Figure"][3].startswith("TA")
    assert figures["A: Reference bottle R"][3].startswith("6.40 (6.27–6.53")
    assert "–" in figures["B: v2"][3]
    in_v2 = float(figures["B: v2"][3].partition(" ")[0])
    difference = f"{in_v2 - 6.4:+.2f}".replace("-", "\N{MINUS SIGN}")
    assert figures["Difference"][3].startswith(f"{difference} ± ")
    assert figures["Difference"][4] == "–", "nobody measured the pH of R"


@pytest.mark.parametrize(
    ("session", "label", "filled"),
    [
        (
            closed(planned("acid"), 10, 2),
            "Plan a paired comparison",
            ("spritz-1", "spritz-2", "paired", "more sour"),
        ),
        (
            closed(planned("liking", "preference", "R", "spritz-2"), 1, 11),
            "Plan a paired comparison",
            ("R", "spritz-2", "paired", "more sour"),
        ),
        (
            closed(planned("few", "triangle", "S", "spritz-1"), 5, 7),
            "Plan it again",
            ("S", "spritz-1", "triangle", ""),
        ),
        (
            closed(planned("low", "triangle", "S", "spritz-1"), 0, 12),
            "New tasting of these two",
            ("S", "spritz-1", "triangle", ""),
        ),
    ],
    ids=lambda one: getattr(one, "id", ""),
)
def test_the_button_fills_in_the_test_that_is_suggested(
    show_session: Show, engine: Engine, session: Session, label: str, filled: tuple[str, ...]
) -> None:
    keep(engine, session)
    page = show_session(session.id)
    assert page.button(key="next").label == label
    page.button(key="next").click().run()

    assert page.title[0].value == "New tasting"
    asked = [page.text_input(key="attribute").value] if filled[3] else [""]
    drinks = [page.selectbox(key=letter).value.id for letter in "ab"]
    assert (*drinks, page.selectbox(key="method").value, *asked) == filled


@pytest.mark.usefixtures("some")
def test_the_evidence_cites_the_published_row(show_session: Show) -> None:
    """FAO document V7180E, Appendix A: 8 of 12 in a triangle test at 0.05."""
    page = show_session("acid", "Numbers and sources")

    assert "10 of 12 correct; 8 needed (α = 0.05, n = 12)" in read(page)
    assert "V7180E" in tabled(page)


@pytest.mark.usefixtures("some")
def test_the_plan_is_shown_as_it_was_fixed(show_session: Show) -> None:
    plan = table(show_session("syrup", "Plan"), "As planned")
    fixed = dict(zip(plan["What"], plan["As planned"], strict=True))

    assert fixed["Method"] == "Paired comparison (ISO 5495:2005)"
    assert fixed["Question"] == "Which sample is more sour?"
    assert fixed["Direction"] == "one-sided: sample B was expected to be more sour"
    assert fixed["Tastings"] == "12 assessors × 1 set = 12"
    assert fixed["Closed"] == "12 Feb 2026, with all planned answers"


@pytest.mark.usefixtures("some")
def test_closing_early_is_told_with_its_reason(show_session: Show) -> None:
    page = show_session("unknown", "Plan")

    assert "Closed early, with 8 of 12 planned answers: The bottle broke" in read(page)
    ending = table(page, "As planned")["As planned"][-1]
    assert ending.endswith("early, with 8 of 12 planned answers: The bottle broke")


@pytest.mark.usefixtures("some")
def test_the_key_stands_beside_each_answer(show_session: Show) -> None:
    key = table(show_session("acid", "Answers and serving key"), "Counted")

    assert key["Counted"].count("yes") == 10
    for order, codes, chosen, letter in zip(
        key["Order"], key["Codes"], key["Chosen"], key["Sample"], strict=True
    ):
        assert order[codes.split().index(chosen)] == letter


@pytest.mark.usefixtures("some")
def test_a_session_that_nobody_answered_gets_a_sentence(show_session: Show) -> None:
    page = show_session("nobody")

    assert "No answer counts, so there is nothing to conclude." in read(page)
    assert len(tables(page)) == 1
    assert not page.exception


def test_a_session_that_was_given_up_stays_sealed_permanently(
    show_session: Show, engine: Engine
) -> None:
    given_up = opened(planned("spilt")).abandoned(LATER, "The bottle broke")
    keep(engine, closed(planned("acid"), 10, 2), given_up)
    page = show_session("spilt")

    assert "Given up: The bottle broke. Its serving key stays sealed." in read(page)
    assert not page.get("segmented_control")


def test_corrections_count_and_are_told(show_session: Show, engine: Engine) -> None:
    running = answered(opened(planned("acid")), 10, 2)
    corrections = {"amendments": (amendment(running),), "exclusions": (exclusion("Assessor 12"),)}
    keep(engine, changed(running, **corrections).closed(LATER))
    said = read(show_session("acid"))

    assert "9 of 11 correct" in said
    assert "1 assessor was excluded before the session was closed; the record says why." in said


def test_what_people_typed_is_shown_as_it_is(show_session: Show, engine: Engine) -> None:
    names = ("Anna *bold*", "<b>Ben</b>", "[x](http://a)")
    keep(engine, closed(planned("odd", assessors=names), 3, 0))
    page = show_session("odd", "Answers and serving key")

    assert tuple(table(page, "Counted")["Assessor"]) == names
    assert any("*bold*" in str(shown) for shown in tables(page))


def test_invented_data_are_labelled(show_session: Show, engine: Engine) -> None:
    made_up = closed(planned("acid"), 10, 2).model_copy(update={"invented": "by a script"})
    keep(engine, made_up)

    assert "Invented data: by a script" in read(show_session("acid"))


@pytest.mark.usefixtures("some")
@pytest.mark.parametrize("session_id", ["acid", "syrup", "liking", "unknown"])
def test_no_word_calls_two_drinks_the_same(show_session: Show, session_id: str) -> None:
    words = set(read(show_session(session_id)).casefold().split())

    assert not {"same", "significant"} & words
