"""An assessor's record in words, chart and table, and on the page."""

from datetime import UTC, datetime, timedelta

from sqlalchemy import Engine

from tasting.insight.findings.assessor_record import TastedSession, assessor_record
from tasting.store import sessions
from tasting.ui.history.assessor_chart import beyond, record_chart, record_sentence
from tests.ui.reading import linked, read, tabled
from tests.ui.workshop import answered, closed, keep, opened, planned, some_closed

START = datetime(2026, 1, 10, tzinfo=UTC)


def record(right: int, n: int, times: int = 1, others: tuple[int, int] = (20, 40)):
    return assessor_record(
        TastedSession(START + timedelta(days=day), "triangle", n, right, *others)
        for day in range(times)
    )


def test_right_answers_stand_beside_what_guessing_gives() -> None:
    """scipy.stats.binom.interval(0.95, 30, 1/3) is 5 to 15."""
    said = record_sentence("P07", record(20, 30))

    assert said == (
        "P07: 1 session, 30 tastings. 20 of 30 correct; guessing gives 10.0 on average and 5–15 in "
        "95 % of cases."
    )


def test_without_a_right_answer_nothing_is_claimed() -> None:
    none = assessor_record([TastedSession(START, "preference", 2, None)])

    assert record_sentence("P07", none).endswith("None of them had a correct answer to guess.")


def test_chart_text_and_table_say_the_same() -> None:
    chart, text, table = record_chart("P07", record(8, 12, 2).periods)

    assert list(table["Correct"]) == ["8 of 12", "8 of 12"]
    assert table["d′ (95 % interval)"][0] in text
    assert "Sensory distance d′" in str(chart.to_dict())
    assert text.count("the others 1.") == 2


def test_what_reaches_beyond_the_chart_is_told_and_stays_in_the_table() -> None:
    periods = record(12, 12).periods
    _, _, table = record_chart("P07", periods)

    assert beyond(periods)
    assert table["d′ (95 % interval)"][0].startswith("∞ (")
    assert not beyond(record(40, 100).periods)


def test_the_page_shows_one_record_and_ranks_nobody(engine: Engine, open_page) -> None:
    keep(engine, *some_closed(), answered(opened(planned("now")), 3, 2))
    page = open_page("history")
    page.session_state["look"] = "Assessors"
    page.run()
    assert "it ranks nobody" not in read(page)
    page.selectbox(key="assessor").select("Assessor 1").run()

    assert not page.exception
    assert "Assessor 1: 4 sessions, 4 tastings. " in read(page)
    assert "This describes this panel" in read(page)
    assert "of 3" in tabled(page)
    assert linked(page)["Erase this pseudonym on request"] == "host"


def test_an_erased_pseudonym_is_offered_no_more(engine: Engine, open_page) -> None:
    keep(engine, closed(planned("acid"), 10, 2))
    sessions.erase_pseudonym(engine, "Assessor 1")
    page = open_page("history")
    page.session_state["look"] = "Assessors"
    page.run()

    assert len(page.selectbox(key="assessor").options) == 11
