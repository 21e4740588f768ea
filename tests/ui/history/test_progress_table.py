"""The way to the reference in words and in a table."""

import pytest
from sqlalchemy import Engine

from tasting.insight.findings.progress import steps
from tasting.ui.history.progress_table import (
    INDEPENDENT,
    by_reference,
    latest_sentence,
    step_sentence,
    steps_chart,
    steps_table,
)
from tests.insight.findings.test_progress import against_r
from tests.ui.reading import read, tabled
from tests.ui.workshop import keep


def walk(before: int, after: int):
    return [against_r("soon", "spritz-1", before, 35), against_r("late", "spritz-2", after, 40)]


@pytest.mark.parametrize(
    ("before", "after", "claim"),
    [
        (12, 2, "The later version was shown to be closer, by ∞ (95 % interval "),
        (
            2,
            12,
            "The later version was shown to be farther, by ∞ (95 % interval ",
        ),
        (8, 6, "The later version was not shown to be closer or farther: difference in d′ 0."),
        (12, 12, "All answers were correct, so neither distance can be measured."),
    ],
)
def test_every_outcome_has_its_sentence(before: int, after: int, claim: str) -> None:
    (step,) = steps(walk(before, after))

    assert step_sentence(step).startswith("From Reference bottle R (any difference): d′ = ")
    assert claim in step_sentence(step)


def test_the_earlier_version_stands_first() -> None:
    table = steps_table(steps(walk(8, 6)))

    assert list(table["Version"]) == ["Spritz, v1", "Spritz, v2"]
    assert list(table["Correct"]) == ["8 of 12", "6 of 12"]


def test_the_latest_version_is_told_beside_the_one_before() -> None:
    found = steps(walk(8, 6))
    later, earlier = (one.distance.value for one in (found[0].later, found[0].earlier))

    assert latest_sentence(found).startswith(
        "Not shown that v2 is closer than v1. Distance from Reference bottle R: "
        f"v2 d′ {later:.2f} ("
    )
    assert f", v1 {earlier:.2f} (" in latest_sentence(found)


@pytest.mark.parametrize(
    ("before", "after", "headline"),
    [
        (12, 2, "Shown: v2 is closer than v1. "),
        (2, 12, "Shown: v2 is farther away than v1. "),
        (12, 12, "Not shown that v2 is closer than v1. "),
    ],
)
def test_what_is_shown_comes_before_the_numbers(before: int, after: int, headline: str) -> None:
    assert latest_sentence(steps(walk(before, after))).startswith(headline)


def test_where_answers_count_as_independent_it_is_said_at_the_number() -> None:
    once, twice = walk(8, 6), [*walk(8, 6), against_r("again", "spritz-2", 5, 45)]

    assert INDEPENDENT not in latest_sentence(steps(once))
    assert latest_sentence(steps(twice)).count(INDEPENDENT) == 1
    assert INDEPENDENT in step_sentence(steps(once)[0])  # of the difference of the two


def test_chart_and_text_show_each_version_once_in_order() -> None:
    chart, text = steps_chart(steps([*walk(8, 6), against_r("then", "spritz-3", 5, 45)]))
    drawn = list(chart.to_dict()["datasets"].values())[0]

    assert [point["version"] for point in drawn] == ["v1", "v2", "v3"]
    assert all(point["said"] in text for point in drawn)
    assert all(point["low"] <= point["value"] <= point["high"] <= 5 for point in drawn)


def test_each_reference_stands_by_itself() -> None:
    found = steps(walk(8, 6))

    assert by_reference(found) == [list(found)]
    assert by_reference([]) == []


def test_the_history_page_shows_the_way(engine: Engine, open_page) -> None:
    keep(engine, *walk(9, 6))
    page = open_page("history")
    page.session_state["look"] = "Closer to the reference?"
    page.run()

    assert "was not shown to be closer or farther" in read(page)
    assert "Not shown that v2 is closer than v1." in read(page)
    assert "9 of 12" in tabled(page)
