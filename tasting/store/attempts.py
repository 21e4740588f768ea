"""How often a door may be tried, by whom: what slows guesses, and what locks nobody out.

After three wrong attempts in a row each further one has to wait twice as long as the one before,
up to a quarter of an hour; a right one clears the count. Whoever tries is counted by the address
that they come from, so that a stranger who guesses keeps nobody else out; a browser in which the
host has signed in before is counted by itself. All strangers together have a bound as well, because
many addresses can be had cheaply.
"""

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Connection, func, insert, select, update

from tasting.errors import InputError
from tasting.store import mapping, schema

_FREE_ATTEMPTS = 3
_LONGEST_WAIT_SECONDS = 900
MOST_WRONG_AN_HOUR = 300
"""By all strangers together: in a year they try 3 % of all codes of eight digits."""


@dataclass(frozen=True, slots=True)
class Client:
    """Who tries: the address that they come from, and the mark of a browser that is known."""

    address: str = ""
    known_as: str = ""

    def at(self, door: str) -> str:
        """The name under which attempts at this door are counted; addresses are not kept.

        >>> Client("192.0.2.1").at("host")[:10], Client().at("host")
        ('host from ', 'host')
        """
        if not (self.known_as or self.address):
            return door
        told = f"{door} {self.known_as or self.address}"
        way = "by" if self.known_as else "from"
        return f"{door.split()[0]} {way} {hashlib.sha256(told.encode()).hexdigest()[:32]}"


def begin(connection: Connection, door: str, client: Client, now: datetime) -> int:
    """Note an attempt as wrong, before it is looked at, so that many at once cannot slip through.

    Returns its number, for `succeed`. Raises InputError when it has to wait.
    """
    counted = client.at(door)
    if client.address and not client.known_as:
        _check_strangers(connection, now)
    _check_wait(connection, counted, now)
    row = {"door": counted, "at": mapping.stamp(now), "succeeded": False}
    added = insert(schema.attempt).values(row).returning(schema.attempt.c.id)
    return int(connection.execute(added).scalar_one())


def succeed(connection: Connection, attempt_id: int) -> None:
    """Note that it was right."""
    table = schema.attempt
    connection.execute(update(table).where(table.c.id == attempt_id).values(succeeded=True))


def _check_wait(connection: Connection, door: str, now: datetime) -> None:
    table = schema.attempt
    recent = select(table.c.at, table.c.succeeded).where(table.c.door == door)
    tries = connection.execute(recent.order_by(table.c.id.desc()).limit(20)).all()
    wrong = next((count for count, row in enumerate(tries) if row.succeeded), len(tries))
    if wrong < _FREE_ATTEMPTS:
        return
    wait = timedelta(seconds=min(2 ** (wrong - _FREE_ATTEMPTS), _LONGEST_WAIT_SECONDS))
    left = datetime.fromisoformat(tries[0].at) + wait - now
    if timedelta() < left <= wait:
        seconds = int(left.total_seconds()) + 1
        raise InputError(f"too many wrong attempts; wait {seconds} seconds and try again")


def _check_strangers(connection: Connection, now: datetime) -> None:
    table = schema.attempt
    wrong = select(func.count()).where(
        table.c.door.like("% from %"),
        table.c.succeeded.is_(False),
        table.c.at > mapping.stamp(now - timedelta(hours=1)),
        table.c.at <= mapping.stamp(now),
    )
    if connection.execute(wrong).scalar_one() >= MOST_WRONG_AN_HOUR:
        raise InputError(
            "too many wrong attempts from many addresses; use a browser in which the host has "
            "signed in before, or try again in an hour"
        )
