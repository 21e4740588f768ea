"""Who tastes alone chooses a place before the code under the cup is known."""

from datetime import timedelta

import pytest
from sqlalchemy import Engine

from tasting.errors import InputError
from tasting.panel.ballots import TypedAnswer
from tasting.store import ballots, paper, sessions
from tests.giving import record_answer
from tests.ui.workshop import START, keep, opened, planned

LATER = START + timedelta(days=31, hours=1)
SECRET = b"a secret of these tests, 32 bytes"


@pytest.fixture
def token(engine: Engine) -> str:
    """The link of one person with six triangle sets."""
    keep(engine, opened(planned("acid", assessors=("me",), alone=True, replicates=6)))
    return ballots.links(engine, "acid", SECRET)["me"]


def test_a_code_is_taken_only_after_the_place(engine: Engine, token: str) -> None:
    code = ballots.ballot(engine, token).codes[0]
    with pytest.raises(InputError, match="choose the place of a cup on the ballot before"):
        record_answer(engine, token, 1, code, LATER)
    assert sessions.summary(engine, "acid").answered == 0

    ballots.record_position(engine, token, 1, 3, LATER)
    record_answer(engine, token, 1, code, LATER)
    assert sessions.summary(engine, "acid").answered == 1


def test_each_set_asks_for_its_own_place(engine: Engine, token: str) -> None:
    first = ballots.ballot(engine, token)
    ballots.record_position(engine, token, 1, 1, LATER)
    record_answer(engine, token, 1, first.codes[0], LATER)
    assert ballots.ballot(engine, token).position is None


def test_the_first_place_counts(engine: Engine, token: str) -> None:
    assert ballots.record_position(engine, token, 1, 3, LATER)
    assert not ballots.record_position(engine, token, 1, 2, LATER)
    assert ballots.ballot(engine, token).position == 3


def test_paper_is_no_way_round_it(engine: Engine, token: str) -> None:
    code = ballots.ballot(engine, token).codes[0]
    typed = TypedAnswer(assessor="me", set=1, choice=code)
    with pytest.raises(InputError, match="line 1: choose the place"):
        paper.enter_typed(engine, "acid", [(1, typed)], LATER)


def test_stopping_before_the_planned_number_needs_a_reason(engine: Engine, token: str) -> None:
    with pytest.raises(InputError, match="6 answers are missing; to close early, say why"):
        sessions.close_session(engine, "acid", LATER)
