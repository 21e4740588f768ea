"""Connections before anybody has asked for anything: how long they may be silent, and how many.

uvicorn gives up a connection that is silent after an answer, but not one that never asks, or that
begins a request and never ends it. Some thousand of those take all the files that a process may
open, and then nobody is answered.
"""

import asyncio
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


class ImpatientProtocol(H11Protocol):
    """HTTP as uvicorn speaks it, on connections that have to be used."""

    _looked_at: object = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to listen, and to wait."""
        super().connection_made(transport)
        _silent[self] = None
        if len(self.connections) > most_open:
            oldest = _longest_silent()
            oldest.transport.abort()
            self.connections.discard(oldest)  # as it will be: the next one must not close another
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


def _longest_silent() -> ImpatientProtocol:
    """The oldest connection without a request: there is one, as the newest has just been made."""
    while True:
        oldest = next(iter(_silent))
        del _silent[oldest]
        if not oldest.has_asked:
            return oldest
