"""Many phones at once against the real app, on an evening that does not go smoothly.

`python -m tests.faults.load_app [ASSESSORS] [SETS] [postgres]` answers on SQLite with one app
process, or on a PostgreSQL of its own with two, and prints answers acknowledged, kept, lost and
doubled. An answer is acknowledged once the phone shows the next set, or the end of the ballot. The
phones (`phone.py`) never pause to taste, so the waiting times are those of a full house that taps
at one moment, again and again; they share the machine with the server.
"""

import asyncio
import os
import re
import statistics
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from streamlit.proto.Alert_pb2 import Alert

from tasting.store.database import file_address, open_database
from tests.faults.evening import Count, Told, begun, counted
from tests.faults.phone import Page, Phone
from tests.postgres import cluster
from tests.serving import Server

SEED = 20260301
DOUBLE_TAP, CHANGE_OF_MIND, LOST_CONNECTION, OTHER_PROCESS = 0.3, 0.2, 0.2, 0.15
"""How often, of all sets, each of these happens."""
NEXT_TAP_SECONDS = 0.5
"""The most that passes before the second tap of a double tap, or the one after a changed mind."""
LATEST_LOSS_SECONDS = 1.0
"""From the tap to the loss of the connection: some are lost before the answer is kept."""
RECORD = "Record this and go on"


@dataclass
class Seen:
    """What the phones saw: answers acknowledged, seconds from a tap to the next set, mishaps, and
    what was said to be wrong.
    """

    told: list[Told] = field(default_factory=list)
    waits: list[float] = field(default_factory=list)
    mishaps: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)


@dataclass
class Assessor:
    """Somebody who answers a ballot on one phone, with these processes of the app at hand.

    tapped: what they chose when they tapped "Record", by set. Who is asked again gives the same
    answer: which of two different ones came first, nobody on this side of the network could tell.
    """

    token: str
    phone: Phone
    urls: Sequence[str]
    random: Random
    seen: Seen
    tapped: dict[int, str] = field(default_factory=dict)

    async def answer_all(self) -> None:
        """From consent to the end."""
        await self.phone.open()
        await self.phone.until(ready)
        await self.consent()
        while replicate := at_set(self.phone.page):
            if len(self.urls) > 1 and self.happens("moved to the other process", OTHER_PROCESS):
                await self.phone.open(self.random.choice(self.urls))
                await self.phone.until(ready)
            await self.answer(replicate)
            self.seen.faults += self.phone.page.faults()
        if not ended(self.phone.page):
            self.seen.faults.append(f"no set and no end: {self.phone.page.texts()}")
        self.phone.drop()

    def happens(self, what: str, share: float) -> bool:
        """Whether this mishap happens now."""
        now = self.random.random() < share
        self.seen.mishaps[what] += now
        return now

    async def consent(self) -> None:
        """Tick the box, and start."""
        await self.phone.tick()
        await self.phone.tap("Start tasting")
        await self.phone.until(lambda page: at_set(page) > 0 and ready(page))

    async def answer(self, replicate: int) -> None:
        """Choose and record; when it is shown that this was kept, note what was told.

        The set may be over already, or be found to be over: a tap from before a loss was kept.
        """
        undisturbed = replicate not in self.tapped
        over = over_with(replicate)
        if not over(self.phone.page) and await self.choose(replicate):
            undisturbed &= await self.record(replicate)
        if over(self.phone.page):
            self.seen.told.append((self.token, replicate, self.tapped[replicate]))
            if undisturbed:
                self.seen.faults += self.phone.page.alerts(Alert.WARNING)

    async def choose(self, replicate: int) -> bool:
        """Tap a code, sometimes another one first and then this one in haste; not if it is over."""
        choice, other = self.random.sample(coded(self.phone.page), 2)
        if replicate in self.tapped or not self.happens("changed their mind", CHANGE_OF_MIND):
            return await self.tap_code(self.tapped.setdefault(replicate, choice), replicate)
        self.tapped[replicate] = choice
        await self.tap_code(other, replicate)
        await self.phone.tap(choice)
        pause = self.random.uniform(0, NEXT_TAP_SECONDS)
        await self.phone.within(pause, lambda page: ticked(page) == choice)
        return True

    async def tap_code(self, code: str, replicate: int) -> bool:
        """Tap a code and wait until it is ticked and can be recorded; False if the set is over."""
        over = over_with(replicate)
        await self.phone.tap(code)
        await self.phone.until(lambda page: over(page) or (ticked(page) == code and can_go(page)))
        if over(self.phone.page):
            await self.phone.until(ready)
        return not over(self.phone.page)

    async def record(self, replicate: int) -> bool:
        """Record the choice, and wait until the page has come to rest; was the connection kept?"""
        over = over_with(replicate)
        await self.phone.until(can_go)
        began = time.monotonic()
        await self.phone.tap(RECORD)
        if self.happens("lost the connection", LOST_CONNECTION):
            await self.lose_connection(replicate)
            return False
        if self.happens("tapped twice", DOUBLE_TAP):
            pause = self.random.uniform(0, NEXT_TAP_SECONDS)
            if not await self.phone.within(pause, over) and can_go(self.phone.page):
                await self.phone.tap(RECORD)
        await self.phone.until(over)
        self.seen.waits.append(time.monotonic() - began)
        await self.phone.until(ready)
        return True

    async def lose_connection(self, replicate: int) -> None:
        """Lose it around the moment at which the answer is kept, and come back."""
        over, moment = over_with(replicate), self.random.uniform(0, LATEST_LOSS_SECONDS)
        before = await self.phone.within(moment, over)
        self.phone.drop()
        back = self.phone.open if self.random.random() < 0.5 else self.phone.come_back
        await back(self.random.choice(self.urls))
        await self.phone.until(ready)
        if before and not over(self.phone.page):
            self.seen.faults.append(f"set {replicate} was acknowledged and is asked for again")


