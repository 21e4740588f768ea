"""What comes in from a browser: its form, bounded, and whether it was sent from a page of ours."""

import asyncio
from collections.abc import Awaitable, Callable, Mapping
from functools import cache
from ipaddress import IPv4Address, ip_address, ip_network
from urllib.parse import parse_qs, urlsplit

from anyio import CapacityLimiter, to_thread
from starlette.datastructures import Headers
from starlette.requests import HTTPConnection, Request
from starlette.responses import Response

from tasting import settings
from tasting.errors import InputError
from tasting.web.rendering import fault

_LARGEST_FORM_BYTES = 8_000
_LONGEST_SECONDS = 15.0
"""For a form to arrive; on 50 kB/s the largest one takes less than a second."""

_THREADS = 16
"""For the plain pages: as many answers share a commit at most (`tests/faults/load_app.py`)."""

Given = Mapping[str, str]
Endpoint = Callable[[Request, Given], Response]


def own_origin(headers: Headers) -> bool:
    """Whether a request with an Origin comes from a page of this app."""
    sent = urlsplit(headers.get("origin", "")).netloc
    return bool(sent) and sent in {headers.get("host"), urlsplit(settings.base_url()).netloc}


def check_origin(headers: Headers) -> None:
    """Raises InputError unless the form was sent from a page of this app."""
    if not own_origin(headers):
        raise InputError("this form was sent from another site; open the app and try again there")


def own_address(request: Request) -> str:
    """The address under which phones reach the app: configured, or the one that was asked."""
    return settings.base_url() or f"{request.url.scheme}://{request.headers.get('host', '')}"


def address_of(connection: HTTPConnection) -> str:
    """Where a request comes from, as clients are counted: of IPv6, the network of 64 bits.

    Each customer gets at least that many addresses (RFC 6177), and may use all of them. Behind a
    proxy that is trusted (`settings.proxies`) the server has put in what the proxy says.
    """
    host = connection.client.host if connection.client else ""
    try:
        address = ip_address(host.partition("%")[0])
    except ValueError:
        return host[:64]
    if isinstance(address, IPv4Address):
        return str(address)
    return str(address.ipv4_mapped or ip_network((address, 64), strict=False))


def over_https(request: Request) -> bool:
    """Whether cookies may be kept from plain HTTP."""
    return own_address(request).startswith("https:")


def posted(answer: Endpoint) -> Callable[[Request], Awaitable[Response]]:
    """An endpoint for a form: reads it within bounds, then answers in a thread of its own."""

    async def endpoint(request: Request) -> Response:
        try:
            async with asyncio.timeout(_LONGEST_SECONDS):
                given = await _form_values(request)
        except TimeoutError:
            return fault("the form took too long to arrive; send it again", 408, "Too slow")
        if given is None:
            return fault("the form is too large", 413, "Too large")
        return await in_turn(answer, request, given)

    return endpoint


def shown(answer: Callable[[Request], Response]) -> Callable[[Request], Awaitable[Response]]:
    """An endpoint that reads the database, in a thread of its own."""

    async def endpoint(request: Request) -> Response:
        return await in_turn(answer, request)

    return endpoint


async def in_turn(answer: Callable[..., Response], *given: object) -> Response:
    """Answer in one of some threads: those that write wait for their turn and share a commit.

    Many more of them would wait for the interpreter's lock instead, and so would Streamlit's.
    """
    return await to_thread.run_sync(answer, *given, limiter=_threads())


@cache
def _threads() -> CapacityLimiter:
    return CapacityLimiter(_THREADS)


async def _form_values(request: Request) -> Given | None:
    body = b""
    async for part in request.stream():
        body += part
        if len(body) > _LARGEST_FORM_BYTES:
            return None
    text = body.decode("utf-8", "replace")
    try:
        return {name: values[0] for name, values in parse_qs(text, max_num_fields=30).items()}
    except ValueError:
        return None
