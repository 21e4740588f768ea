"""Addresses of the host's pages before Streamlit is asked: those that have moved lead on, and what
was never a page is answered in a sentence, where Streamlit would show its own dialog."""

from urllib.parse import urlencode

from starlette.datastructures import QueryParams
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from tasting.report.links import HOST_PAGES
from tasting.web.rendering import page, plain

_STREAMLIT = frozenset(("_stcore", "static", "media", "component", "auth", "oauth2callback"))
"""First steps of addresses that are Streamlit's own and no pages."""
_MOVED = {
    "dashboard": "",
    "formulas": "drinks",
    "references": "drinks",
    "plan": "new",
    "run": "tastings",
    "findings": "tastings",
}
"""Earlier addresses, and where their contents stand now. The first page has no name of its own."""
_THINGS = {"drinks": ("version", "drink", "version"), "tastings": ("session", "tasting", "id")}
"""Where a page named one thing: by which parameter, and where and how it is named now."""


def answer(request: Request) -> Response | None:
    """What is answered in Streamlit's place to a browser that opens a page; None for its pages."""
    reads = request.method in ("GET", "HEAD")
    address = request.scope["path"].strip("/")
    inside = address.partition("/")[0] in _STREAMLIT or "." in address
    if inside or not (reads and _wants_a_page(request)):
        return None
    if address in _MOVED:
        return RedirectResponse(_present(_MOVED[address], request.query_params), status_code=303)
    return None if address in ("", *HOST_PAGES) else plain(page("no_page.html"), 404)


def _wants_a_page(request: Request) -> bool:
    return "text/html" in request.headers.get("accept", "")


def _present(address: str, asked: QueryParams) -> str:
    """Where it stands now; what the old address asked for goes along."""
    name, of_one, now = _THINGS.get(address, ("", "", ""))
    if name in asked:
        return f"/{of_one}?{urlencode({now: asked[name]})}"
    return f"/{address}?{asked}" if asked else f"/{address}"
