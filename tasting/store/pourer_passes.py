"""Who may read the pour sheet of one session for a short while, after the code was right once.

A pass is a text that the server signs and keeps nowhere (HMAC-SHA-256, RFC 2104). The key is the
kept hash of what was typed, the pourer's code or the host's passphrase: it is the same for all
processes of the app, and a newer code ends the passes of the one before.
"""

import hmac
import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Engine

from tasting.errors import InputError
from tasting.panel.session import named_like
from tasting.records import tidy
from tasting.store import mapping
from tasting.store.access import PASSPHRASE, check_pour_door, kept_setting
from tasting.store.attempts import Client
from tasting.store.database import reading

LASTS = timedelta(minutes=30)
_LONGEST_NAME = 60
_ANYBODY = Client()


@dataclass(frozen=True, slots=True)
class Pourer:
    """Who reads the sheet, as they called themselves, and by which of the two ways."""

    session_id: str
    reader: str
    by_code: bool


def admit(
    engine: Engine,
    session_id: str,
    reader: str,
    code: str,
    now: datetime,
    client: Client = _ANYBODY,
) -> str:
    """The pass of somebody who knows the pourer's code or the host's passphrase.

    Raises InputError unless the code is right and the reader has a name, and for who tastes in the
    session, as far as a name can tell; who tastes alone fills the cups as well.
    """
    called = tidy(reader).strip()[:_LONGEST_NAME]
    if not called:
        raise InputError("say who you are; a pseudonym will do")
    by_code = check_pour_door(engine, session_id, code, now, client)
    _check_does_not_taste(engine, session_id, called)
    return _signed(engine, Pourer(session_id, called, by_code), now + LASTS)


def _check_does_not_taste(engine: Engine, session_id: str, called: str) -> None:
    with reading(engine) as connection:
        plan = mapping.bare(connection, mapping.session_row(connection, session_id))["plan"]
    if not plan.alone and named_like(called, plan.assessors):
        raise InputError(
            f"{called!r} is an assessor of this session, and whoever has seen the sheet must not "
            "taste; let somebody else pour, or, if you are somebody else, give another name"
        )


def pourer_of(engine: Engine, session_id: str, given: str, now: datetime) -> Pourer | None:
    """Who holds this pass, or None when it opens nothing here, or nothing any more."""
    try:
        text, _, mark = given.partition(".")
        told = json.loads(urlsafe_b64decode(text))
        pourer = Pourer(str(told["session"]), str(told["reader"]), told["by_code"] is True)
        until = datetime.fromisoformat(told["until"])
    except (ValueError, KeyError, TypeError):
        return None
    if pourer.session_id != session_id or now >= until:
        return None
    return pourer if _fits(engine, pourer, text, mark) else None


def _signed(engine: Engine, pourer: Pourer, until: datetime) -> str:
    told = {"session": pourer.session_id, "reader": pourer.reader, "by_code": pourer.by_code}
    text = json.dumps({**told, "until": mapping.stamp(until)}).encode()
    coded = urlsafe_b64encode(text).decode()
    return f"{coded}.{_mark(_key(engine, pourer), coded)}"


def _fits(engine: Engine, pourer: Pourer, text: str, mark: str) -> bool:
    key = _key(engine, pourer)
    # Where no code was made there is no key, and whoever signed with none could have been anybody.
    return bool(key) and hmac.compare_digest(_mark(key, text).encode(), mark.encode())


def _key(engine: Engine, pourer: Pourer) -> str:
    with reading(engine) as connection:
        if pourer.by_code:
            return str(mapping.session_row(connection, pourer.session_id)["pourer_code"] or "")
        return kept_setting(connection, PASSPHRASE) or ""


def _mark(key: str, text: str) -> str:
    return hmac.digest(f"pourer {key}".encode(), text.encode(), "sha256").hex()
