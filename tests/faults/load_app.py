"""Many phones at once against the real app, on an evening that does not go smoothly.

`python -m tests.faults.load_app [ASSESSORS] [SETS] [postgres]` answers on SQLite with one app
process, or on a PostgreSQL of its own with two: one evening goes smoothly, and its rate is printed
against that of a bare route (`bare.py`) in the same run; on the next one everything goes wrong that
can. For both, answers acknowledged, kept, lost and doubled are printed. An answer is acknowledged
once the phone shows the next set, or the end of the ballot. The phones (`phone.py`) never pause to
taste: a full house that taps at one moment, again and again, on the server's own machine.
"""

import asyncio
import statistics
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from urllib.parse import urlencode

from tasting.store.database import file_address, open_database
from tests.faults import bare
from tests.faults.evening import Count, Told, begun, counted
from tests.faults.phone import ANSWER, BEGIN, Phone
from tests.postgres import cluster
from tests.serving import Server

SEED = 20260301
DOUBLE_TAP, LOST_CONNECTION, OTHER_PROCESS = 0.3, 0.2, 0.15
"""How often, of all sets, each of these happens."""
WITHOUT_SCRIPT = 10
"""Of so many phones one goes without."""
LATEST_LOSS_SECONDS = 0.3
"""From the tap to the loss of the connection: some are lost before the answer is kept."""
LARGEST_PANEL = 500
"""Assessors of one session; more of them are spread over several."""


@dataclass
class Seen:
    """What the phones saw: answers acknowledged, seconds from a tap to the next set and of each
    page, mishaps, what was said to be wrong, and seconds from the first answer to the last.
    """

    told: list[Told] = field(default_factory=list)
    waits: list[float] = field(default_factory=list)
    pages: list[float] = field(default_factory=list)
    mishaps: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    took: float = 0

    @property
    def rate(self) -> float:
        """Answers a second."""
        return len(self.told) / self.took


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
    smooth: bool = False
    tapped: dict[int, str] = field(default_factory=dict)

    async def sit_down(self) -> None:
        """Scan the code, and consent."""
        await self.phone.show(f"/?seat={self.token}")
        await self.phone.send(BEGIN, self.phone.page.form(agreed="yes"))

    async def answer_all(self) -> None:
        """From the first set to the end."""
        while replicate := self.phone.page.at_set:
            if len(self.urls) > 1 and self.happens("moved to the other process", OTHER_PROCESS):
                await self.move()
            await self.answer(replicate)
            self.seen.faults += self.phone.page.said
        if not self.phone.page.has_ended:
            self.seen.faults.append(f"no set and no end: {self.phone.page.text}")
        self.seen.pages += self.phone.seconds
        self.phone.drop()

    def happens(self, what: str, share: float) -> bool:
        """Whether this mishap happens now."""
        now = not self.smooth and self.random.random() < share
        self.seen.mishaps[what] += now
        return now

    async def move(self) -> None:
        """Another process of the app answers this phone from now on."""
        self.phone.drop()
        self.phone.url = self.random.choice(self.urls)
        await self.phone.show("/ballot")

    async def answer(self, replicate: int) -> None:
        """Choose and record; when it is shown that this was kept, note what was told.

        The set may be found to be over on the other process: a tap from before a loss was kept.
        """
        if not self.phone.page.is_over(replicate):
            await self.record(replicate)
        if self.phone.page.is_over(replicate):
            self.seen.told.append((self.token, replicate, self.tapped[replicate]))

    async def record(self, replicate: int) -> None:
        """Choose and tap "Record", smoothly or not."""
        page, began = self.phone.page, time.monotonic()
        choice = self.tapped.setdefault(replicate, self.random.choice(page.codes))
        given = page.form(choice=choice, remark="", sure="")
        if self.happens("lost the connection", LOST_CONNECTION):
            await self.lose_connection(given)
        elif self.happens("tapped twice", DOUBLE_TAP):
            await self.tap_twice(given)
        else:
            await self.phone.send(ANSWER, given)
            self.seen.waits.append(time.monotonic() - began)

    async def tap_twice(self, given: dict[str, str]) -> None:
        """The browser gives up the first request for the second."""
        hasty = Phone(self.phone.url, cookie=self.phone.cookie)
        first = asyncio.create_task(hasty.ask("POST", ANSWER, urlencode(given)))
        await self.phone.send(ANSWER, given)
        await first
        hasty.drop()

    async def lose_connection(self, given: dict[str, str]) -> None:
        """Lose it around the moment at which the answer is kept, and come back."""
        sent = asyncio.create_task(self.phone.send(ANSWER, given))
        await asyncio.wait([sent], timeout=self.random.uniform(0, LATEST_LOSS_SECONDS))
        sent.cancel()
        await asyncio.wait([sent])
        self.phone.drop()
        self.phone.url = self.random.choice(self.urls)
        if self.random.random() < 0.5:
            await self.phone.show("/ballot")
        else:
            await self.phone.send(ANSWER, given)


