"""Connections before anybody has asked for anything: how long they may be silent, and how many.

uvicorn gives up a connection that is silent after an answer, but not one that never asks, or that
begins a request and never ends it. Some thousand of those take all the files that a process may
open, and then nobody is answered.
"""

import asyncio
import errno
import logging
from collections.abc import Iterator
from time import monotonic
from typing import Any, cast

from uvicorn.protocols.http.h11_impl import H11Protocol

SILENT_SECONDS = 10.0
"""For a request to arrive; twice that where the connection has been used before."""

most_open = 4_000
"""Connections at once; `start` fits it to what the system allows. For one more, the one that has
been silent for longest is closed: who asks at once is heard, however many others ask for nothing.
"""

_silent: dict["ImpatientProtocol", None] = {}
# Connections on which nothing was asked when this was looked at last, the oldest first.

_NO_ROOM = {errno.EMFILE, errno.ENFILE, errno.ENOBUFS, errno.ENOMEM}
_TOLD_EVERY_SECONDS = 60.0
_told_at = -_TOLD_EVERY_SECONDS


class ImpatientProtocol(H11Protocol):
    """HTTP as uvicorn speaks it, on connections that have to be used."""

    _looked_at: object = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to listen, and to wait."""
        super().connection_made(transport)
        _silent[self] = None
        if len(self.connections) > most_open:
            # Two turns of the loop later: what others have sent already is read in the first one,
            # and nobody is taken for silent who asked while the program was busy.
            self.loop.call_soon(self.loop.call_soon, self._make_room)
        if self.loop.get_exception_handler() is None:
            self.loop.set_exception_handler(_say)
        self.loop.call_later(SILENT_SECONDS, self._look)

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget it."""
        _silent.pop(self, None)
        super().connection_lost(exc)

    @property
    def has_asked(self) -> bool:
        """Whether a request has ever come, or the connection has become a WebSocket."""
        transport = cast(Any, self.transport)
        return self.cycle is not None or transport.get_protocol() is not self

    def _make_room(self) -> None:
        """Close who has been silent for longest; this one where all others have asked."""
        if len(self.connections) > most_open:
            closed = next(_longest_silent(), self)
            closed.transport.abort()
            self.connections.discard(closed)  # as it will be: the next one must not close another

    def _look(self) -> None:
        """Close the connection if no request has come since the last look; else look again."""
        transport = cast(Any, self.transport)
        if transport.is_closing() or transport.get_protocol() is not self:
            return  # or it has become a WebSocket
        last = cast(Any, self.cycle)  # the request that came last, and its answer
        if (last is None or last.response_complete) and last is self._looked_at:
            transport.close()
            return
        self._looked_at = last
        self.loop.call_later(SILENT_SECONDS, self._look)


def _longest_silent() -> Iterator[ImpatientProtocol]:
    """Connections without a request, the oldest first; forgets them, and those that have asked."""
    while _silent:
        oldest = next(iter(_silent))
        del _silent[oldest]
        if not oldest.has_asked:
            yield oldest


def _say(loop: asyncio.AbstractEventLoop, fault: dict[str, Any]) -> None:
    """Put a fault of the event loop into the log.

    Where no file is left for a connection, asyncio tries again a second later, and says so up to
    2,000 times: megabytes for each burst of connections, where a line is enough.
    """
    global _told_at
    if getattr(fault.get("exception"), "errno", None) not in _NO_ROOM:
        loop.default_exception_handler(fault)
    elif monotonic() >= _told_at + _TOLD_EVERY_SECONDS:
        _told_at = monotonic()
        logging.getLogger(__name__).warning(
            "Too many connections for the files that this program may open; some have to wait."
        )
