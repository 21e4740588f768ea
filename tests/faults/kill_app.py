"""kill -9 of the real app, again and again, while a phone answers: `tasting app` and Chromium.

`python -m tests.faults.kill_app [KILLS]` prints kills, answers acknowledged, kept, lost and
doubled. An answer is acknowledged once the phone shows the next set, or the end of the ballot.
"""

import re
import sys
import tempfile
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from threading import Timer

from playwright.sync_api import Locator, Page, sync_playwright
from playwright.sync_api import TimeoutError as TooLate

from tasting.store.database import file_address, open_database
from tests.browser.conftest import CHROMIUM, FLAGS, settle
from tests.faults.evening import Count, Evening, Told, begun, counted
from tests.serving import START_SECONDS, Server

SETS = 10
PHONE = {"width": 360, "height": 740}
LATEST_KILL_SECONDS = 1.5
"""From just before the tap; an undisturbed answer takes about half of it on two busy cores."""


@dataclass
class Trial:
    """One phone that answers all ballots of an evening, and an app that is killed under it."""

    server: Server
    page: Page
    kills_wanted: int
    random: Random = field(default_factory=lambda: Random(20260301))
    kills: int = 0
    before_kill: int = 0
    after_restart: int = 0
    told: list[Told] = field(default_factory=list)

    def answer_all(self, token: str) -> None:
        """One ballot from consent to the end."""
        self.page.goto(f"{self.server.url}/?seat={token}")
        settle(self.page)
        self.page.get_by_text("I have read this").click()
        self.page.get_by_role("button", name="Start tasting").click()
        replicate = 1
        while replicate <= SETS:
            shows(self.page, replicate).wait_for(timeout=START_SECONDS * 1000)
            replicate += self.answer(token, replicate)

    def answer(self, token: str, replicate: int) -> bool:
        """Answer the set that is shown; whether the phone then shows the next one."""
        codes = self.page.locator(".st-key-choices").get_by_role("button")
        settle(self.page)
        chosen = codes.nth(self.random.randrange(codes.count()))
        choice = re.sub(r"\D", "", chosen.inner_text())
        chosen.click()
        record = self.page.get_by_role("button", name="Record this and go on")
        record.wait_for()
        taps = 1 + (self.random.random() < 0.3)
        if self.kills < self.kills_wanted:
            seen = self.tap_and_kill(record, taps, replicate)
        else:
            record.click(click_count=taps)
            shows(self.page, replicate + 1).wait_for(timeout=START_SECONDS * 1000)
            seen = True
        if seen:
            self.told.append((token, replicate, choice))
        return seen

    def tap_and_kill(self, record: Locator, taps: int, replicate: int) -> bool:
        """Tap, kill at a random moment around that, start again, reload: is the next set shown?"""
        killer = Timer(self.random.uniform(0, LATEST_KILL_SECONDS), self.server.kill)
        killer.start()
        with suppress(TooLate):  # when the kill came first, the button is dead
            record.click(click_count=taps, timeout=LATEST_KILL_SECONDS * 1000)
        before = shows(self.page, replicate + 1).is_visible()
        while killer.is_alive() and not before:
            time.sleep(0.02)
            before = shows(self.page, replicate + 1).is_visible()
        killer.join()
        self.kills += 1
        self.server.start()
        self.page.reload()
        settle(self.page)
        either = shows(self.page, replicate).or_(shows(self.page, replicate + 1))
        either.wait_for(timeout=START_SECONDS * 1000)
        after = shows(self.page, replicate + 1).is_visible()
        self.before_kill += before
        self.after_restart += after and not before
        if before and not after:
            print(f"set {replicate} was acknowledged and is asked for again", flush=True)
        return before or after


def shows(page: Page, replicate: int) -> Locator:
    """What the phone shows when it is at this set, or at the end."""
    if replicate > SETS:
        return page.get_by_role("heading", name="Thank you")
    return page.get_by_text(f"set {replicate} of {SETS}")


def answered(server: Server, evening: Evening, kills: int) -> Trial:
    """All ballots of an evening, on one phone."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = browser.new_context(viewport=PHONE, is_mobile=True, has_touch=True).new_page()
        done = Trial(server, page, kills)
        for token in evening.tokens.values():
            done.answer_all(token)
        browser.close()
    return done


def trial(folder: Path, kills: int) -> tuple[Trial, Count]:
    """Answer more sets than there are kills, and count."""
    address = file_address(folder / "log.sqlite3")
    engine = open_database(address)
    evening = begun(engine, kills // SETS + 1, SETS)
    engine.dispose()
    server = Server(address, folder)
    server.start()
    try:
        done = answered(server, evening, kills)
    finally:
        server.kill()
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
        f"The app on SQLite: {done.kills} kills survived, {found}; of the answers under a kill, "
        f"{done.before_kill} were seen to be acknowledged before it, {done.after_restart} after "
        f"the restart, {done.kills - done.before_kill - done.after_restart} had to be sent again; "
        f"{time.monotonic() - began:.0f} s"
    )
    sys.exit(not found.whole)


if __name__ == "__main__":
    main()
