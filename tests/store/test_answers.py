"""An answer is kept once, on disk, and only while the session is open."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine

from tasting.errors import InputError, LifeCycleError, NotFoundError
from tasting.panel.entries import Answer
from tasting.store import ballots, sessions
from tasting.store.database import open_database
from tests.giving import record_answer
from tests.ui.workshop import START, keep, opened, planned

LATER = START + timedelta(days=31)
SECRET = b"of the host's passphrase"
TAPS = 8


@pytest.fixture
def running(engine: Engine) -> Engine:
    """An open triangle session: twelve assessors, two sets each."""
    keep(engine, opened(planned("acid", replicates=2)))
    ballots.links(engine, "acid", SECRET)
    return engine


def token(seat: int = 0) -> str:
    return ballots.link_token(SECRET, "acid", seat, 0)


def answer(engine: Engine, seat: int = 0, cup: int = 0, **more: object) -> None:
    """This assessor chooses that cup of the set that comes next."""
    ballot = ballots.ballot(engine, token(seat))
    chosen = ballot.choices[cup]
    record_answer(engine, token(seat), ballot.replicate, chosen, LATER, **more)


def kept(engine: Engine) -> tuple[Answer, ...]:
    """The answers, as they stand after closing."""
    return sessions.close_session(engine, "acid", LATER, "Enough for the test").answers


def test_an_answer_moves_its_assessor_to_the_next_set(running: Engine) -> None:
    before = ballots.ballot(running, token())
    answer(running)
    after = ballots.ballot(running, token())

    assert (before.replicate, after.replicate) == (1, 2)
    assert not set(before.codes) & set(after.codes)
    assert ballots.ballot(running, token(1)).replicate == 1


def test_after_the_last_set_there_is_nothing_to_taste(running: Engine) -> None:
    for _ in range(2):
        answer(running)

    assert ballots.ballot(running, token()).codes == ()
    assert sessions.seats(running, "acid")[0].answered == 2


def test_an_acknowledged_answer_is_there_for_another_program(running: Engine, address: str) -> None:
    answer(running, remark="sharp at the end", sure=True)
    other = open_database(address)
    (given,) = kept(other)
    other.dispose()

    assert (given.remark, given.sure) == ("sharp at the end", True)


def test_the_same_answer_sent_again_changes_nothing(running: Engine) -> None:
    first = ballots.ballot(running, token())
    told = [
        record_answer(running, token(), 1, first.codes[cup], LATER, remark=remark)
        for cup, remark in enumerate(("first", "second"))
    ]

    assert told == [True, False]
    assert [(given.choice, given.remark) for given in kept(running)] == [(first.codes[0], "first")]


def test_a_control_character_in_a_remark_costs_no_answer(running: Engine) -> None:
    answer(running, remark="\0sharp\x1f,\tthen \u202eflat\u202c 🍋")

    assert [given.remark for given in kept(running)] == ["sharp,\tthen \u202eflat\u202c 🍋"]


def test_eight_taps_at_once_are_one_answer(running: Engine) -> None:
    first = ballots.ballot(running, token())

    def tap(place: int) -> None:
        record_answer(running, token(), 1, first.codes[place % 3], LATER)

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


def test_an_unknown_link_is_said(running: Engine) -> None:
    for ask in (
        lambda: ballots.ballot(running, "guess"),
        lambda: record_answer(running, "guess", 1, "314", LATER),
        lambda: ballots.consent(running, "guess", LATER),
    ):
        with pytest.raises(NotFoundError, match="this link is not known; ask the host for yours"):
            ask()


def test_a_link_that_was_replaced_works_no_more(running: Engine) -> None:
    ballots.new_link(running, "acid", 0, LATER)
    fresh = ballots.links(running, "acid", SECRET)["Assessor 1"]

    assert fresh != token()
    assert ballots.ballot(running, fresh).assessor == "Assessor 1"
    with pytest.raises(NotFoundError, match="this link is not known"):
        ballots.ballot(running, token())


def test_a_closed_session_takes_no_answer(running: Engine) -> None:
    answer(running)
    before = kept(running)
    with pytest.raises(LifeCycleError, match="this session is closed; it takes no answers"):
        record_answer(running, token(1), 1, "314", LATER)
    assert sessions.closed_session(running, "acid").answers == before


def test_a_ballot_of_a_closed_session_shows_no_codes(running: Engine) -> None:
    kept(running)
    ballot = ballots.ballot(running, token())

    assert (ballot.state, ballot.codes, ballot.choices) == ("closed", (), ())


def test_a_code_of_another_set_is_refused(running: Engine) -> None:
    codes = ballots.ballot(running, token()).codes
    stray = next(code for code in ("314", "315", "316", "317") if code not in codes)
    with pytest.raises(InputError, match=f"'{stray}' cannot be chosen in set 1; look at the codes"):
        record_answer(running, token(), 1, stray, LATER)
    assert sessions.summary(running, "acid").answered == 0


def test_a_set_cannot_be_skipped(running: Engine) -> None:
    codes = ballots.ballot(running, token()).codes
    with pytest.raises(InputError, match="cannot be chosen in set 1"):
        record_answer(running, token(), 2, codes[0], LATER)


def test_too_long_a_remark_is_refused_and_nothing_is_kept(running: Engine) -> None:
    with pytest.raises(InputError, match="remark: too long; write at most 2000"):
        answer(running, remark="x" * 2001)
    assert sessions.summary(running, "acid").answered == 0


def test_who_stopped_is_asked_no_more_and_their_answers_stay(running: Engine) -> None:
    answer(running)
    ballots.withdraw(running, token(), LATER)

    assert ballots.ballot(running, token()).codes == ()
    with pytest.raises(LifeCycleError, match="you stopped this tasting"):
        record_answer(running, token(), 2, "314", LATER)
    with pytest.raises(LifeCycleError, match="you stopped this tasting"):
        ballots.record_position(running, token(), 2, 1, LATER)
    assert len(kept(running)) == 1


def test_consent_is_recorded_once_with_its_time(running: Engine) -> None:
    assert not ballots.ballot(running, token()).consented
    for minutes in (0, 5):
        ballots.consent(running, token(), LATER + timedelta(minutes=minutes))

    assert ballots.ballot(running, token()).consented
    told = [event for event in sessions.events(running, "acid") if event.what == "consent given"]
    assert [(event.at, event.detail) for event in told] == [(LATER, "Assessor 1")]


def test_a_rest_between_two_sets_is_counted_from_the_last_answer(engine: Engine) -> None:
    keep(engine, opened(planned("acid", replicates=2, pause_seconds=90)))
    ballots.links(engine, "acid", SECRET)
    assert ballots.ballot(engine, token()).rest_until is None
    answer(engine)

    assert ballots.ballot(engine, token()).rest_until == LATER + timedelta(seconds=90)


def test_a_link_cannot_be_guessed_and_is_kept_as_a_hash_only(
    running: Engine, tmp_path: Path
) -> None:
    """192 bits in base64; OWASP's session management cheat sheet asks for 64 (from memory)."""
    tokens = set(ballots.links(running, "acid", SECRET).values())
    running.dispose()
    kept_bytes = b"".join(file.read_bytes() for file in tmp_path.glob("log.sqlite3*"))

    assert {len(known) for known in tokens} == {192 // 6}
    assert len(tokens) == 12
    assert b"Assessor 1" in kept_bytes
    assert not [known for known in tokens if known.encode() in kept_bytes]
