"""All addresses that the server answers itself, without Streamlit."""

from collections.abc import Callable

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route, request_response
from starlette.types import ASGIApp

from tasting.report.links import HEALTH
from tasting.web import assets, host_files, pouring, sign_in_form
from tasting.web.ballot import routes as ballot
from tasting.web.requests import shown


def _health(_: Request) -> Response:
    """GET: that the server answers, for whoever watches it."""
    return PlainTextResponse("ok", headers={"Cache-Control": "no-store"})


ROUTES = (
    *ballot.ROUTES,
    *pouring.ROUTES,
    *host_files.ROUTES,
    *sign_in_form.ROUTES,
    *assets.ROUTES,
    Route(HEALTH, _health, methods=["GET"]),
)
_FIRST_STEPS = frozenset(route.path.split("/")[1] for route in ROUTES)


def is_plain(path: str) -> bool:
    """Whether this address is one of ours, and never Streamlit's."""
    return path.startswith("/") and path.split("/")[1] in _FIRST_STEPS


def in_thread(answer: Callable[[Request], Response]) -> ASGIApp:
    """An answer that reads the database, as an application of its own."""
    return request_response(shown(answer))
