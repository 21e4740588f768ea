"""Signed-in hosts: a browser holds a random token, the database what fits to it and opens nothing.

Kept are the SHA-256 of the token, when the sign-in ends, and the secret of the links encrypted with
a pad that only the token gives (HMAC-SHA-512, RFC 2104, used once: every sign-in has a new token).
"""

import hashlib
import hmac
import secrets
from datetime import datetime, timedelta

from sqlalchemy import Engine, delete, insert, select

from tasting.store import mapping, schema
from tasting.store.database import reading, writing

COOKIE = "tasting_host"
"""Name of the cookie that holds the token; only the server reads it."""

LASTS = timedelta(hours=12)
TICKET_LASTS = timedelta(hours=1)
"""A ticket stands in a link on the host's page, for as long as that page may stay open."""

_TOKEN_BYTES = 32
_PAD = b"secret of the links"


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _padded(secret: bytes, token: str) -> bytes:
    """The secret encrypted, or the encrypted one decrypted; at most 64 bytes."""
    pad = hmac.digest(token.encode(), _PAD, "sha512")
    return bytes(one ^ other for one, other in zip(secret, pad, strict=True))


def begin(engine: Engine, secret: bytes, now: datetime, lasts: timedelta = LASTS) -> str:
    """The token of a new sign-in, 256 random bits; `secret` is that of the links, 64 bytes."""
    token, table = secrets.token_urlsafe(_TOKEN_BYTES), schema.host_session
    kept = {"token_hash": _digest(token), "sealed_secret": _padded(secret, token).hex()}
    with writing(engine) as connection:
        connection.execute(delete(table).where(table.c.ends_at <= mapping.stamp(now)))
        connection.execute(insert(table).values(**kept, ends_at=mapping.stamp(now + lasts)))
    return token


def secret_of(engine: Engine, token: str, now: datetime) -> bytes | None:
    """The secret of the links, or None when no sign-in with this token is going on."""
    table, digest = schema.host_session, _digest(token)
    with reading(engine) as connection:
        row = connection.execute(select(table).where(table.c.token_hash == digest)).first()
    if row is None or not hmac.compare_digest(row.token_hash, digest):
        return None
    if datetime.fromisoformat(row.ends_at) <= now:
        return None
    return _padded(bytes.fromhex(row.sealed_secret), token)


def end(engine: Engine, token: str) -> None:
    """End the sign-in with this token, in every tab of its browser."""
    table = schema.host_session
    with writing(engine) as connection:
        connection.execute(delete(table).where(table.c.token_hash == _digest(token)))


def end_all(engine: Engine) -> None:
    """End every sign-in."""
    with writing(engine) as connection:
        connection.execute(delete(schema.host_session))
