"""60 assessors answer 6 sets each at once: on SQLite, and on PostgreSQL from two app processes.

`python -m tests.faults.load` prints answers acknowledged, kept, lost and doubled, and the time.
"""

import multiprocessing
import sys
import tempfile
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path
from random import Random

from tasting.store.database import file_address, open_database
from tests.faults.evening import Count, Told, answer_next, begun, counted
from tests.postgres import cluster


def all_sets(address: str, tokens: Sequence[str]) -> list[Told]:
    """One app process: a thread for each of its assessors, all sets of each."""
    engine = open_database(address)

    def one(token: str) -> list[Told]:
        random, told = Random(token), []
        while given := answer_next(engine, token, random):
            told.append(given)
        return told

    with ThreadPoolExecutor(len(tokens)) as threads:
        told = [given for done in threads.map(one, tokens) for given in done]
    engine.dispose()
    return told


def at_once(address: str, processes: int, assessors: int = 60, replicates: int = 6) -> Count:
    """Answer everything from that many processes at once, and count."""
    engine = open_database(address)
    evening = begun(engine, assessors, replicates)
    tokens = list(evening.tokens.values())
    engine.dispose()  # no connection may be carried into another process
    fork = multiprocessing.get_context("fork")
    with ProcessPoolExecutor(processes, mp_context=fork) as pool:
        shares = [tokens[number::processes] for number in range(processes)]
        done = list(pool.map(all_sets, [address] * processes, shares))
    found = counted(engine, [evening], [given for part in done for given in part])
    engine.dispose()
    return found


def say(what: str, found: Count, began: float) -> bool:
    """Print the figures; whether nothing was lost and nothing doubled."""
    print(f"{what}: {found}, {time.monotonic() - began:.1f} s", flush=True)
    return found.lost == found.doubled == 0


def main() -> None:
    """Run it on both databases; exit code 1 when an answer was lost or doubled."""
    with tempfile.TemporaryDirectory() as folder, cluster() as server:
        lite = file_address(Path(folder) / "log.sqlite3")
        places = {"SQLite, 1 process": (lite, 1), "SQLite, 8 processes": (lite, 8)}
        places["PostgreSQL, 2 processes"] = (server.create("load"), 2)
        whole = []
        for what, (address, processes) in places.items():
            began = time.monotonic()
            whole.append(say(what, at_once(address, processes), began))
    sys.exit(not all(whole))


if __name__ == "__main__":
    main()
