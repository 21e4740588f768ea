"""Many phones at once against the real app: `tasting app`, and one Chromium page an assessor.

`python -m tests.faults.load_app [ASSESSORS] [SETS] [postgres]` answers on SQLite with one app
process, or on a PostgreSQL of its own with two, and prints answers acknowledged, kept, lost and
doubled. An answer is acknowledged once the phone shows the next set, or the end of the ballot. The
pages share the machine with the server, so the waiting times are an upper bound.
"""

import asyncio
import re
import statistics
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from random import Random

from playwright.async_api import Browser, Page, async_playwright

from tasting.store.database import file_address, open_database
from tests.browser.conftest import CHROMIUM, FLAGS, SETTLED
from tests.faults.evening import Count, Told, begun, counted
from tests.faults.kill_app import Server
from tests.postgres import cluster

PATIENCE_MS = 240_000
TOGETHER = 12
"""Pages that are opened at the same time; from then on all of them answer at once."""


async def settle(page: Page) -> None:
    """Wait until the script has run."""
    await page.wait_for_selector(SETTLED, timeout=PATIENCE_MS)


async def sit_down(browser: Browser, gate: asyncio.Semaphore, link: str) -> Page:
    """Open a ballot on a phone of its own, and consent."""
    async with gate:
        context = await browser.new_context(viewport={"width": 360, "height": 740})
        page = await context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        await page.goto(link, timeout=PATIENCE_MS)
        await settle(page)
        await page.get_by_text("I have read this").click()
        await page.get_by_role("button", name="Start tasting").click()
        await page.get_by_text("set 1 of").wait_for()
    return page


async def answer_all(page: Page, token: str, sets: int, waits: list[float]) -> list[Told]:
    """Answer every set, tapping twice now and then; what the phone saw acknowledged."""
    random, told = Random(token), []
    for replicate in range(1, sets + 1):
        codes = page.locator(".st-key-choices").get_by_role("button")
        await settle(page)
        chosen = codes.nth(random.randrange(await codes.count()))
        choice = re.sub(r"\D", "", await chosen.inner_text())
        await chosen.click()
        record = page.get_by_role("button", name="Record this and go on")
        began = time.monotonic()
        await record.click(click_count=1 + (random.random() < 0.3))
        last = replicate == sets
        shown = page.get_by_role("heading", name="Thank you") if last else None
        await (shown or page.get_by_text(f"set {replicate + 1} of {sets}")).wait_for()
        waits.append(time.monotonic() - began)
        told.append((token, replicate, choice))
    return told


async def tasted(
    servers: Sequence[Server], tokens: Sequence[str], sets: int
) -> tuple[list[Told], list[float]]:
    """All assessors at once, spread over the servers."""
    waits: list[float] = []
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        gate = asyncio.Semaphore(TOGETHER)
        links = [
            f"{servers[number % len(servers)].url}/?seat={token}"
            for number, token in enumerate(tokens)
        ]
        pages = await asyncio.gather(*(sit_down(browser, gate, link) for link in links))
        answers = await asyncio.gather(
            *(
                answer_all(page, token, sets, waits)
                for page, token in zip(pages, tokens, strict=True)
            )
        )
        await browser.close()
    return [one for given in answers for one in given], waits


def trial(
    address: str, folder: Path, processes: int, assessors: int, sets: int
) -> tuple[Count, list[float]]:
    """One evening against so many app processes, and what came of it."""
    engine = open_database(address)
    evening = begun(engine, assessors, sets)
    servers = [Server(address, folder) for _ in range(processes)]
    try:
        for server in servers:
            server.start()
        told, waits = asyncio.run(tasted(servers, list(evening.tokens.values()), sets))
    finally:
        for server in servers:
            server.kill()
    found = counted(engine, [evening], told)
    engine.dispose()
    return found, waits


def on_sqlite(assessors: int, sets: int) -> tuple[Count, list[float]]:
    """One app process on an SQLite file."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        return trial(file_address(folder / "log.sqlite3"), folder, 1, assessors, sets)


def on_postgres(assessors: int, sets: int) -> tuple[Count, list[float]]:
    """Two app processes on one PostgreSQL."""
    with cluster() as server, tempfile.TemporaryDirectory() as name:
        return trial(server.create("evening"), Path(name), 2, assessors, sets)


def main() -> None:
    """Print the figures; exit code 1 when an answer was lost, doubled, or kept unseen."""
    numbers = [int(argument) for argument in sys.argv[1:] if argument.isdigit()]
    assessors, sets = (*numbers, 60, 6)[:2] if len(numbers) != 1 else (numbers[0], 6)
    began = time.monotonic()
    postgres = "postgres" in sys.argv
    found, waits = (on_postgres if postgres else on_sqlite)(assessors, sets)
    slow = statistics.quantiles(waits, n=20)[-1]
    print(
        f"{'Two app processes on PostgreSQL' if postgres else 'One app process on SQLite'}: "
        f"{assessors} phones x {sets} sets at once, {found}; tap to next set median "
        f"{statistics.median(waits):.1f} s, 95 % {slow:.1f} s; {time.monotonic() - began:.0f} s"
    )
    sys.exit(not (found.lost == found.doubled == 0 and found.kept == found.told))


if __name__ == "__main__":
    main()
