"""Whether a browser is signed in as the host, for the pages that are not Streamlit's."""

import streamlit as st
from sqlalchemy import Engine
from starlette.requests import HTTPConnection, Request
from starlette.responses import Response

from tasting import settings
from tasting.records import now
from tasting.report.links import PRINT
from tasting.store import host_logins, known_browsers
from tasting.store.access import shared_link_secret
from tasting.store.attempts import Client
from tasting.store.database import database
from tasting.store.host_logins import COOKIE
from tasting.web import provider_login
from tasting.web.bounds import STRANGERS
from tasting.web.requests import address_of, over_https

_TICKET_COOKIE = "tasting_print"


def is_signed_in(connection: HTTPConnection) -> bool:
    """Whether the host's sign-in goes on in this browser, in either way. Raises StoreError."""
    return provider_login.is_host(connection) or _own_secret(database(), connection) is not None


def secret_behind_links(engine: Engine, request: Request) -> bytes | None:
    """What the links of assessors are computed from; None unless the host is signed in.

    Hosts who log in with an identity provider share one, whichever way they came in.
    """
    own = _own_secret(engine, request) or _secret_of(engine, request.cookies.get(_TICKET_COOKIE))
    key = _shared_key() if own else ""
    return shared_link_secret(engine, key) if key else own


def _own_secret(engine: Engine, connection: HTTPConnection) -> bytes | None:
    return _secret_of(engine, connection.cookies.get(COOKIE))


def _secret_of(engine: Engine, token: str | None) -> bytes | None:
    return host_logins.secret_of(engine, token, now()) if token else None


def _shared_key() -> str:
    if not settings.hosts() or not st.secrets.load_if_toml_exists():
        return ""
    return str(st.secrets.get("auth", {}).get("cookie_secret") or "")


def keep_ticket(request: Request, response: Response, ticket: str) -> None:
    """Set the cookie that lets a host print whom only Streamlit's login knows.

    It is good for nothing else, and signing out there ends it.
    """
    lasts, secure = int(host_logins.TICKET_LASTS.total_seconds()), over_https(request)
    response.set_cookie(
        _TICKET_COOKIE, ticket, lasts, path=PRINT, httponly=True, samesite="strict", secure=secure
    )


def keep_sign_in(request: Request, response: Response, token: str, mark: str) -> None:
    """Set the cookies that hold the token of a sign-in, and the mark of a browser that is known."""
    secure, lasts = over_https(request), int(known_browsers.LASTS.total_seconds())
    response.set_cookie(COOKIE, token, httponly=True, samesite="strict", secure=secure)
    response.set_cookie(
        known_browsers.COOKIE, mark, lasts, httponly=True, samesite="strict", secure=secure
    )


def client_of(engine: Engine, request: Request) -> Client:
    """Who knocks at a door: where from, and whether the host has signed in there before."""
    given = request.cookies.get(known_browsers.COOKIE, "")
    known_as = known_browsers.known_as(engine, given, now()) if given else ""
    return Client(address_of(request), known_as)


def may_try(client: Client) -> bool:
    """Whether a client may knock at a door now, or has knocked too often for a person."""
    return STRANGERS.take(client.known_as or client.address)
