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
"""Connections at once; `start` fits it to what the system allows. More are closed unheard."""


class ImpatientProtocol(H11Protocol):
    """HTTP as uvicorn speaks it, on connections that have to be used."""

    _looked_at: object = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to listen, and to wait."""
        super().connection_made(transport)
        if len(self.connections) > most_open:
            transport.abort()
        else:
            self.loop.call_later(SILENT_SECONDS, self._look)

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
