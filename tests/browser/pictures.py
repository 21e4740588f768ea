"""Takes the three pictures of the README from the invented workshop.

    python -m tests.browser.pictures

They show a ballot on a phone, a finding and the dashboard, and go to sample_sessions/pictures.
"""

import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Browser, Page, sync_playwright
from sqlalchemy import Engine

from sample_sessions import documents
from tasting.report.links import seat_link
from tasting.store import ballots, sessions
from tasting.store.access import choose_passphrase, link_secret
from tasting.store.database import file_address, open_database
from tasting.store.documents import fill, read_document
from tests.browser.conftest import CHROMIUM, FLAGS, PASSPHRASE, running, settle, sign_in
from tests.serving import free_port
from tests.sources import ROOT

FOLDER = ROOT / "sample_sessions" / "pictures"
CLOSED = "Bottle R once more, from a new bottle"


def main() -> None:
    """Serve the workshop from a database of its own, and look at it."""
    FOLDER.mkdir(exist_ok=True)
    with TemporaryDirectory() as folder:
        address = file_address(Path(folder) / "log.sqlite3")
        engine = open_database(address)
        fill(engine, *map(read_document, documents()))
        choose_passphrase(engine, PASSPHRASE)
        closed, ballot = _closed(engine), _waiting(engine)
        engine.dispose()
        with running(address, Path(folder), free_port()) as url, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
            _take_ballot(browser, seat_link(url, ballot))
            _take_pages(browser, url, closed)


def _closed(engine: Engine) -> str:
    return next(one.id for one in sessions.summaries(engine) if one.name == CLOSED)


def _waiting(engine: Engine) -> str:
    """The ballot of an assessor of the open session who has a set to taste."""
    (running,) = [one for one in sessions.summaries(engine) if one.state == "open"]
    tokens = ballots.links(engine, running.id, link_secret(engine, PASSPHRASE))
    seats = sessions.seats(engine, running.id)
    return next(tokens[seat.assessor] for seat in seats if seat.answered < seat.planned)


def _take_ballot(browser: Browser, address: str) -> None:
    page = browser.new_context(
        viewport={"width": 360, "height": 640}, is_mobile=True, has_touch=True
    ).new_page()
    page.goto(address)
    for box in page.get_by_role("checkbox").all():
        box.check()
    page.get_by_role("button").first.click()
    page.locator("form.set").wait_for()
    page.screenshot(path=FOLDER / "ballot.png")


def _take_pages(browser: Browser, url: str, closed: str) -> None:
    page = browser.new_context(viewport={"width": 1120, "height": 900}).new_page()
    sign_in(page, url)
    _take(page, "dashboard")
    page.goto(f"{url}/tasting?id={closed}")
    settle(page)
    _take(page, "finding")


def _take(page: Page, name: str) -> None:
    page.wait_for_timeout(2_500)  # charts are drawn after the script has run
    page.screenshot(path=FOLDER / f"{name}.png")


if __name__ == "__main__":
    sys.exit(main())
