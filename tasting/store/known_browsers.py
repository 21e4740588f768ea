"""Browsers in which the host has signed in before: strangers who guess do not lock them out.

The mark opens nothing. It is a text that the server signs and keeps nowhere (HMAC-SHA-256, RFC
2104); the key is the kept hash of the passphrase.
"""

import hmac
import secrets
from datetime import datetime, timedelta

from sqlalchemy import Engine

from tasting.store.access import PASSPHRASE, kept_setting
from tasting.store.database import reading

COOKIE = "tasting_known"
"""Name of the cookie that holds the mark; only the server reads it."""

LASTS = timedelta(days=180)


def mark(engine: Engine, now: datetime) -> str:
    """The mark for a browser in which the host has just signed in."""
    told = f"{secrets.token_hex(16)}.{int((now + LASTS).timestamp())}"
    return f"{told}.{_signature(engine, told)}"


def known_as(engine: Engine, given: str, now: datetime) -> str:
    """What the browser with this mark is counted by; nothing where the mark is not ours."""
    told, _, signature = given.rpartition(".")
    name, _, until = told.partition(".")
    if not (name and until.isascii() and until.isdigit() and len(until) <= 12):
        return ""
    fits = hmac.compare_digest(_signature(engine, told).encode(), signature.encode())
    return name if fits and now.timestamp() < int(until) else ""


def _signature(engine: Engine, told: str) -> str:
    with reading(engine) as connection:
        key = kept_setting(connection, PASSPHRASE)
    # Before there is a passphrase nobody has signed in: a key that nobody knows fits nothing.
    secret = f"known browser {key or secrets.token_hex(32)}"
    return hmac.digest(secret.encode(), told.encode(), "sha256").hex()
