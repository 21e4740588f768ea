"""The host's passphrase and the pourer's codes: kept only as scrypt hashes, attempts slowed.

scrypt: RFC 7914. How attempts are slowed stands in `attempts`.
"""

import hashlib
import hmac
import secrets
from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import Connection, Engine, insert, select, update

from tasting.errors import InputError
from tasting.store import attempts, mapping, schema
from tasting.store.attempts import Client
from tasting.store.database import reading, writing

PASSPHRASE, LINK_SALT = "passphrase", "link_salt"
_SHARED_LINK_SALT = "shared_link_salt"
LEAST_CHARACTERS = 8
SCRYPT_N, SCRYPT_R, SCRYPT_P = 2**15, 8, 3
_HOST_DOOR = "host"
_NOT_IT = "that is not the passphrase; check capitals"
_ANYBODY = Client()


def _scrypt(secret: str, salt: bytes) -> bytes:
    return hashlib.scrypt(
        secret.encode(), salt=salt, n=SCRYPT_N, r=SCRYPT_R, p=SCRYPT_P, maxmem=2**26
    )


def _hashed(secret: str) -> str:
    salt = secrets.token_bytes(16)
    return f"{salt.hex()}:{_scrypt(secret, salt).hex()}"


def _fits(secret: str, kept: str | None) -> bool:
    if not kept:
        return False
    salt, digest = map(bytes.fromhex, kept.split(":"))
    return hmac.compare_digest(_scrypt(secret, salt), digest)


def kept_setting(connection: Connection, name: str) -> str | None:
    """What is kept under this name; for `store` alone."""
    table = schema.setting
    return connection.execute(select(table.c.value).where(table.c.name == name)).scalar()


def has_passphrase(engine: Engine) -> bool:
    """Whether the host has chosen a passphrase."""
    with reading(engine) as connection:
        return kept_setting(connection, PASSPHRASE) is not None


def too_short(passphrase: str) -> str:
    """What is wrong with the length of a passphrase, or nothing."""
    if len(passphrase) >= LEAST_CHARACTERS:
        return ""
    return f"the passphrase is too short; use {LEAST_CHARACTERS} or more characters"


def choose_passphrase(engine: Engine, passphrase: str) -> None:
    """Keep the passphrase, once. Raises InputError if it is short or one was chosen before."""
    if too_short(passphrase):
        raise InputError(too_short(passphrase))
    values = {PASSPHRASE: _hashed(passphrase), LINK_SALT: secrets.token_hex(16)}
    with writing(engine) as connection:
        if kept_setting(connection, PASSPHRASE):
            raise InputError("a passphrase was chosen already; sign in with it")
        added = [{"name": name, "value": value} for name, value in values.items()]
        connection.execute(insert(schema.setting), added)


def check_passphrase(
    engine: Engine, passphrase: str, now: datetime, client: Client = _ANYBODY
) -> None:
    """Raises InputError unless this is the host's passphrase and it was not tried too often."""
    with reading(engine) as connection:
        kept = kept_setting(connection, PASSPHRASE)
    _check(engine, [(passphrase, kept)], now, _HOST_DOOR, client, _NOT_IT)


def link_secret(engine: Engine, passphrase: str) -> bytes:
    """The secret behind the links of assessors, which only the passphrase gives."""
    with reading(engine) as connection:
        salt = kept_setting(connection, LINK_SALT) or ""
    return _scrypt(passphrase, bytes.fromhex(salt))


def shared_link_secret(engine: Engine, key: str) -> bytes:
    """The secret behind the links when hosts share no passphrase: 64 bytes, from a key of theirs.

    HMAC-SHA-512 (RFC 2104) of a salt that is drawn once. `key` has to be long and random.
    """
    with reading(engine) as connection:
        salt = kept_setting(connection, _SHARED_LINK_SALT)
    if salt is None:
        with writing(engine) as connection:
            salt = kept_setting(connection, _SHARED_LINK_SALT) or secrets.token_hex(16)
            row = {"name": _SHARED_LINK_SALT, "value": salt}
            if kept_setting(connection, _SHARED_LINK_SALT) is None:
                connection.execute(insert(schema.setting).values(row))
    return hmac.digest(key.encode(), bytes.fromhex(salt), "sha512")


def new_pourer_code(engine: Engine, session_id: str) -> str:
    """A fresh code for whoever fills the cups of a session; the one before it stops working.

    Raises NotFoundError for an unknown session.
    """
    code = f"{secrets.randbelow(10**8):08d}"
    table = schema.session
    with writing(engine) as connection:
        mapping.session_row(connection, session_id)
        change = update(table).where(table.c.id == session_id)
        connection.execute(change.values(pourer_code=_hashed(code)))
    return code


def check_pour_door(
    engine: Engine, session_id: str, typed: str, now: datetime, client: Client = _ANYBODY
) -> bool:
    """Whether this is the session's code, and not the host's passphrase, which opens as well.

    Raises InputError when it is neither, or was tried too often.
    """
    with reading(engine) as connection:
        code = mapping.session_row(connection, session_id)["pourer_code"]
        passphrase = kept_setting(connection, PASSPHRASE)
    # A passphrase may be of digits only, too, and a text that is none is never a code.
    may_be_code = typed.strip().isdigit()
    refusal = "that is not the pourer's code; ask the host" if may_be_code else _NOT_IT
    ways = [(typed.strip(), code if may_be_code else None), (typed, passphrase)]
    return _check(engine, ways, now, f"pour {session_id}", client, refusal) == 0


def _check(
    engine: Engine,
    ways: Sequence[tuple[str, str | None]],
    now: datetime,
    door: str,
    client: Client,
    refusal: str,
) -> int:
    """The first of the ways, each what was typed and what is kept, that opens the door."""
    with writing(engine) as connection:
        attempt_id = attempts.begin(connection, door, client, now)
    fitting = next((place for place, way in enumerate(ways) if _fits(*way)), None)
    if fitting is None:
        raise InputError(refusal)
    with writing(engine) as connection:
        attempts.succeed(connection, attempt_id)
    return fitting
