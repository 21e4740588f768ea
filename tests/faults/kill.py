"""kill -9 at random moments: of processes that write answers, and of PostgreSQL's server.

`python -m tests.faults.kill [KILLS]` prints kills, answers acknowledged, kept, lost and doubled.
A writer notes an answer as acknowledged in a file of its own only after the store has returned.
"""

import multiprocessing
import os
import signal
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from tasting.errors import StoreError
from tasting.store.database import file_address, open_database
from tests.faults.evening import Count, Evening, Told, answer_next, begun, counted
from tests.postgres import cluster

WRITERS = 4


def write(address: str, tokens: list[str], seed: float, notes: str) -> None:
    """Answer one set after the other until killed, or until the server is gone."""
    paper, random = os.open(notes, os.O_WRONLY | os.O_CREAT | os.O_APPEND), Random(seed)
    random.shuffle(tokens)
    with suppress(StoreError):
        engine = open_database(address)
        for token in tokens:
            while given := answer_next(engine, token, random):
                os.write(paper, f"{' '.join(map(str, given))}\n".encode())


@dataclass
class Trial:
    """Kills on one database."""

    address: str
    folder: Path
    longest_wait: float = 2
    random: Random = field(default_factory=lambda: Random(20260301))
    evenings: list[Evening] = field(default_factory=list)
    kills: int = 0
    rounds: int = 0

    def begin(self) -> None:
        """Another evening, so that there is always something to answer."""
        engine = open_database(self.address)
        self.evenings.append(begun(engine, 30, 6))
        engine.dispose()

    def round(self, kill: Callable[[list[multiprocessing.Process]], int]) -> None:
        """Start writers, wait a random while, kill, and let nobody write on."""
        if len(self.evenings) <= self.rounds // 8:
            self.begin()
        self.rounds += 1
        tokens = list(self.evenings[-1].tokens.values())
        started = []
        for number in range(WRITERS):
            notes = str(self.folder / f"told-{number}")
            arguments = (self.address, tokens[number::WRITERS], self.random.random(), notes)
            process = multiprocessing.get_context("fork").Process(target=write, args=arguments)
            process.start()
            started.append(process)
        time.sleep(self.random.uniform(0.2, self.longest_wait))
        self.kills += kill(started)
        for process in started:
            process.join()

    def count(self) -> Count:
        """What came of it, read again from the database."""
        papers = [path.read_text() for path in self.folder.glob("told-*")]
        lines = [line for paper in papers for line in paper.splitlines()]
        told: list[Told] = []
        for line in lines:
            token, replicate, choice = line.split(maxsplit=2)
            told.append((token, int(replicate), choice.strip()))
        engine = open_database(self.address)
        found = counted(engine, self.evenings, told)
        engine.dispose()
        return found


def kill_writers(started: list[multiprocessing.Process]) -> int:
    """kill -9 of each writer that still runs."""
    alive = [process for process in started if process.is_alive()]
    for process in alive:
        os.kill(process.pid, signal.SIGKILL)
    return len(alive)


def trial(address: str, folder: Path, kills: int, kill: Callable[..., int]) -> Trial:
    """Kill until that many were killed."""
    made = Trial(address, folder, 5 if kill is not kill_writers else 2)
    while made.kills < kills:
        made.round(kill)
    return made


def main() -> None:
    """Run all three; exit code 1 when an answer was lost or doubled."""
    kills = int(sys.argv[1]) if sys.argv[1:] else 60
    whole = []
    with tempfile.TemporaryDirectory() as name, cluster() as server:

        def kill_server(_: list[multiprocessing.Process]) -> int:
            server.kill()
            server.start()
            return 1

        lite = file_address(Path(name) / "log.sqlite3")
        cases = {
            "SQLite, writers killed": (lite, kills, kill_writers),
            "PostgreSQL, writers killed": (server.create("writers"), kills, kill_writers),
            "PostgreSQL, server killed": (server.create("server"), max(5, kills // 6), kill_server),
        }
        for number, (what, (address, wanted, kill)) in enumerate(cases.items()):
            folder = Path(name) / str(number)
            folder.mkdir()
            done = trial(address, folder, wanted, kill)
            found = done.count()
            print(f"{what}: {done.kills} kills survived, {found}", flush=True)
            whole.append(found.lost == found.doubled == 0)
    sys.exit(not all(whole))


if __name__ == "__main__":
    main()
