"""Attempts at a door are slowed, and a pourer's code opens one session's pour sheet only."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta

import pytest
from sqlalchemy import Engine, func, select

from tasting.errors import InputError, NotFoundError
from tasting.store import access, attempts, known_browsers, schema
from tasting.store.attempts import MOST_WRONG_AN_HOUR, Client
from tasting.store.database import file_address, open_database, reading
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


def attempt(engine: Engine, passphrase: str, seconds: float, client: Client | None = None) -> str:
    """What is said to this passphrase, tried that many seconds after the start."""
    by = client or Client()
    return said(lambda: access.check_passphrase(engine, passphrase, at(seconds), by))


def said(ask: Callable[[], object]) -> str:
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
    assert not access.check_pour_door(locked, "acid", PASSPHRASE, at(0))


def test_eight_guesses_at_once_are_no_more_than_three(locked: Engine) -> None:
    with ThreadPoolExecutor(8) as thieves:
        told = list(thieves.map(lambda _: attempt(locked, "guess", 0), range(8)))

    assert told.count(WRONG) == 3
    with reading(locked) as connection:
        assert connection.execute(select(func.count()).select_from(schema.attempt)).scalar() == 3


def test_a_stranger_who_guesses_keeps_nobody_else_out(locked: Engine) -> None:
    stranger = Client("192.0.2.66")
    for turn in range(16):
        attempt(locked, "guess", 1000 * turn, stranger)

    assert attempt(locked, PASSPHRASE, 15_001, stranger) == wait(900)
    assert attempt(locked, PASSPHRASE, 15_001, Client("192.0.2.1")) == ""
    assert access.check_pour_door(locked, "acid", PASSPHRASE, at(15_001), stranger) is False


def test_a_browser_that_is_known_is_counted_by_itself(locked: Engine) -> None:
    """Even behind the address from which somebody guesses."""
    name = known_browsers.known_as(locked, known_browsers.mark(locked, START), START)
    known, stranger = Client("192.0.2.1", name), Client("192.0.2.1")
    for _ in range(3):
        attempt(locked, "guess", 0, stranger)
    assert attempt(locked, PASSPHRASE, 0, stranger) == wait(2)
    for _ in range(3):
        assert attempt(locked, "guess", 0, known) == WRONG

    assert attempt(locked, PASSPHRASE, 0, known) == wait(2)


def test_many_addresses_together_have_a_bound_that_known_browsers_pass(
    locked: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(attempts, "MOST_WRONG_AN_HOUR", 5)
    for number in range(5):
        attempt(locked, "guess", number, Client(f"192.0.2.{number}"))

    refused = "too many wrong attempts from many addresses; use a browser"
    assert attempt(locked, PASSPHRASE, 6, Client("192.0.2.99")).startswith(refused)
    assert attempt(locked, PASSPHRASE, 6, Client("192.0.2.99", "a browser")) == ""
    assert attempt(locked, PASSPHRASE, 3_700, Client("192.0.2.99")) == ""


def test_the_bound_leaves_a_code_of_eight_digits_safe_for_a_year() -> None:
    assert MOST_WRONG_AN_HOUR * 24 * 365 / 10**8 < 0.03


@pytest.mark.parametrize(
    "forged", ["", ".", "..", "a.1.b", "a.99999999999.", "a.9x.b", ".99999999999.x", "é.1.é"]
)
def test_a_mark_that_we_did_not_sign_is_none(locked: Engine, forged: str) -> None:
    assert known_browsers.known_as(locked, forged, START) == ""


def test_a_mark_ends_and_is_good_for_this_database_only(locked: Engine, tmp_path) -> None:
    mark = known_browsers.mark(locked, START)
    assert known_browsers.known_as(locked, mark, START)
    assert known_browsers.known_as(locked, mark, START + known_browsers.LASTS) == ""
    other = open_database(file_address(tmp_path / "other.sqlite3"))
    assert known_browsers.known_as(other, mark, START) == ""
    access.choose_passphrase(other, PASSPHRASE)
    assert known_browsers.known_as(other, mark, START) == ""
    other.dispose()


def test_where_somebody_came_from_is_not_kept(locked: Engine) -> None:
    attempt(locked, "guess", 0, Client("192.0.2.66"))
    with reading(locked) as connection:
        (door,) = connection.execute(select(schema.attempt.c.door)).scalars()

    assert "192.0.2" not in door
    longest = Client("2001:db8:1:2::/64").at(f"pour {'x' * 64}")
    assert len(longest) <= schema.attempt.c.door.type.length


def test_what_was_tried_is_not_kept(locked: Engine) -> None:
    attempt(locked, "rhubarb and may", 0)
    with reading(locked) as connection:
        (row,) = connection.execute(select(schema.attempt)).all()

    assert tuple(row)[1:] == ("host", START.isoformat(), False)


def test_a_pourers_code_opens_its_own_session_only(locked: Engine) -> None:
    code = access.new_pourer_code(locked, "acid")
    access.check_pour_door(locked, "acid", f" {code} ", START)

    assert (len(code), code.isdigit()) == (8, True)
    with pytest.raises(InputError, match="that is not the pourer's code; ask the host"):
        access.check_pour_door(locked, "syrup", code, START)


def test_a_passphrase_of_digits_opens_the_pour_sheet_too(engine: Engine) -> None:
    access.choose_passphrase(engine, "20260301")
    keep(engine, opened(planned("acid")))
    code = access.new_pourer_code(engine, "acid")

    assert access.check_pour_door(engine, "acid", "20260301", START) is False
    assert access.check_pour_door(engine, "acid", code, START) is True


def test_a_fresh_code_ends_the_one_before(locked: Engine) -> None:
    first, second = (access.new_pourer_code(locked, "acid") for _ in range(2))
    access.check_pour_door(locked, "acid", second, START)

    with pytest.raises(InputError, match="that is not the pourer's code"):
        access.check_pour_door(locked, "acid", first, START)


@pytest.mark.parametrize("code", ["", "00000000"])
def test_without_a_code_none_opens(locked: Engine, code: str) -> None:
    with pytest.raises(InputError, match="that is not the"):
        access.check_pour_door(locked, "acid", code, START)


def test_codes_are_slowed_session_by_session(locked: Engine) -> None:
    access.new_pourer_code(locked, "acid")
    code = access.new_pourer_code(locked, "syrup")
    for _ in range(3):
        said(lambda: access.check_pour_door(locked, "acid", "guess", START))

    assert said(lambda: access.check_pour_door(locked, "acid", "guess", START)) == wait(2)
    access.check_pour_door(locked, "syrup", code, START)


def test_a_code_is_kept_as_a_hash_only(locked: Engine) -> None:
    code = access.new_pourer_code(locked, "acid")
    with reading(locked) as connection:
        kept = connection.execute(select(schema.session.c.pourer_code)).scalars().all()

    assert code not in "".join(kept)
    assert sorted(map(len, kept)) == [0, 32 + 1 + 128]


def test_a_code_of_no_session_is_said(locked: Engine) -> None:
    for ask in (
        lambda: access.new_pourer_code(locked, "nothing"),
        lambda: access.check_pour_door(locked, "nothing", "12345678", START),
    ):
        with pytest.raises(NotFoundError, match="no session is saved under the id 'nothing'"):
            ask()
