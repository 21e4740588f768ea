"""The host's passphrase: chosen once, kept only as a hash; the secret of links comes from it."""

import hashlib
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine, select

from tasting.errors import InputError
from tasting.store import access
from tasting.store.access import check_passphrase, choose_passphrase, has_passphrase, link_secret
from tasting.store.database import file_address, open_database, reading
from tasting.store.schema import setting
from tests.ui.workshop import START

PASSPHRASE = "rhubarb and bay"
STRONG = {"n": 2**15, "r": 8, "p": 3, "maxmem": 2**26}


@pytest.fixture(scope="module")
def chosen(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Engine]:
    """One database for all tests that only look: hashing is slow on purpose."""
    folder: Path = tmp_path_factory.mktemp("passphrase")
    engine = open_database(file_address(folder / "log.sqlite3"))
    choose_passphrase(engine, PASSPHRASE)
    yield engine
    engine.dispose()


def kept(engine: Engine, name: str) -> str:
    with reading(engine) as connection:
        found = select(setting.c.value).where(setting.c.name == name)
        return connection.execute(found).scalar_one()


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
    before = kept(chosen, "passphrase")
    with pytest.raises(InputError, match="chosen already"):
        choose_passphrase(chosen, "another one")
    assert kept(chosen, "passphrase") == before


def test_a_short_one_is_refused(engine: Engine) -> None:
    with pytest.raises(InputError, match="8 or more characters"):
        choose_passphrase(engine, "rhubarb")
    assert not has_passphrase(engine)


def test_what_is_kept_is_scrypt_with_a_salt_of_its_own(chosen: Engine) -> None:
    """N = 2^15, r = 8, p = 3: a setting of the OWASP password storage cheat sheet (from memory)."""
    salt, digest = map(bytes.fromhex, kept(chosen, "passphrase").split(":"))

    assert len(salt) == 16
    assert hashlib.scrypt(PASSPHRASE.encode(), salt=salt, **STRONG) == digest
    assert PASSPHRASE not in kept(chosen, "passphrase")


def test_the_secret_of_links_is_scrypt_with_another_salt_and_is_not_kept(chosen: Engine) -> None:
    secret = link_secret(chosen, PASSPHRASE)
    salt = bytes.fromhex(kept(chosen, "link_salt"))

    assert hashlib.scrypt(PASSPHRASE.encode(), salt=salt, **STRONG) == secret
    assert salt.hex() not in kept(chosen, "passphrase")
    assert secret.hex() not in kept(chosen, "passphrase") + kept(chosen, "link_salt")


def test_another_passphrase_or_another_database_has_another_secret(
    engine: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(access, "SCRYPT_N", 2)
    other = open_database(file_address(tmp_path / "other.sqlite3"))
    for each in (engine, other):
        choose_passphrase(each, PASSPHRASE)
    secrets = {
        link_secret(each, typed) for each in (engine, other) for typed in (PASSPHRASE, "guess")
    }
    other.dispose()

    assert len(secrets) == 4


def test_the_shared_secret_stays_and_differs_by_key_and_by_database(
    engine: Engine, tmp_path: Path
) -> None:
    secret = access.shared_link_secret(engine, "key")
    other = open_database(file_address(tmp_path / "other.sqlite3"))

    assert access.shared_link_secret(engine, "key") == secret
    assert len({secret, access.shared_link_secret(engine, "another")}) == 2
    assert access.shared_link_secret(other, "key") != secret
    assert len(secret) == 64
    other.dispose()


def test_choosing_a_passphrase_leaves_the_shared_secret(engine: Engine) -> None:
    secret = access.shared_link_secret(engine, "key")
    access.choose_passphrase(engine, "rhubarb and bay")

    assert access.shared_link_secret(engine, "key") == secret
