"""An answer is kept once, on disk, and only while the session is open."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from sqlalchemy import Engine

from tasting.errors import InputError, LifeCycleError, NotFoundError
from tasting.panel.session import Answer
from tasting.store import sessions
from tasting.store.database import open_database
from tests.ui.workshop import START, keep, opened, planned

LATER = START + timedelta(days=31)
TAPS = 8


@pytest.fixture
def running(engine: Engine) -> Engine:
    """An open triangle session: twelve assessors, two sets each."""
    keep(engine, opened(planned("acid", replicates=2)))
    return engine


def token(engine: Engine, seat: int = 0) -> str:
    return sessions.seats(engine, "acid")[seat].token


def answer(engine: Engine, seat: int = 0, cup: int = 0, remark: str = "") -> None:
    """This assessor chooses that cup of the set that comes next."""
    ballot = sessions.ballot(engine, token(engine, seat))
    sessions.record_answer(
        engine, token(engine, seat), ballot.replicate, ballot.codes[cup], remark, LATER
    )


def kept(engine: Engine) -> tuple[Answer, ...]:
    """The answers, as they stand after closing."""
    return sessions.close_session(engine, "acid", LATER, "Enough for the test").answers


def test_an_answer_moves_its_assessor_to_the_next_set(running: Engine) -> None:
    before = sessions.ballot(running, token(running))
    answer(running)
    after = sessions.ballot(running, token(running))

    assert (before.replicate, after.replicate) == (1, 2)
    assert not set(before.codes) & set(after.codes)
    assert sessions.ballot(running, token(running, 1)).replicate == 1


def test_after_the_last_set_there_is_nothing_to_taste(running: Engine) -> None:
    for _ in range(2):
        answer(running)

    assert sessions.ballot(running, token(running)).codes == ()
    assert sessions.seats(running, "acid")[0].answered == 2


def test_an_acknowledged_answer_is_there_for_another_program(running: Engine, address: str) -> None:
    answer(running, remark="sharp at the end")
    other = open_database(address)
    done = kept(other)
    other.dispose()

    assert [given.remark for given in done] == ["sharp at the end"]


def test_the_same_answer_sent_again_changes_nothing(running: Engine) -> None:
    first = sessions.ballot(running, token(running))
    for cup, remark in enumerate(("first", "second")):
        sessions.record_answer(running, token(running), 1, first.codes[cup], remark, LATER)

    assert [(given.code, given.remark) for given in kept(running)] == [(first.codes[0], "first")]


def test_eight_taps_at_once_are_one_answer(running: Engine) -> None:
    seat, first = token(running), sessions.ballot(running, token(running))

    def tap(place: int) -> None:
        code = first.codes[place % 3]
        sessions.record_answer(running, seat, 1, code, f"tap {place}", LATER)

    with ThreadPoolExecutor(TAPS) as thumbs:
        list(thumbs.map(tap, range(TAPS)))
    assert len(kept(running)) == 1


def test_a_whole_panel_answers_at_once_and_nothing_is_lost(running: Engine) -> None:
    def taste(seat: int) -> None:
        for _ in range(2):
            answer(running, seat)

    with ThreadPoolExecutor(TAPS) as phones:
        list(phones.map(taste, range(12)))
    assert sessions.summary(running, "acid").answered == 24


def test_an_unknown_token_is_said(running: Engine) -> None:
    for ask in (
        lambda: sessions.ballot(running, "guess"),
        lambda: sessions.record_answer(running, "guess", 1, "314", "", LATER),
    ):
        with pytest.raises(NotFoundError, match="this link is not known; ask the host for yours"):
            ask()


def test_a_closed_session_takes_no_answer(running: Engine) -> None:
    answer(running)
    before = kept(running)
    with pytest.raises(LifeCycleError, match="closed; it takes no more answers"):
        sessions.record_answer(running, token(running, 1), 1, "314", "", LATER)
    assert sessions.closed_session(running, "acid").answers == before


def test_a_ballot_of_a_closed_session_shows_no_codes(running: Engine) -> None:
    kept(running)
    ballot = sessions.ballot(running, token(running))

    assert (ballot.state, ballot.codes) == ("closed", ())


def test_a_code_of_another_set_is_refused(running: Engine) -> None:
    codes = sessions.ballot(running, token(running)).codes
    stray = next(code for code in ("314", "315", "316", "317") if code not in codes)
    with pytest.raises(InputError, match=f"code {stray} is not in set 1; look at the cups again"):
        sessions.record_answer(running, token(running), 1, stray, "", LATER)
    assert sessions.summary(running, "acid").answered == 0


def test_a_set_cannot_be_skipped(running: Engine) -> None:
    codes = sessions.ballot(running, token(running)).codes
    with pytest.raises(InputError, match="not in set 1"):
        sessions.record_answer(running, token(running), 2, codes[0], "", LATER)


def test_too_long_a_remark_is_refused_and_nothing_is_kept(running: Engine) -> None:
    with pytest.raises(InputError, match="remark: String should have at most 2000"):
        answer(running, remark="x" * 2001)
    assert sessions.summary(running, "acid").answered == 0


def test_every_seat_has_a_link_that_cannot_be_guessed(running: Engine) -> None:
    """At least 128 random bits (OWASP session management cheat sheet asks for 64; from memory)."""
    tokens = {seat.token for seat in sessions.seats(running, "acid")}

    assert len(tokens) == 12
    assert min(map(len, tokens)) * 6 >= 128
