"""Before everything: what is asked, by whom, and whether it may reach Streamlit at all.

The plain pages are open to everybody and guard themselves. Whatever else there is belongs to the
host: pages, files, uploads and the WebSocket answer a signed-in browser alone. With single sign-on
whoever is not signed in reaches just what it takes to log in: Streamlit's page with the button, and
its login.
"""

import re

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import MutableHeaders
from starlette.requests import HTTPConnection, Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from tasting import settings
from tasting.errors import StoreError
from tasting.report.links import POUR, SEAT
from tasting.store.host_logins import COOKIE
from tasting.web import addresses, plain_pages, pouring
from tasting.web.ballot import routes as ballot
from tasting.web.host import is_signed_in
from tasting.web.rendering import fault
from tasting.web.requests import address_of, own_origin
from tasting.web.sign_in_form import redirect_to_sign_in
from tasting.web.sockets import Frames, Sockets

HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Content-Security-Policy": "frame-ancestors 'none'",
    "Cross-Origin-Resource-Policy": "same-origin",
    # No other site is told an address of ours; our own forms need their origin.
    "Referrer-Policy": "same-origin",
}
MOST_AT_ONCE = 4_000
"""Requests in work; more than that are told to come back."""
_TO_LOG_IN = re.compile(
    r"/[a-z_]*|/[a-z_]+\.(png|json|ico)|/_stcore/(health|host-config|stream)|/static/[\w./-]+"
    r"|/auth/[a-z]+|/oauth2callback"
)
"""What the page with the login's button needs, and the login itself."""


class Guard:
    """Answers the plain pages, and lets through to Streamlit what a host's browser asks."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app
        self.plain = Starlette(routes=list(plain_pages.ROUTES))
        self.at_work = 0
        self.sockets = Sockets()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or one connection."""
        if scope["type"] == "websocket":
            return await self._socket(scope, receive, send)
        if scope["type"] != "http":
            return await self.app(scope, receive, send)
        self.at_work += 1
        try:
            await self._http(scope, receive, send)
        finally:
            self.at_work -= 1

    async def _http(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        answer = await self._answer(Request(scope))
        await answer(scope, receive, guarded)

    async def _answer(self, request: Request) -> ASGIApp:
        if self.at_work > MOST_AT_ONCE:
            return PlainTextResponse("Too busy", status_code=503, headers={"Retry-After": "2"})
        if _is_foreign(request):
            return PlainTextResponse("Sent from another site", status_code=403)
        if asked := _by_link(request):
            return asked
        if plain_pages.is_plain(request.scope["path"]):
            return self.plain
        return await _turned_away(request) or addresses.answer(request) or self.app

    async def _socket(self, scope: Scope, receive: Receive, send: Send) -> None:
        connection = HTTPConnection(scope)
        if own_origin(connection.headers):
            signed_in = await _is_signed_in(connection)
            if signed_in or _may_log_in(scope):
                client = connection.cookies.get(COOKIE) if signed_in else None
                with self.sockets.taken(client or address_of(connection), signed_in) as room:
                    if room:
                        frames = Frames(receive, send, signed_in)
                        return await self.app(scope, frames.receive, frames.send)
        await send({"type": "websocket.close", "code": 1008})


def _is_foreign(request: Request) -> bool:
    """Whether a page of another site sent this. A ballot's form names no origin, but has a key."""
    origin = request.headers.get("origin")
    if origin is None or own_origin(request.headers):
        return False
    return not (origin == "null" and request.scope["path"].startswith(f"{ballot.PAGE}/"))


def _by_link(request: Request) -> Response | ASGIApp | None:
    """The answer to a link that holds a seat or a session to pour."""
    if request.scope["path"] != "/" or request.method not in ("GET", "HEAD"):
        return None
    if SEAT in request.query_params:
        return plain_pages.in_thread(ballot.enter)
    return pouring.enter(request) if POUR in request.query_params else None


async def _turned_away(request: Request) -> Response | None:
    """What is answered in Streamlit's place; None where a host may go on to it."""
    try:
        if await _is_signed_in(request) or _may_log_in(request.scope):
            return None
    except StoreError as error:
        return fault(str(error), 503)
    if request.method == "GET" and "text/html" in request.headers.get("accept", ""):
        return redirect_to_sign_in(_asked(request))
    return PlainTextResponse("Sign in as the host first", status_code=403)


def _asked(request: Request) -> str:
    """The path with what it asks for."""
    path, query = request.scope["path"], request.url.query
    return f"{path}?{query}" if query else str(path)


def _may_log_in(scope: Scope) -> bool:
    """Whether this belongs to the way to log in with an identity provider."""
    reads = scope["type"] == "websocket" or scope["method"] in ("GET", "HEAD")
    return bool(settings.hosts()) and reads and bool(_TO_LOG_IN.fullmatch(scope["path"]))


async def _is_signed_in(connection: HTTPConnection) -> bool:
    return await run_in_threadpool(is_signed_in, connection)