def at_set(page: Page) -> int:
    """The set that is shown; 0 before the first and after the last."""
    found = (re.search(r"· set (\d+) of \d+$", text) for text in page.texts())
    return next((int(match[1]) for match in found if match), 0)


def ended(page: Page) -> bool:
    """Whether the end of the ballot is shown."""
    return "Thank you" in page.texts()


def over_with(replicate: int) -> Callable[[Page], bool]:
    """Whether a page shows that this set is over."""
    return lambda page: at_set(page) > replicate or ended(page)


def coded(page: Page) -> list[str]:
    """The codes that can be chosen."""
    return [label for label in page.buttons() if re.fullmatch(r"\d{3}", label)]


def ticked(page: Page) -> str:
    """The code that is shown as chosen."""
    buttons = page.buttons().items()
    return next((label for label, button in buttons if "✓" in button.label), "")


def can_go(page: Page) -> bool:
    """Whether the choice can be recorded."""
    return RECORD in page.buttons()


def ready(page: Page) -> bool:
    """Whether the page has come to rest, and there is something to do, or nothing any more."""
    todo = "Start tasting" in page.buttons() or len(coded(page)) > 1 or ended(page)
    return todo and not page.running


async def tasted(urls: Sequence[str], tokens: Sequence[str]) -> Seen:
    """All assessors at once, spread over the processes of the app."""
    seen = Seen()
    async with asyncio.TaskGroup() as together:
        for number, token in enumerate(tokens):
            phone = Phone(urls[number % len(urls)], f"seat={token}")
            assessor = Assessor(token, phone, urls, Random(SEED + number), seen)
            together.create_task(assessor.answer_all())
    return seen


def trial(
    address: str, folder: Path, processes: int, assessors: int, sets: int
) -> tuple[Count, Seen]:
    """One evening against so many app processes, and what came of it."""
    engine = open_database(address)
    evening = begun(engine, assessors, sets)
    servers = [Server(address, folder) for _ in range(processes)]
    with ExitStack() as running:
        for server in servers:
            server.launch()
            running.callback(server.kill)
        for server in servers:
            server.wait()
        urls = [server.url for server in servers]
        seen = asyncio.run(tasted(urls, list(evening.tokens.values())))
    for server in servers:
        seen.faults += server.complaints()
    found = counted(engine, [evening], seen.told)
    engine.dispose()
    return found, seen


def on_sqlite(assessors: int, sets: int) -> tuple[Count, Seen]:
    """One app process on an SQLite file."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        return trial(file_address(folder / "log.sqlite3"), folder, 1, assessors, sets)


def on_postgres(assessors: int, sets: int) -> tuple[Count, Seen]:
    """Two app processes on one PostgreSQL."""
    with cluster() as server, tempfile.TemporaryDirectory() as name:
        return trial(server.create("evening"), Path(name), 2, assessors, sets)


def main() -> None:
    """Print the figures; exit code 1 when an answer was lost, doubled, or kept unseen."""
    numbers = [int(argument) for argument in sys.argv[1:] if argument.isdigit()]
    assessors, sets = (*numbers, *(60, 6)[len(numbers) :])
    began, postgres = time.monotonic(), "postgres" in sys.argv
    found, seen = (on_postgres if postgres else on_sqlite)(assessors, sets)
    slow = statistics.quantiles(seen.waits, n=20)[-1]
    print(
        f"{'Two app processes on PostgreSQL' if postgres else 'One app process on SQLite'}: "
        f"{assessors} phones x {sets} sets at once, {found}; "
        f"{', '.join(f'{what} {times} times' for what, times in seen.mishaps.items())}; "
        f"tap to next set median {statistics.median(seen.waits):.1f} s, 95 % {slow:.1f} s; "
        f"{time.monotonic() - began:.0f} s, load average {os.getloadavg()[0]:.1f}",
        *dict.fromkeys(seen.faults),
        sep="\n",
    )
    sys.exit(not found.whole or bool(seen.faults))


if __name__ == "__main__":
    main()