async def tasted(urls: Sequence[str], tokens: Sequence[str], smooth: bool = False) -> Seen:
    """All assessors at once, spread over the processes of the app; smoothly, without mishaps."""
    seen, panel = Seen(), []
    for number, token in enumerate(tokens):
        phone = Phone(urls[number % len(urls)], scripted=number % WITHOUT_SCRIPT > 0)
        panel.append(Assessor(token, phone, urls, Random(SEED + number), seen, smooth))
    async with asyncio.TaskGroup() as together:
        for assessor in panel:
            together.create_task(assessor.sit_down())
    began = time.monotonic()
    async with asyncio.TaskGroup() as together:
        for assessor in panel:
            together.create_task(assessor.answer_all())
    seen.took = time.monotonic() - began
    await asyncio.sleep(0.1)  # until the last connection is closed
    return seen


@dataclass(frozen=True)
class Evenings:
    """A smooth evening and a rough one, each with what is kept of it, and the bare route's rate."""

    smooth: tuple[Count, Seen]
    rough: tuple[Count, Seen]
    bare: float


def trial(
    address: str, folder: Path, processes: int, assessors: int, sets: int, smooth: bool = False
) -> tuple[Count, Seen]:
    """One evening against so many app processes, and what came of it."""
    engine = open_database(address)
    full, rest = divmod(assessors, LARGEST_PANEL)
    panels = [LARGEST_PANEL] * full + [rest] * bool(rest)
    evenings = [begun(engine, panel, sets) for panel in panels]
    tokens = [token for evening in evenings for token in evening.tokens.values()]
    servers = [Server(address, folder) for _ in range(processes)]
    with ExitStack() as running:
        for server in servers:
            server.launch()
            running.callback(server.kill)
        for server in servers:
            server.wait()
        seen = asyncio.run(tasted([server.url for server in servers], tokens, smooth))
    for server in servers:
        seen.faults += server.complaints()
    found = counted(engine, evenings, seen.told)
    engine.dispose()
    return found, seen


def on_sqlite(assessors: int, sets: int) -> Evenings:
    """One app process on an SQLite file."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        address, size = file_address(folder / "log.sqlite3"), (1, assessors, sets)
        return Evenings(
            bare=bare.rate(file_address(folder / "bare.sqlite3"), folder, *size),
            smooth=trial(address, folder, *size, smooth=True),
            rough=trial(address, folder, *size),
        )


def on_postgres(assessors: int, sets: int) -> Evenings:
    """Two app processes on one PostgreSQL."""
    with cluster() as server, tempfile.TemporaryDirectory() as name:
        folder, size = Path(name), (2, assessors, sets)
        address = server.create("evening")
        return Evenings(
            bare=bare.rate(server.create("bare"), folder, *size),
            smooth=trial(address, folder, *size, smooth=True),
            rough=trial(address, folder, *size),
        )


def told(kind: str, found: Count, seen: Seen) -> str:
    """One line on an evening."""
    pages, waits = (statistics.quantiles(all_, n=100) for all_ in (seen.pages, seen.waits))
    mishaps = "".join(f", {what} {times} times" for what, times in seen.mishaps.items() if times)
    return (
        f"  {kind}{mishaps}: {found}; {seen.rate:.0f} answers a second; a page median "
        f"{pages[49]:.2f} s, 99 % {pages[98]:.2f} s; tap to next set median {waits[49]:.2f} s, "
        f"99 % {waits[98]:.2f} s"
    )


def main() -> None:
    """Print the figures; exit code 1 when an answer was lost, doubled, or kept unseen."""
    numbers = [int(argument) for argument in sys.argv[1:] if argument.isdigit()]
    assessors, sets = (*numbers, *(60, 6)[len(numbers) :])
    postgres = "postgres" in sys.argv
    done = (on_postgres if postgres else on_sqlite)(assessors, sets)
    faults = done.smooth[1].faults + done.rough[1].faults
    print(
        f"{'Two app processes on PostgreSQL' if postgres else 'One app process on SQLite'}, "
        f"{assessors} phones x {sets} sets at once: {done.smooth[1].rate / done.bare:.2f} of a "
        f"bare route's {done.bare:.0f} rows a second",
        told("smooth", *done.smooth),
        told("rough", *done.rough),
        *dict.fromkeys(faults),
        sep="\n",
    )
    sys.exit(not (done.smooth[0].whole and done.rough[0].whole) or bool(faults))


if __name__ == "__main__":
    main()
