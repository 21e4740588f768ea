"""The web server's application: Streamlit's, with the sign-in page and headers that keep out."""

from importlib.util import find_spec

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import MutableHeaders
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from streamlit.starlette import App

from tasting.errors import StoreError
from tasting.store import signed_in
from tasting.ui import doors, mends, single_sign_on
from tasting.ui.access import COOKIE, POUR, SEAT, SIGN_IN
from tasting.ui.shared import database, now

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
            return await doors.to_the_door(request.url.path)(scope, receive, guarded)
        await self.app(scope, receive, guarded)


def wants_host_page(request: Request) -> bool:
    """Whether a page is asked for that the guard itself keeps: not by a link, not with a login."""
    if request.method != "GET" or "text/html" not in request.headers.get("accept", ""):
        return False
    if single_sign_on.hosts():
        return False  # only Streamlit reads its login; its router and every page ask for it
    if SEAT in request.query_params or POUR in request.query_params:
        return False
    return request.url.path == doors.inside(request.url.path) != SIGN_IN


def signed(request: Request) -> bool:
    """Whether the host's sign-in goes on in this browser; a database that fails says so itself."""
    token = request.cookies.get(COOKIE)
    if not token:
        return False
    try:
        return signed_in.secret_of(database(), token, now()) is not None
    except StoreError:
        return True  # the page says what is wrong with the database


def script() -> str:
    """Where the script of Streamlit's pages is. Raises StoreError when it is missing."""
    found = find_spec("streamlit_app")
    if found is None or found.origin is None:
        raise StoreError("the app's script streamlit_app.py is missing; install the package again")
    return found.origin


mends.mend()
app = App(script(), routes=list(doors.ROUTES), middleware=[Middleware(Guard)])
