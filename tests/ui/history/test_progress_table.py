"""The way to the reference in words and in a table."""

import pytest
from sqlalchemy import Engine

from tasting.insight.findings.progress import steps
from tasting.ui.history.progress_table import step_sentence, steps_table
from tests.insight.findings.test_progress import against_r
from tests.ui.reading import read, tabled
from tests.ui.workshop import keep


def walk(before: int, after: int):
    return [against_r("soon", "spritz-1", before, 35), against_r("late", "spritz-2", after, 40)]


@pytest.mark.parametrize(
    ("before", "after", "claim"),
    [
        (12, 2, "The later version was shown to be closer, by ∞ (95 % likelihood interval "),
        (
            2,
            12,
            "The later version was shown to be farther, by ∞ (95 % likelihood interval ",
        ),
        (8, 6, "The later version was not shown to be closer or farther: closer by 0."),
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


def test_the_history_page_shows_the_way(engine: Engine, open_page) -> None:
    keep(engine, *walk(9, 6))
    page = open_page("history")
    page.session_state["together-steps"] = True
    page.run()

    assert "was not shown to be closer or farther" in read(page)
    assert "9 of 12" in tabled(page)
