"""The host's passphrase: chosen once, kept only as a hash."""

import hashlib
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine, select

from tasting.errors import InputError
from tasting.store.access import choose_passphrase, has_passphrase, is_passphrase
from tasting.store.database import file_address, open_database, reading
from tasting.store.schema import setting

PASSPHRASE = "rhubarb and bay"


@pytest.fixture(scope="module")
def chosen(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Engine]:
    """One database for all tests that only look: hashing is slow on purpose."""
    folder: Path = tmp_path_factory.mktemp("passphrase")
    engine = open_database(file_address(folder / "log.sqlite3"))
    choose_passphrase(engine, PASSPHRASE)
    yield engine
    engine.dispose()


def kept_text(engine: Engine) -> str:
    with reading(engine) as connection:
        return connection.execute(select(setting.c.value)).scalar_one()


def test_at_first_there_is_none_and_nothing_opens(engine: Engine) -> None:
    assert not has_passphrase(engine)
    assert not is_passphrase(engine, "")


@pytest.mark.parametrize(("typed", "opens"), [(PASSPHRASE, True), (PASSPHRASE.upper(), False)])
def test_only_the_chosen_one_opens(chosen: Engine, typed: str, opens: bool) -> None:
    assert has_passphrase(chosen)
    assert is_passphrase(chosen, typed) is opens


def test_it_is_chosen_once(chosen: Engine) -> None:
    before = kept_text(chosen)
    with pytest.raises(InputError, match="chosen already"):
        choose_passphrase(chosen, "another one")
    assert kept_text(chosen) == before


def test_a_short_one_is_refused(engine: Engine) -> None:
    with pytest.raises(InputError, match="8 or more characters"):
        choose_passphrase(engine, "rhubarb")
    assert not has_passphrase(engine)


def test_what_is_kept_is_scrypt_with_a_salt_of_its_own(chosen: Engine) -> None:
    """N = 2^15, r = 8, p = 3: a setting of the OWASP password storage cheat sheet (from memory)."""
    salt, digest = kept_text(chosen).split(":")
    options = {"n": 2**15, "r": 8, "p": 3, "maxmem": 2**26}

    assert len(bytes.fromhex(salt)) == 16
    assert hashlib.scrypt(PASSPHRASE.encode(), salt=bytes.fromhex(salt), **options).hex() == digest
    assert PASSPHRASE not in kept_text(chosen)
