"""The host's passphrase and the pourer's codes: kept only as scrypt hashes, attempts slowed.

scrypt: RFC 7914. After three wrong attempts in a row each further one has to wait twice as long as
the one before, up to a quarter of an hour; a right one clears the count.
"""

import hashlib
import hmac
import secrets
from datetime import datetime, timedelta

from sqlalchemy import Connection, Engine, insert, select, update

from tasting.errors import InputError
from tasting.store import mapping, schema
from tasting.store.database import reading, writing

PASSPHRASE, LINK_SALT = "passphrase", "link_salt"
_SHARED_LINK_SALT = "shared_link_salt"
LEAST_CHARACTERS = 8
SCRYPT_N, SCRYPT_R, SCRYPT_P = 2**15, 8, 3
_FREE_ATTEMPTS = 3
_LONGEST_WAIT_SECONDS = 900
_HOST_DOOR = "host"


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


def choose_passphrase(engine: Engine, passphrase: str) -> None:
    """Keep the passphrase, once. Raises InputError if it is short or one was chosen before."""
    if len(passphrase) < LEAST_CHARACTERS:
        raise InputError(f"the passphrase is too short; use {LEAST_CHARACTERS} or more characters")
    values = {PASSPHRASE: _hashed(passphrase), LINK_SALT: secrets.token_hex(16)}
    with writing(engine) as connection:
        if kept_setting(connection, PASSPHRASE):
            raise InputError("a passphrase was chosen already; sign in with it")
        added = [{"name": name, "value": value} for name, value in values.items()]
        connection.execute(insert(schema.setting), added)


def check_passphrase(
    engine: Engine, passphrase: str, now: datetime, door: str = _HOST_DOOR
) -> None:
    """Raises InputError unless this is the host's passphrase and it was not tried too often."""
    with reading(engine) as connection:
        kept = kept_setting(connection, PASSPHRASE)
    _check(engine, passphrase, kept, now, door, "that is not the passphrase; check capitals")


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


def check_pourer_code(engine: Engine, session_id: str, code: str, now: datetime) -> None:
    """Raises InputError unless this is the session's code and it was not tried too often."""
    with reading(engine) as connection:
        kept = mapping.session_row(connection, session_id)["pourer_code"]
    door = f"pour {session_id}"
    _check(engine, code.strip(), kept, now, door, "that is not the pourer's code; ask the host")


def _check(
    engine: Engine, secret: str, kept: str | None, now: datetime, door: str, refusal: str
) -> None:
    with writing(engine) as connection:
        _check_wait(connection, door, now)
        # Counted as wrong before it is checked, so that many at once cannot slip through.
        row = {"door": door, "at": mapping.stamp(now), "succeeded": False}
        added = insert(schema.attempt).values(row).returning(schema.attempt.c.id)
        attempt_id = connection.execute(added).scalar_one()
    if not _fits(secret, kept):
        raise InputError(refusal)
    table = schema.attempt
    with writing(engine) as connection:
        right = update(table).where(table.c.id == attempt_id).values(succeeded=True)
        connection.execute(right)


def _check_wait(connection: Connection, door: str, now: datetime) -> None:
    table = schema.attempt
    recent = select(table.c.at, table.c.succeeded).where(table.c.door == door)
    tries = connection.execute(recent.order_by(table.c.id.desc()).limit(20)).all()
    wrong = next((count for count, row in enumerate(tries) if row.succeeded), len(tries))
    if wrong < _FREE_ATTEMPTS:
        return
    wait = timedelta(seconds=min(2 ** (wrong - _FREE_ATTEMPTS), _LONGEST_WAIT_SECONDS))
    left = datetime.fromisoformat(tries[0].at) + wait - now
    if timedelta() < left <= wait:
        seconds = int(left.total_seconds()) + 1
        raise InputError(f"too many wrong attempts; wait {seconds} seconds and try again")
