"""The host's passphrase and the pourer's codes: kept only as hashes, and guessed at slowly."""

import hashlib
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine, select

from tasting.errors import InputError
from tasting.store import access
from tasting.store.access import (
    check_passphrase,
    check_pourer_code,
    choose_passphrase,
    has_passphrase,
    link_secret,
    new_pourer_code,
)
from tasting.store.database import file_address, open_database, reading
from tasting.store.schema import setting
from tests.ui.workshop import START, keep, opened, planned

PASSPHRASE = "rhubarb and bay"


@pytest.fixture(scope="module")
def strong(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Engine]:
    """One database for the tests of the real hash, which is slow on purpose."""
    folder: Path = tmp_path_factory.mktemp("passphrase")
    engine = open_database(file_address(folder / "log.sqlite3"))
    choose_passphrase(engine, PASSPHRASE)
    yield engine
    engine.dispose()


@pytest.fixture
def chosen(engine: Engine, monkeypatch: pytest.MonkeyPatch) -> Engine:
    """A database with a passphrase under a quick hash, and an open session."""
    monkeypatch.setattr(access, "SCRYPT_N", 2)
    choose_passphrase(engine, PASSPHRASE)
    keep(engine, opened(planned("acid")))
    return engine


def kept_text(engine: Engine, name: str) -> str:
    wanted = select(setting.c.value).where(setting.c.name == name)
    with reading(engine) as connection:
        return connection.execute(wanted).scalar_one()


def test_what_is_kept_is_scrypt_with_a_salt_of_its_own(strong: Engine) -> None:
    """N = 2^15, r = 8, p = 3: a setting of the OWASP password storage cheat sheet (from memory)."""
    salt, digest = kept_text(strong, "passphrase").split(":")
    options = {"n": 2**15, "r": 8, "p": 3, "maxmem": 2**26}

    assert len(bytes.fromhex(salt)) == 16
    assert hashlib.scrypt(PASSPHRASE.encode(), salt=bytes.fromhex(salt), **options).hex() == digest
    assert PASSPHRASE not in kept_text(strong, "passphrase")


def test_the_secret_of_the_links_is_scrypt_under_another_salt(strong: Engine) -> None:
    salt = bytes.fromhex(kept_text(strong, "link_salt"))
    wanted = hashlib.scrypt(PASSPHRASE.encode(), salt=salt, n=2**15, r=8, p=3, maxmem=2**26)

    assert link_secret(strong, PASSPHRASE) == wanted
    assert wanted.hex() != kept_text(strong, "passphrase").split(":")[1]


def test_at_first_there_is_none_and_nothing_opens(engine: Engine) -> None:
    assert not has_passphrase(engine)
    with pytest.raises(InputError, match="that is not the passphrase"):
        check_passphrase(engine, "", START)


def test_only_the_chosen_one_opens(chosen: Engine) -> None:
    assert has_passphrase(chosen)
    check_passphrase(chosen, PASSPHRASE, START)
    with pytest.raises(InputError, match="that is not the passphrase; check capitals"):
        check_passphrase(chosen, PASSPHRASE.upper(), START)


def test_it_is_chosen_once(chosen: Engine) -> None:
    with pytest.raises(InputError, match="chosen already"):
        choose_passphrase(chosen, "another one")
    check_passphrase(chosen, PASSPHRASE, START)


def test_a_short_one_is_refused(engine: Engine) -> None:
    with pytest.raises(InputError, match="8 or more characters"):
        choose_passphrase(engine, "rhubarb")
    assert not has_passphrase(engine)


def guess(engine: Engine, times: int, seconds: float = 0, door: str = "host") -> None:
    """So many wrong attempts, one after the other."""
    for _ in range(times):
        with pytest.raises(InputError, match="that is not the passphrase"):
            check_passphrase(engine, "guess", START + timedelta(seconds=seconds), door)


@pytest.mark.parametrize(("wrong", "wait"), [(3, 1), (4, 2), (5, 4), (6, 8)])
def test_after_three_wrong_ones_each_further_one_waits_twice_as_long(
    chosen: Engine, wrong: int, wait: int
) -> None:
    guess(chosen, 3)
    at = 0.0
    for number in range(3, wrong):
        at += 2 ** (number - 3)
        guess(chosen, 1, seconds=at)

    soon, late = (START + timedelta(seconds=at + wait * share) for share in (0.9, 1.0))
    with pytest.raises(InputError, match="too many wrong attempts; wait"):
        check_passphrase(chosen, PASSPHRASE, soon)
    check_passphrase(chosen, PASSPHRASE, late)


def test_an_attempt_that_was_refused_for_haste_does_not_lengthen_the_wait(chosen: Engine) -> None:
    guess(chosen, 3)
    for _ in range(5):
        with pytest.raises(InputError, match="wait 1 seconds"):
            check_passphrase(chosen, PASSPHRASE, START + timedelta(seconds=0.5))

    check_passphrase(chosen, PASSPHRASE, START + timedelta(seconds=1))


def test_a_right_one_clears_the_count(chosen: Engine) -> None:
    guess(chosen, 2)
    check_passphrase(chosen, PASSPHRASE, START)
    guess(chosen, 3)


def test_each_door_counts_for_itself(chosen: Engine) -> None:
    guess(chosen, 3, door="host")

    check_passphrase(chosen, PASSPHRASE, START, door="pour acid")


def test_a_pourers_code_opens_one_session_until_the_next_is_drawn(chosen: Engine) -> None:
    first = new_pourer_code(chosen, "acid")
    check_pourer_code(chosen, "acid", f" {first} ", START)
    second = new_pourer_code(chosen, "acid")

    assert (len(second), second.isdigit()) == (8, True)
    check_pourer_code(chosen, "acid", second, START)
    with pytest.raises(InputError, match="that is not the pourer's code; ask the host"):
        check_pourer_code(chosen, "acid", first, START)


def test_without_a_code_nobody_pours(chosen: Engine) -> None:
    with pytest.raises(InputError, match="that is not the pourer's code"):
        check_pourer_code(chosen, "acid", "", START)
