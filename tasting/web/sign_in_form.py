"""Signing in as the host, as a plain page of the server; at the first start, the passphrase.

Only a server can set a cookie that no script in the browser reads, and Streamlit's pages cannot.
"""

import hmac
import re
from collections.abc import Mapping
from urllib.parse import parse_qs, urlencode, urlsplit

from sqlalchemy import Engine
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from tasting import settings
from tasting.errors import InputError, TastingError
from tasting.records import now
from tasting.report.links import SIGN_IN
from tasting.report.printing import page
from tasting.store import host_logins
from tasting.store.access import (
    LEAST_CHARACTERS,
    check_passphrase,
    choose_passphrase,
    has_passphrase,
    link_secret,
)
from tasting.store.database import database
from tasting.store.host_logins import COOKIE

LARGEST_FORM_BYTES = 8_000
OWN_PATH = re.compile(r"/[a-z_]*")
POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; "
    "frame-ancestors 'none'; base-uri 'none'"
)


def inside(path: str | None) -> str:
    """Where to go after signing in: one of the app's own pages, never another site."""
    return path if path and OWN_PATH.fullmatch(path) else "/"


def check_origin(headers: Headers) -> None:
    """Raises InputError unless the form was sent from a page of this app."""
    sent = urlsplit(headers.get("origin", "")).netloc
    own = {headers.get("host"), urlsplit(settings.base_url()).netloc}
    if not sent or sent not in own:
        raise InputError("this form was sent from another site; open the app and sign in there")


def sign_in(engine: Engine, given: Mapping[str, str]) -> str:
    """The token of a new sign-in; at the first start, the passphrase is kept. Raises InputError."""
    passphrase = given.get("passphrase", "")
    if not has_passphrase(engine):
        _set_up(engine, given)
    check_passphrase(engine, passphrase, now())
    return host_logins.begin(engine, link_secret(engine, passphrase), now())


def _set_up(engine: Engine, given: Mapping[str, str]) -> None:
    wanted, code = settings.setup_code(), given.get("code", "").strip()
    if not hmac.compare_digest(code.encode(), wanted.encode()):
        raise InputError("that is not the setup code; it stands in the terminal of the app")
    if given.get("passphrase", "") != given.get("again", ""):
        raise InputError("the two passphrases differ; type the same one twice")
    choose_passphrase(engine, given.get("passphrase", ""))


def form(engine: Engine, then: str, said: str = "") -> Response:
    """The page that asks; `said` is why it asks again."""
    html = page(
        "sign_in.html",
        first=not has_passphrase(engine),
        code_wanted=bool(settings.setup_code()),
        other_way=bool(settings.hosts()),
        least=LEAST_CHARACTERS,
        action=f"{SIGN_IN}?{urlencode({'then': then})}",
        said=said[:1].upper() + said[1:],
    )
    headers = {"Content-Security-Policy": POLICY, "Cache-Control": "no-store"}
    return HTMLResponse(html, status_code=403 if said else 200, headers=headers)


def ask(request: Request) -> Response:
    """GET: the form."""
    try:
        return form(database(), inside(request.query_params.get("then")))
    except TastingError as error:
        return HTMLResponse(page("fault.html", said=str(error)), status_code=503)


async def answer(request: Request) -> Response:
    """POST: sign in, set the cookie, and lead to the page that was wanted."""
    given = await _form_values(request)
    return await run_in_threadpool(_answer, request, given)


async def _form_values(request: Request) -> dict[str, str]:
    body = b""
    async for part in request.stream():
        body += part
        if len(body) > LARGEST_FORM_BYTES:
            return {}
    return {name: values[0] for name, values in parse_qs(body.decode("utf-8", "replace")).items()}


def _answer(request: Request, given: Mapping[str, str]) -> Response:
    then = inside(request.query_params.get("then"))
    try:
        engine = database()
        try:
            check_origin(request.headers)
            token = sign_in(engine, given)
        except InputError as error:
            return form(engine, then, str(error))
    except TastingError as error:
        return HTMLResponse(page("fault.html", said=str(error)), status_code=503)
    response = RedirectResponse(then, status_code=303)
    secure = request.url.scheme == "https" or settings.base_url().startswith("https:")
    response.set_cookie(COOKIE, token, httponly=True, samesite="strict", secure=secure)
    return response


def redirect_to_sign_in(path: str) -> Response:
    """Leads a browser that is not signed in to the form, and takes its dead cookie away."""
    response = RedirectResponse(f"{SIGN_IN}?{urlencode({'then': inside(path)})}", status_code=303)
    response.delete_cookie(COOKIE, httponly=True, samesite="strict")
    return response


ROUTES = (
    Route(SIGN_IN, ask, methods=["GET"]),
    Route(SIGN_IN, answer, methods=["POST"]),
)
