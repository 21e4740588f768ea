"""The stylesheet and the script of the plain pages: small, kept by browsers, named by content."""

import hashlib
from functools import cache
from pathlib import Path

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

_FOLDER = Path(__file__).parent / "static"
_KINDS = {"look.css": "text/css", "ballot.js": "text/javascript"}
_FOREVER = "public, max-age=31536000, immutable"


@cache
def _content(name: str) -> bytes:
    """The file of this name. Raises KeyError when there is none."""
    _KINDS[name]
    return (_FOLDER / name).read_bytes()


@cache
def asset(name: str) -> str:
    """The address of a file; another content has another address."""
    return f"/assets/{name}?v={hashlib.sha256(_content(name)).hexdigest()[:12]}"


def _serve(request: Request) -> Response:
    """GET: one of the files."""
    name = request.path_params["name"]
    if name not in _KINDS:
        return Response(status_code=404)
    headers = {"Cache-Control": _FOREVER}
    return Response(_content(name), media_type=_KINDS[name], headers=headers)


ROUTES = (Route("/assets/{name}", _serve, methods=["GET"]),)
