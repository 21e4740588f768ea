"""Connections that ask for nothing are closed, and are never so many that nobody else is heard.

The server's clock is the tests' own, so that nothing here depends on how fast the machine is.
"""

import asyncio
import errno
import logging
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack

import pytest
import uvicorn
from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route

from tasting.web import connections
from tasting.web.connections import SILENT_SECONDS, ImpatientProtocol
from tests.serving import free_port

WHOLE = b"GET / HTTP/1.1\r\nHost: x\r\n\r\n"
PATIENCE_SECONDS = 30


class Loop(asyncio.SelectorEventLoop):
    """An event loop whose clock can be put forward."""

    ahead = 0.0

    def time(self) -> float:
        return super().time() + self.ahead


class Served:
    """A server in a thread of its own."""

    def __init__(self) -> None:
        async def answer(_: object) -> PlainTextResponse:
            return PlainTextResponse("heard")

        self.port, self.loop = free_port(), Loop()
        config = uvicorn.Config(
            Starlette(routes=[Route("/", answer)]),
            port=self.port,
            http=ImpatientProtocol,
            log_level="error",
            timeout_keep_alive=10_000,  # else uvicorn closes after an answer by itself
        )
        self.server = uvicorn.Server(config)
        self.thread = threading.Thread(target=self._run)

    def _run(self) -> None:
        self.loop.run_until_complete(self.server.serve())

    def passes(self, seconds: float) -> None:
        """Let time pass, and what is due then happen."""
        for ahead in (0.0, seconds):  # it has to know first of whoever is there already
            self.loop.ahead += ahead
            asyncio.run_coroutine_threadsafe(_some_turns(), self.loop).result(PATIENCE_SECONDS)

    def busy_while(self, act: Callable[[], None]) -> None:
        """Do this while the server has no time to look."""
        begun, done = threading.Event(), threading.Event()
        self.loop.call_soon_threadsafe(lambda: (begun.set(), done.wait(PATIENCE_SECONDS)))
        begun.wait(PATIENCE_SECONDS)
        act()
        done.set()


async def _some_turns() -> None:
    for _ in range(8):
        await asyncio.sleep(0)


@pytest.fixture
def served() -> Iterator[Served]:
    running = Served()
    running.thread.start()
    while not running.server.started:
        time.sleep(0.01)
    yield running
    running.server.should_exit = True
    running.thread.join()
    running.loop.close()


def opened(served: Served, sent: bytes = b"") -> socket.socket:
    made = socket.create_connection(("127.0.0.1", served.port), timeout=PATIENCE_SECONDS)
    made.sendall(sent)
    return made


def answered(connection: socket.socket, asked: bytes = WHOLE) -> bool:
    """Ask, and read the answer to its end."""
    connection.sendall(asked)
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
@pytest.mark.parametrize("used", [False, True])
def test_a_silent_connection_is_closed(served: Served, used: bool, sent: bytes) -> None:
    with opened(served) as connection:
        if used:
            assert answered(connection)
            served.passes(SILENT_SECONDS)
        connection.sendall(sent)
        served.passes(SILENT_SECONDS)

        assert heard(connection) == b""


def test_a_connection_that_is_used_stays(served: Served) -> None:
    with opened(served) as connection:
        for _ in range(8):
            assert answered(connection)
            served.passes(0.9 * SILENT_SECONDS)
        served.passes(2 * SILENT_SECONDS)

        assert heard(connection) == b""


def test_for_one_too_many_the_longest_silent_one_is_closed(
    served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "most_open", 20)
    with ExitStack() as all_open:
        used = all_open.enter_context(opened(served))
        assert answered(used)
        silent = [all_open.enter_context(opened(served)) for _ in range(39)]
        assert heard(silent[0]) == b""
        newest = all_open.enter_context(opened(served))
        assert all(map(answered, (silent[-1], used, newest)))


def test_who_asked_while_the_server_was_busy_is_not_taken_for_silent(
    served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Connections are told of in one go, before any of them is read: the first had asked, too."""
    monkeypatch.setattr(connections, "most_open", 20)
    with ExitStack() as all_open:
        asking = list[socket.socket]()

        def crowd() -> None:
            asking.append(all_open.enter_context(opened(served, WHOLE)))
            for _ in range(60):
                all_open.enter_context(opened(served))

        served.busy_while(crowd)

        assert answered(asking[0], b"")


def test_where_all_have_asked_the_newest_one_is_closed(
    served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "most_open", 5)
    with ExitStack() as all_open:
        used = [all_open.enter_context(opened(served)) for _ in range(5)]
        assert all(map(answered, used))
        newest = all_open.enter_context(opened(served))

        assert heard(newest) == b""
        assert all(map(answered, used))


def test_a_lack_of_files_is_said_once_and_other_faults_as_ever(
    served: Served, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """asyncio says it up to 2,000 times a burst: 3 MB of log for 600 connections."""
    monkeypatch.setattr(connections, "_told_at", float("-inf"))
    with opened(served) as connection:
        assert answered(connection)
    faults = [OSError(errno.EMFILE, "Too many open files")] * 50 + [ValueError("another one")]
    with caplog.at_level(logging.WARNING):
        for fault in faults:
            served.loop.call_exception_handler({"message": "accept", "exception": fault})

    few, other = caplog.records
    assert few.getMessage().startswith("Too many connections for the files")
    assert "another one" in str(other.exc_info)
