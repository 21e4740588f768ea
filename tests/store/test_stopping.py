"""The running decision of a sequential test: whether, never which way."""

import pytest
from sqlalchemy import Engine

from tasting.errors import InputError, LifeCycleError
from tasting.insight.findings.tally import Tally
from tasting.store import sessions, stopping
from tests.ui.workshop import START, answered, keep, opened, planned

PLAN = {"sequential": True, "p_d": 0.5, "beta": 0.1}
"""ISO 16820 example: lines -1.624 + 0.5 n and 2.085 + 0.5 n (read in the identical GOST R)."""


def kept(engine: Engine, right: int, wrong: int, **more: object) -> None:
    keep(engine, answered(opened(planned("run", **{**PLAN, **more})), right, wrong))


@pytest.mark.parametrize(
    ("right", "wrong", "enough"),
    [(2, 2, False), (5, 0, True), (0, 5, True), (4, 3, False), (0, 0, False), (7, 2, True)],
)
def test_it_says_whether_and_nothing_else(
    engine: Engine, right: int, wrong: int, enough: bool
) -> None:
    """Counts against the lines, worked out by hand."""
    kept(engine, right, wrong)

    assert stopping.enough_answers(engine, "run") is enough


def test_as_long_as_only_one_decision_is_possible_it_says_go_on(engine: Engine) -> None:
    """Four wrong ones are below 0.5 x 4 - 1.624; four right ones are not above 4.085."""
    kept(engine, 0, 4)

    assert stopping.enough_answers(engine, "run") is False
    with pytest.raises(InputError, match="8 answers are missing"):
        sessions.close_session(engine, "run", START.replace(month=5))


@pytest.mark.parametrize(("right", "wrong"), [(5, 0), (0, 5)])
def test_once_decided_it_closes_without_a_reason(engine: Engine, right: int, wrong: int) -> None:
    kept(engine, right, wrong)
    done = sessions.close_session(engine, "run", START.replace(month=5))

    assert (done.state, done.early, done.early_reason) == ("closed", True, "")
    assert sessions.closed_session(engine, "run") == done


def test_without_a_decision_it_still_needs_one(engine: Engine) -> None:
    kept(engine, 2, 2)

    with pytest.raises(InputError, match="to close early, say why"):
        sessions.close_session(engine, "run", START.replace(month=5))


def test_a_test_of_fixed_size_has_no_running_decision(engine: Engine) -> None:
    kept(engine, 5, 0, sequential=False)

    with pytest.raises(LifeCycleError, match="no sequential test"):
        stopping.enough_answers(engine, "run")


def test_answers_of_an_excluded_assessor_do_not_decide(engine: Engine) -> None:
    kept(engine, 5, 0)
    first = sessions.summary(engine, "run").plan.assessors[0]
    sessions.exclude_assessor(
        engine,
        "run",
        sessions.Exclusion(assessor=first, reason="a cold", made_at=START.replace(month=4)),
    )

    assert stopping.enough_answers(engine, "run") is False


def test_a_document_whose_answers_are_out_of_order_decides_as_they_came() -> None:
    """Five right, then five wrong: the first five decide, in whatever order they are written."""
    session = answered(opened(planned("run", **PLAN)), 5, 5)
    shuffled = session.model_copy(update={"answers": session.answers[::-1]})

    assert shuffled.counted_answers == session.counted_answers
    assert Tally.of_session(shuffled).given == Tally.of_session(session).given
