"""A sequential session on the run page while it is open, and on the findings page afterwards."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tests.ui.reading import read, sent, tabled
from tests.ui.workshop import answered, closed, keep, opened, planned

OpenPage = Callable[[str], AppTest]
PLAN = {"sequential": True, "p_d": 0.5, "beta": 0.1}
GO_ON = "go on, there are not enough answers yet"
ENOUGH = "enough answers are in. You may close"


@pytest.mark.parametrize(("right", "wrong", "said"), [(2, 2, GO_ON), (5, 0, ENOUGH)])
def test_the_run_page_says_only_whether_there_are_enough(
    open_page: OpenPage, engine: Engine, right: int, wrong: int, said: str
) -> None:
    keep(engine, answered(opened(planned("run", **PLAN)), right, wrong))

    assert said in read(open_page("tastings"))


@pytest.mark.parametrize(("right", "wrong"), [(5, 0), (0, 5)])
def test_the_run_page_says_the_same_whichever_way_it_decided(
    open_page: OpenPage, engine: Engine, right: int, wrong: int
) -> None:
    """Of what is said of the test there is one sentence, and it names no direction."""
    keep(engine, answered(opened(planned("run", **PLAN)), right, wrong))
    page = open_page("tastings")
    said = [line for line in read(page).splitlines() if "Sequential test" in line]

    assert said == ["Sequential test: enough answers are in. You may close, and need not say why."]
    assert "That the test stopped says that it decided; which way is said after closing" in read(
        page
    )
    assert "similarity" not in sent(page)


def test_the_run_page_says_when_it_looks_again(open_page: OpenPage, engine: Engine) -> None:
    """The last look is the one after 11 of 12 answers."""
    looks = {"first_look": 5, "look_every": 2}
    keep(engine, answered(opened(planned("run", **PLAN, **looks)), 3, 3))
    assert "It looks again after 7 answers." in read(open_page("tastings"))


def test_the_findings_page_draws_the_sequence(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, closed(planned("run", **PLAN), 5, 0))
    page = open_page("tasting")

    assert "decided for a difference after 5 of 5 answers" in read(page)
    assert "It reached the line for a difference after 5 answers." in read(page)
    assert "with 5 of at most 12 answers, as the sequential test had decided" in tabled(page)
    assert "vega" in sent(page).casefold()
    assert not page.exception


def test_the_findings_page_looks_at_the_panel(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, closed(planned("acid", replicates=2), 14, 10))
    page = open_page("tasting")

    assert "Is the panel well?" in read(page)
    assert "15 looks: although all is well" in read(page)
    assert "Does the serving order matter?" in tabled(page)
    assert "likelihood of the model of replicates" in tabled(page)
    assert not page.exception
