"""Attempts at a door are slowed, and a pourer's code opens one session's pour sheet only."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta

import pytest
from sqlalchemy import Engine, func, select

from tasting.errors import InputError, NotFoundError
from tasting.store import access, schema
from tasting.store.database import reading
from tests.ui.workshop import START, keep, opened, planned

PASSPHRASE = "rhubarb and bay"
WRONG = "that is not the passphrase; check capitals"


@pytest.fixture(autouse=True)
def _cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    """The strength of the hash is tested in test_access."""
    monkeypatch.setattr(access, "SCRYPT_N", 2)


@pytest.fixture
def locked(engine: Engine) -> Engine:
    """A database with a passphrase and two open sessions."""
    access.choose_passphrase(engine, PASSPHRASE)
    keep(engine, opened(planned("acid")), opened(planned("syrup")))
    return engine


def attempt(engine: Engine, passphrase: str, seconds: float) -> str:
    """What is said to this passphrase, tried that many seconds after the start."""
    return said(lambda: access.check_passphrase(engine, passphrase, at(seconds)))


def said(ask: Callable[[], None]) -> str:
    try:
        ask()
    except InputError as error:
        return str(error)
    return ""


def at(seconds: float) -> datetime:
    return START + timedelta(seconds=seconds)


def wait(seconds: int) -> str:
    return f"too many wrong attempts; wait {seconds} seconds and try again"


def test_the_right_one_opens_and_a_wrong_one_does_not(locked: Engine) -> None:
    assert attempt(locked, PASSPHRASE, 0) == ""
    assert attempt(locked, PASSPHRASE.upper(), 1) == WRONG
    assert attempt(locked, "", 2) == WRONG


def test_three_wrong_attempts_are_free_and_then_each_one_waits_twice_as_long(
    locked: Engine,
) -> None:
    for _ in range(3):
        assert attempt(locked, "guess", 0) == WRONG
    moment = 0.0
    for doubled in (1, 2, 4, 8):
        assert attempt(locked, "guess", moment + doubled - 0.5) == wait(1)
        moment += doubled
        assert attempt(locked, "guess", moment) == WRONG


def test_while_it_waits_even_the_right_one_is_not_looked_at(locked: Engine) -> None:
    for turn in range(5):
        attempt(locked, "guess", 100 * turn)

    assert attempt(locked, PASSPHRASE, 401) == wait(4)
    assert attempt(locked, PASSPHRASE, 404) == ""


def test_an_attempt_that_was_refused_for_haste_does_not_lengthen_the_wait(locked: Engine) -> None:
    for _ in range(3):
        attempt(locked, "guess", 0)
    for _ in range(5):
        assert attempt(locked, "guess", 0.5) == wait(1)

    assert attempt(locked, PASSPHRASE, 1) == ""


def test_the_wait_is_a_quarter_of_an_hour_at_most(locked: Engine) -> None:
    for turn in range(16):
        assert attempt(locked, "guess", 1000 * turn) == WRONG

    assert attempt(locked, "guess", 15_001) == wait(900)
    assert attempt(locked, PASSPHRASE, 15_900) == ""


def test_a_right_attempt_clears_the_count(locked: Engine) -> None:
    for turn in range(2):
        assert attempt(locked, "guess", turn) == WRONG
    assert attempt(locked, PASSPHRASE, 2) == ""
    for _ in range(3):
        assert attempt(locked, "guess", 3) == WRONG

    assert attempt(locked, "guess", 3) == wait(2)


def test_a_clock_that_was_set_back_locks_nobody_out(locked: Engine) -> None:
    for turn in range(12):
        attempt(locked, "guess", 1000 * turn)

    assert attempt(locked, PASSPHRASE, -86_400) == ""


def test_attempts_at_one_door_do_not_close_another(locked: Engine) -> None:
    for _ in range(4):
        attempt(locked, "guess", 0)

    assert attempt(locked, PASSPHRASE, 0).startswith("too many wrong attempts")
    access.check_passphrase(locked, PASSPHRASE, at(0), "pour acid")


def test_eight_guesses_at_once_are_no_more_than_three(locked: Engine) -> None:
    with ThreadPoolExecutor(8) as thieves:
        told = list(thieves.map(lambda _: attempt(locked, "guess", 0), range(8)))

    assert told.count(WRONG) == 3
    with reading(locked) as connection:
        assert connection.execute(select(func.count()).select_from(schema.attempt)).scalar() == 3


def test_what_was_tried_is_not_kept(locked: Engine) -> None:
    attempt(locked, "rhubarb and may", 0)
    with reading(locked) as connection:
        (row,) = connection.execute(select(schema.attempt)).all()

    assert tuple(row)[1:] == ("host", START.isoformat(), False)


def test_a_pourers_code_opens_its_own_session_only(locked: Engine) -> None:
    code = access.new_pourer_code(locked, "acid")
    access.check_pourer_code(locked, "acid", f" {code} ", START)

    assert (len(code), code.isdigit()) == (8, True)
    with pytest.raises(InputError, match="that is not the pourer's code; ask the host"):
        access.check_pourer_code(locked, "syrup", code, START)


def test_a_fresh_code_ends_the_one_before(locked: Engine) -> None:
    first, second = (access.new_pourer_code(locked, "acid") for _ in range(2))
    access.check_pourer_code(locked, "acid", second, START)

    with pytest.raises(InputError, match="that is not the pourer's code"):
        access.check_pourer_code(locked, "acid", first, START)


@pytest.mark.parametrize("code", ["", "00000000"])
def test_without_a_code_none_opens(locked: Engine, code: str) -> None:
    with pytest.raises(InputError, match="that is not the pourer's code"):
        access.check_pourer_code(locked, "acid", code, START)


def test_codes_are_slowed_session_by_session(locked: Engine) -> None:
    access.new_pourer_code(locked, "acid")
    code = access.new_pourer_code(locked, "syrup")
    for _ in range(3):
        said(lambda: access.check_pourer_code(locked, "acid", "guess", START))

    assert said(lambda: access.check_pourer_code(locked, "acid", "guess", START)) == wait(2)
    access.check_pourer_code(locked, "syrup", code, START)


def test_a_code_is_kept_as_a_hash_only(locked: Engine) -> None:
    code = access.new_pourer_code(locked, "acid")
    with reading(locked) as connection:
        kept = connection.execute(select(schema.session.c.pourer_code)).scalars().all()

    assert code not in "".join(kept)
    assert sorted(map(len, kept)) == [0, 32 + 1 + 128]


def test_a_code_of_no_session_is_said(locked: Engine) -> None:
    for ask in (
        lambda: access.new_pourer_code(locked, "nothing"),
        lambda: access.check_pourer_code(locked, "nothing", "12345678", START),
    ):
        with pytest.raises(NotFoundError, match="no session is kept under the id 'nothing'"):
            ask()
