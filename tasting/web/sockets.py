"""The connections of Streamlit's pages: how many, how much on each, and which messages.

A browser may ask for more than a page of ours does: to clear everybody's caches, say, or for
addresses of uploads. Only what our pages need goes on to Streamlit.
"""

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager

from google.protobuf.message import DecodeError  # type: ignore[import-untyped]
from starlette.types import Message, Receive, Send
from streamlit.proto.BackMsg_pb2 import BackMsg

from tasting.web.bounds import Allowance

MOST_SOCKETS = 200
"""Connections of all browsers together: some open tabs of some hosts."""
MOST_OF_ONE = 24
"""Connections of one signed-in browser, or of one address that is not signed in."""
MOST_STRANGERS = 40
"""Connections of all who are not signed in, where single sign-on shows them the way to log in."""

_ANYBODYS = frozenset({"rerun_script", "app_heartbeat"})
_HOSTS = _ANYBODYS | {"stop_script", "file_urls_request", "backend_operation_request"}
_HOSTS_OPERATIONS = frozenset({"deferred_file", "dataframe_chunk"})
_LARGEST_OF_A_STRANGER_BYTES = 100_000
_REFUSED = 1008  # RFC 6455, 7.4.1: a message that violates the policy


class Sockets:
    """What is open, by client; and how often each has opened one."""

    def __init__(self) -> None:
        self.open: Counter[str] = Counter()
        self._opened = Allowance(burst=60, per_second=1)

    @contextmanager
    def taken(self, client: str, signed_in: bool) -> Iterator[bool]:
        """Whether this client may have one more; it counts until the block is left."""
        kind = f"{'host' if signed_in else 'stranger'} {client}"
        if self._has_enough(kind, signed_in) or not self._opened.take(kind):
            yield False
            return
        self.open[kind] += 1
        try:
            yield True
        finally:
            self.open[kind] -= 1
            self.open += Counter()  # forgets who has none left

    def _has_enough(self, kind: str, signed_in: bool) -> bool:
        strange = sum(count for one, count in self.open.items() if one.startswith("stranger "))
        return (
            self.open.total() >= MOST_SOCKETS
            or self.open[kind] >= MOST_OF_ONE
            or (not signed_in and strange >= MOST_STRANGERS)
        )


class Frames:
    """The messages of one connection: those that our pages send, so many a second."""

    def __init__(self, receive: Receive, send: Send, signed_in: bool) -> None:
        self._receive, self._send, self._signed_in = receive, send, signed_in
        self._allowed = Allowance(*((400, 60) if signed_in else (40, 4)), most_clients=1)
        self._closed = False

    async def receive(self) -> Message:
        """The next message that Streamlit may see; or that the browser is gone."""
        while True:
            message = await self._receive()
            if message["type"] != "websocket.receive":
                return message
            data = message.get("bytes")
            if not self._allowed.take("") or data is None or self._is_too_large(data):
                return await self._close()
            try:
                asked = BackMsg.FromString(data)
            except DecodeError:
                return await self._close()
            if self._is_ours(asked):
                return message

    async def send(self, message: Message) -> None:
        """Send what Streamlit says, until this side has closed the connection."""
        if not self._closed:
            await self._send(message)

    def _is_too_large(self, message: bytes) -> bool:
        return not self._signed_in and len(message) > _LARGEST_OF_A_STRANGER_BYTES

    def _is_ours(self, asked: BackMsg) -> bool:
        kind = asked.WhichOneof("type")
        if kind == "backend_operation_request":
            wanted = asked.backend_operation_request.WhichOneof("payload")
            return self._signed_in and wanted in _HOSTS_OPERATIONS
        return kind in (_HOSTS if self._signed_in else _ANYBODYS)

    async def _close(self) -> Message:
        if not self._closed:
            await self._send({"type": "websocket.close", "code": _REFUSED})
        self._closed = True
        return {"type": "websocket.disconnect", "code": _REFUSED}
