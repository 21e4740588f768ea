"""A sequential session while it is open, and after it is closed."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tests.ui.reading import read, sent, tabled
from tests.ui.workshop import answered, closed, keep, opened, planned

Show = Callable[..., AppTest]
PLAN = {"sequential": True, "p_d": 0.5, "beta": 0.1}
GO_ON = "go on, there are not enough answers yet"
ENOUGH = "enough answers are in. You may close"


@pytest.mark.parametrize(("right", "wrong", "said"), [(2, 2, GO_ON), (5, 0, ENOUGH)])
def test_the_run_page_says_only_whether_there_are_enough(
    show_session: Show, engine: Engine, right: int, wrong: int, said: str
) -> None:
    keep(engine, answered(opened(planned("run", **PLAN)), right, wrong))

    assert said in read(show_session("run"))


@pytest.mark.parametrize(("right", "wrong"), [(5, 0), (0, 5)])
def test_the_run_page_says_the_same_whichever_way_it_decided(
    show_session: Show, engine: Engine, right: int, wrong: int
) -> None:
    """Of what is said of the test there is one sentence, and it names no direction."""
    keep(engine, answered(opened(planned("run", **PLAN)), right, wrong))
    page = show_session("run")
    said = [line for line in read(page).splitlines() if "Sequential test" in line]

    assert said == ["Sequential test: enough answers are in. You may close, and need not say why."]
    assert "Stopping means that the test has decided; which way, you see after closing" in read(
        page
    )
    assert "similarity" not in sent(page)


def test_the_run_page_says_when_it_looks_again(show_session: Show, engine: Engine) -> None:
    """The last look is the one after 11 of 12 answers."""
    looks = {"first_look": 5, "look_every": 2}
    keep(engine, answered(opened(planned("run", **PLAN, **looks)), 3, 3))
    assert "It looks again after 7 answers." in read(show_session("run"))


def test_the_findings_page_draws_the_sequence(show_session: Show, engine: Engine) -> None:
    keep(engine, closed(planned("run", **PLAN), 5, 0))
    page = show_session("run", "Numbers and sources")

    assert "decided for a difference after 5 of 5 answers" in read(page)
    assert "It reached the line for a difference after 5 answers." in read(page)
    assert "vega" in sent(page).casefold()
    assert not page.exception
    plan = tabled(show_session("run", "Plan"))
    assert "with 5 of at most 12 answers, as the sequential test had decided" in plan


def test_the_findings_page_looks_at_the_panel(show_session: Show, engine: Engine) -> None:
    keep(engine, closed(planned("acid", replicates=2), 14, 10))
    page = show_session("acid", "Panel checks")

    assert "15 checks. Even if nothing is wrong, there is a 54 % chance" in read(page)
    assert "Does the serving order matter?" in tabled(page)
    assert not page.exception
    numbers = tabled(show_session("acid", "Numbers and sources"))
    assert "likelihood of the model of replicates" in numbers
