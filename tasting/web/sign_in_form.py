"""Signing in as the host, as a plain page of the server; at the first start, the passphrase.

Only a server can set a cookie that no script in the browser reads, and Streamlit's pages cannot.
"""

import hmac
import re
from collections.abc import Mapping
from urllib.parse import urlencode

from sqlalchemy import Engine
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from tasting import settings
from tasting.errors import InputError, TastingError
from tasting.records import all_faults, now
from tasting.report.links import SIGN_IN
from tasting.store import host_logins, known_browsers
from tasting.store.access import (
    LEAST_CHARACTERS,
    check_passphrase,
    choose_passphrase,
    has_passphrase,
    link_secret,
    too_short,
)
from tasting.store.attempts import Client
from tasting.store.database import database
from tasting.store.host_logins import COOKIE
from tasting.web.host import client_of, keep_sign_in, may_try
from tasting.web.rendering import fault, page, plain
from tasting.web.requests import Given, check_origin, posted, shown

_OWN_PATH = re.compile(
    r"/[a-z_]*|/[a-z_]+\?(?!.*(seat|pour|ticket)=)[\w=&%.+~-]{1,500}"
    r"|/print/[A-Za-z0-9_.-]{1,64}/[a-z]+"
)


def _inside(path: str | None) -> str:
    """Where to go after signing in: one of the app's own pages, never another site."""
    return path if path and _OWN_PATH.fullmatch(path) else "/"


def _sign_in(engine: Engine, given: Mapping[str, str], client: Client) -> str:
    """The token of a new sign-in; at the first start, the passphrase is kept. Raises InputError."""
    passphrase = given.get("passphrase", "")
    if not has_passphrase(engine):
        _set_up(engine, given)
    check_passphrase(engine, passphrase, now(), client)
    return host_logins.begin(engine, link_secret(engine, passphrase), now())


def _set_up(engine: Engine, given: Mapping[str, str]) -> None:
    passphrase, faults = given.get("passphrase", ""), []
    if not _setup_code(given):
        faults.append("that is not the setup code; it is printed in the app's terminal")
    if passphrase != given.get("again", ""):
        faults.append("the two passphrases differ; type the same one twice")
    elif too_short(passphrase):
        faults.append(too_short(passphrase))
    if faults:
        raise InputError(all_faults(faults))
    choose_passphrase(engine, passphrase)


def _setup_code(given: Mapping[str, str]) -> bool:
    """Whether the setup code was typed, if one is wanted."""
    wanted, code = settings.setup_code(), given.get("code", "").strip()
    return hmac.compare_digest(code.encode(), wanted.encode())


def _form(engine: Engine, then: str, said: str = "", given: Mapping[str, str] = {}) -> Response:
    """The page that asks; `said` is why it asks again. A setup code that was right stays."""
    html = page(
        "sign_in.html",
        first=not has_passphrase(engine),
        code_wanted=bool(settings.setup_code()),
        code=settings.setup_code() if said and _setup_code(given) else "",
        other_way=bool(settings.hosts()),
        least=LEAST_CHARACTERS,
        action=f"{SIGN_IN}?{urlencode({'then': then})}",
        said=said[:1].upper() + said[1:],
    )
    return plain(html, 403 if said else 200)


def _ask(request: Request) -> Response:
    """GET: the form."""
    try:
        return _form(database(), _inside(request.query_params.get("then")))
    except TastingError as error:
        return fault(str(error), 503)


def _answer(request: Request, given: Given) -> Response:
    """POST: sign in, set the cookie, and lead to the page that was wanted."""
    then = _inside(request.query_params.get("then"))
    try:
        engine = database()
        client = client_of(engine, request)
        if not may_try(client):
            return fault("too many attempts from this address; wait a minute", 429, "Please wait")
        try:
            check_origin(request.headers)
            return _signed_in(engine, request, _sign_in(engine, given, client), then)
        except InputError as error:
            return _form(engine, then, str(error), given)
    except TastingError as error:
        return fault(str(error), 503)


def _signed_in(engine: Engine, request: Request, token: str, then: str) -> Response:
    response = RedirectResponse(then, status_code=303)
    # A new token each time: one that somebody put into this browser before opens nothing.
    keep_sign_in(request, response, token, known_browsers.mark(engine, now()))
    return response


def redirect_to_sign_in(path: str) -> Response:
    """Leads a browser that is not signed in to the form, and takes its dead cookie away."""
    response = RedirectResponse(f"{SIGN_IN}?{urlencode({'then': _inside(path)})}", status_code=303)
    response.delete_cookie(COOKIE, httponly=True, samesite="strict")
    return response


ROUTES = (
    Route(SIGN_IN, shown(_ask), methods=["GET"]),
    Route(SIGN_IN, posted(_answer), methods=["POST"]),
)
