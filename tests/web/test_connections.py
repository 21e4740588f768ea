"""Connections that ask for nothing are closed, and are never so many that nobody else is heard."""

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack

import pytest
import uvicorn
from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route

from tasting.web import connections
from tasting.web.connections import ImpatientProtocol
from tests.serving import free_port

WHOLE = b"GET / HTTP/1.1\r\nHost: x\r\n\r\n"


@pytest.fixture
def port(monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    """Where a server listens that waits for half a second."""
    monkeypatch.setattr(connections, "SILENT_SECONDS", 0.5)

    async def answer(_: object) -> PlainTextResponse:
        return PlainTextResponse("heard")

    chosen, served = free_port(), Starlette(routes=[Route("/", answer)])
    config = uvicorn.Config(served, port=chosen, http=ImpatientProtocol, log_level="error")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    yield chosen
    server.should_exit = True
    thread.join()


def opened(port: int, sent: bytes = b"") -> socket.socket:
    made = socket.create_connection(("127.0.0.1", port), timeout=3)
    made.sendall(sent)
    return made


def answered(connection: socket.socket) -> bool:
    """Ask, and read the answer to its end."""
    connection.sendall(WHOLE)
    told = b""
    while b"heard" not in told:
        part = connection.recv(10_000)
        if not part:
            return False
        told += part
    return told.startswith(b"HTTP/1.1 200")


def heard(connection: socket.socket) -> bytes:
    """All that comes until the other side closes; raises TimeoutError if it does not."""
    told = b""
    try:
        while part := connection.recv(10_000):
            told += part
    except ConnectionResetError:
        pass
    return told


@pytest.mark.parametrize("sent", [b"", b"GET / HTTP/1.1\r\nHost: x\r\nX-Slow: "])
@pytest.mark.parametrize("before", [b"", WHOLE])
def test_a_silent_connection_is_closed(port: int, before: bytes, sent: bytes) -> None:
    with opened(port, before + sent) as connection:
        assert (b"heard" in heard(connection)) is bool(before)


def test_a_connection_that_is_used_stays(port: int) -> None:
    with opened(port) as connection:
        for _ in range(8):
            assert answered(connection)
            time.sleep(0.25)


def test_for_one_too_many_the_longest_silent_one_is_closed(
    port: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "most_open", 20)
    monkeypatch.setattr(connections, "SILENT_SECONDS", 30)
    with ExitStack() as all_open:
        used = all_open.enter_context(opened(port))
        assert answered(used)
        silent = [all_open.enter_context(opened(port)) for _ in range(39)]
        assert heard(silent[0]) == b""
        newest = all_open.enter_context(opened(port))
        assert all(map(answered, (silent[-1], used, newest)))
