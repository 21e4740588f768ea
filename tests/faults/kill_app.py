"""kill -9 of the real app, again and again, while phones answer: `tasting app` over HTTP.

`python -m tests.faults.kill_app [KILLS]` prints kills, answers acknowledged, kept, lost and
doubled. An answer is acknowledged once the phone shows the next set, or the end of the ballot.
Half of the phones come back by a reload, as without the ballot's script; the others send the same
form again until it has come through, as the script does.
"""

import asyncio
import sys
import tempfile
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from tasting.store.database import file_address, open_database
from tests.faults.evening import Count, Told, begun, counted
from tests.faults.phone import ANSWER, BEGIN, Phone
from tests.serving import Server

PHONES, SETS = 4, 10
LATEST_KILL_SECONDS = 0.15
"""From just before the answers are sent; an undisturbed one takes about a third of it."""


@dataclass
class Trial:
    """Phones that answer all ballots of an evening, and an app that is killed under them."""

    server: Server
    random: Random = field(default_factory=lambda: Random(20260301))
    kills: int = 0
    before_kill: int = 0
    after_restart: int = 0
    told: list[Told] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)

    async def sit_down(self, token: str, number: int) -> Phone:
        """From the QR code to the first set."""
        phone = Phone(self.server.url, scripted=number % 2 == 0)
        await phone.show(f"/?seat={token}")
        await phone.send(BEGIN, phone.page.form(agreed="yes"))
        return phone

    async def round(self, phones: dict[str, Phone]) -> None:
        """All phones answer one set, and the app is killed at a random moment around that."""
        seen = [asyncio.create_task(self.answer(token, one)) for token, one in phones.items()]
        await asyncio.sleep(self.random.uniform(0, LATEST_KILL_SECONDS))
        self.before_kill += sum(task.done() for task in seen)
        self.server.kill()
        self.kills += 1
        self.server.launch()
        await asyncio.to_thread(self.server.wait)
        await asyncio.gather(*seen)
        self.after_restart += len(seen)

    async def answer(self, token: str, phone: Phone) -> None:
        """Answer the set that is shown until the phone shows the next one."""
        replicate, choice = phone.page.at_set, self.random.choice(phone.page.codes)
        given = phone.page.form(choice=choice, remark="", sure="")
        while not phone.page.is_over(replicate):
            if phone.scripted:
                await phone.send(ANSWER, given)
                continue
            with suppress(ConnectionError, asyncio.IncompleteReadError):
                await phone.ask_once("POST", ANSWER, f"{form_of(given)}")
            phone.drop()
            await phone.show("/ballot")
        self.told.append((token, replicate, choice))
        self.faults += phone.page.said

    async def evening(self, tokens: list[str], kills: int) -> None:
        """Rounds with a kill each, until there were enough or all is answered."""
        while tokens and self.kills < kills:
            now, tokens = tokens[:PHONES], tokens[PHONES:]
            seats = [await self.sit_down(token, number) for number, token in enumerate(now)]
            for _ in range(SETS):
                await self.round(dict(zip(now, seats, strict=True)))
            for phone in seats:
                phone.drop()


def form_of(given: dict[str, str]) -> str:
    """A form as it is sent."""
    return "&".join(f"{name}={value}" for name, value in given.items())


def trial(folder: Path, kills: int) -> tuple[Trial, Count]:
    """Answer a set of each phone for each kill, and count."""
    address = file_address(folder / "log.sqlite3")
    engine = open_database(address)
    evening = begun(engine, PHONES * -(-kills // SETS), SETS)
    engine.dispose()
    done = Trial(Server(address, folder))
    done.server.start()
    try:
        asyncio.run(done.evening(list(evening.tokens.values()), kills))
    finally:
        done.server.kill()
    engine = open_database(address)
    found = counted(engine, [evening], done.told)
    engine.dispose()
    return done, found


def main() -> None:
    """Print the figures; exit code 1 when an answer was lost, doubled, or kept unseen."""
    kills = int(sys.argv[1]) if sys.argv[1:] else 50
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as name:
        done, found = trial(Path(name), kills)
    print(
        f"The app on SQLite: {done.kills} kills survived under {PHONES} phones, {found}; "
        f"{done.before_kill} answers were seen to be acknowledged before the kill, "
        f"{done.after_restart - done.before_kill} after the restart; "
        f"{time.monotonic() - began:.0f} s",
        *dict.fromkeys(done.faults),
        sep="\n",
    )
    sys.exit(not found.whole or bool(done.faults))


if __name__ == "__main__":
    main()
