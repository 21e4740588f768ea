"""Before every page: headers that keep others out, and the host's pages for the host only."""

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from tasting import settings
from tasting.errors import StoreError
from tasting.records import now
from tasting.report.links import POUR, SEAT, SIGN_IN
from tasting.store import host_logins
from tasting.store.database import database
from tasting.store.host_logins import COOKIE
from tasting.web.sign_in_form import inside, redirect_to_sign_in

HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Content-Security-Policy": "frame-ancestors 'none'",
    # Addresses hold the tokens of seats, so no other site is told them; ours needs the origin.
    "Referrer-Policy": "same-origin",
}


class Guard:
    """Adds the headers, and leads whoever is not signed in from the host's pages to the form."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            return await self.app(scope, receive, send)

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        request = Request(scope)
        if wants_host_page(request) and not await run_in_threadpool(signed, request):
            return await redirect_to_sign_in(request.url.path)(scope, receive, guarded)
        await self.app(scope, receive, guarded)


def wants_host_page(request: Request) -> bool:
    """Whether a page is asked for that the guard itself keeps: not by a link, not with a login."""
    if request.method != "GET" or "text/html" not in request.headers.get("accept", ""):
        return False
    if settings.hosts():
        return False  # only Streamlit reads its login; its router and every page ask for it
    if SEAT in request.query_params or POUR in request.query_params:
        return False
    return request.url.path == inside(request.url.path) != SIGN_IN


def signed(request: Request) -> bool:
    """Whether the host's sign-in goes on in this browser; a database that fails says so itself."""
    token = request.cookies.get(COOKIE)
    if not token:
        return False
    try:
        return host_logins.secret_of(database(), token, now()) is not None
    except StoreError:
        return True  # the page says what is wrong with the database
