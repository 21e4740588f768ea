"""How much one client may ask for: so many requests at once, then so many a second.

Phones may share one address, behind a router or a proxy. So a seat that is known is counted by
itself, and an address only for what it asks without one, or with one that nobody gave out.
"""

from collections import OrderedDict
from threading import Lock
from time import monotonic


class Allowance:
    """`burst` requests at once and `per_second` after that, for each of the latest clients."""

    def __init__(self, burst: float, per_second: float, most_clients: int = 20_000) -> None:
        self._burst, self._per_second, self._most = burst, per_second, most_clients
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()
        self._lock = Lock()

    def __contains__(self, client: str) -> bool:
        return client in self._left

    def take(self, client: str, count: float = 1) -> bool:
        """Whether the client may have that many more now; if so they are taken off."""
        with self._lock:
            left, now = self._now(client)
            enough = left >= count
            self._left[client] = (left - count * enough, now)
            self._left.move_to_end(client)
            if len(self._left) > self._most:
                self._left.popitem(last=False)
            return enough

    def is_spent(self, client: str) -> bool:
        """Whether the client could take none."""
        with self._lock:
            return self._now(client)[0] < 1

    def _now(self, client: str) -> tuple[float, float]:
        now = monotonic()
        left, then = self._left.get(client, (self._burst, now))
        return min(self._burst, left + (now - then) * self._per_second), now


STRANGERS = Allowance(burst=60, per_second=2)
"""What an address asks in vain: with a token that nobody gave out, or for a sign-in."""

SEATS = Allowance(burst=40, per_second=5)
"""What the phone of a seat asks for."""
