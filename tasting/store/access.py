"""The host's passphrase: chosen once, kept only as an scrypt hash (RFC 7914)."""

import hashlib
import hmac
import secrets

from sqlalchemy import Engine, insert, select

from tasting.errors import InputError
from tasting.store.database import reading, writing
from tasting.store.schema import setting

PASSPHRASE = "passphrase"
LEAST_CHARACTERS = 8
SCRYPT_N, SCRYPT_R, SCRYPT_P = 2**15, 8, 3


def _scrypt(passphrase: str, salt: bytes) -> bytes:
    return hashlib.scrypt(
        passphrase.encode(), salt=salt, n=SCRYPT_N, r=SCRYPT_R, p=SCRYPT_P, maxmem=2**26
    )


def _kept(engine: Engine) -> str | None:
    with reading(engine) as connection:
        row = connection.execute(select(setting.c.value).where(setting.c.name == PASSPHRASE))
        return row.scalar_one_or_none()


def has_passphrase(engine: Engine) -> bool:
    """Whether the host has chosen a passphrase."""
    return _kept(engine) is not None


def choose_passphrase(engine: Engine, passphrase: str) -> None:
    """Keep the passphrase, once. Raises InputError if it is short or one was chosen before."""
    if len(passphrase) < LEAST_CHARACTERS:
        raise InputError(f"the passphrase is too short; use {LEAST_CHARACTERS} or more characters")
    salt = secrets.token_bytes(16)
    value = f"{salt.hex()}:{_scrypt(passphrase, salt).hex()}"
    with writing(engine) as connection:
        chosen = select(setting.c.name).where(setting.c.name == PASSPHRASE)
        if connection.execute(chosen).first():
            raise InputError("a passphrase was chosen already; sign in with it")
        connection.execute(insert(setting).values(name=PASSPHRASE, value=value))


def is_passphrase(engine: Engine, passphrase: str) -> bool:
    """Whether this is the host's passphrase, compared in constant time."""
    kept = _kept(engine)
    if kept is None:
        return False
    salt, digest = map(bytes.fromhex, kept.split(":"))
    return hmac.compare_digest(_scrypt(passphrase, salt), digest)
