"""Measures every page and state of the app in the invented workshop.

    python -m tests.browser.heights [pages]

Prints height, words, the first figure and what axe finds, for a desktop and for a phone, and writes
the table to heights.md; with `pages` the parts that are opened by a choice are left out, which
takes a third of the time. It fails where a page is longer than it may be before anything is opened.
"""

import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Page, sync_playwright
from sqlalchemy import Engine

from tasting.store import access, host_logins
from tasting.store.database import file_address, open_database
from tests.browser import places
from tests.browser.conftest import CHROMIUM, FLAGS, PASSPHRASE, running
from tests.browser.looking import (
    COLOURS,
    DESKTOP,
    MOST_PX,
    MOST_PX_ON_A_PHONE,
    PHONE,
    Measure,
    ballot_states,
    measure,
    resize,
    rest,
    states,
    violations,
)
from tests.browser.places import Place
from tests.serving import free_port
from tests.sources import ROOT

TABLE = ROOT / "tests" / "browser" / "heights.md"
HEAD = """# Height, words and axe

Made by `python -m tests.browser.heights` from the invented workshop. Heights in px of CSS at
1280 × 900 and 360 × 740 (900 and 740: no scrolling); words and the distance from the top to the
first text with a figure; faults that axe finds, in light and dark together. As it opens, a page is
at most {most:,} px high, {phone:,} px on a phone; what is opened on it (after the colon) may be
longer. {left_out}

| page, state | px | words | first figure | px, phone | first figure, phone | axe |
|---|---|---|---|---|---|---|
"""


@dataclass(frozen=True, slots=True)
class Row:
    """One state; `bound`: whether it is a page as it opens, which may not be long."""

    name: str
    wide: Measure
    narrow: Measure
    faults: int
    bound: bool

    @property
    def too_long(self) -> bool:
        over = self.wide.height > MOST_PX or self.narrow.height > MOST_PX_ON_A_PHONE
        return self.bound and over

    def __str__(self) -> str:
        wide = (self.wide.height, self.wide.words, _or_none(self.wide.figure))
        narrow = (self.narrow.height, _or_none(self.narrow.figure))
        return f"| {' | '.join(map(str, (self.name, *wide, *narrow, self.faults)))} |"


def _or_none(figure: int | None) -> str:
    return "–" if figure is None else str(figure)


def main(parts: bool) -> int:
    """Serve an empty log, fill it, and walk past everything."""
    with TemporaryDirectory() as folder, sync_playwright() as playwright:
        address = file_address(Path(folder) / "log.sqlite3")
        engine = open_database(address)
        with running(address, Path(folder), free_port()) as url:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
            page = browser.new_context(reduced_motion="reduce", color_scheme="light").new_page()
            found = [_said(row) for row in _rows(page, engine, url, parts)]
        engine.dispose()
    left_out = "" if parts else "Run with `pages`: parts that are opened by a choice are left out."
    head = HEAD.format(most=MOST_PX, phone=MOST_PX_ON_A_PHONE, left_out=left_out)
    TABLE.write_text(head + "".join(f"{row}\n" for row in found), "utf-8")
    return int(any(row.too_long or row.faults for row in found))


def _said(row: Row) -> Row:
    print(row, "TOO LONG" if row.too_long else "", flush=True)
    return row


def _rows(page: Page, engine: Engine, url: str, parts: bool) -> Iterator[Row]:
    page.goto(url)
    yield _row(page, "Sign-in, first start")
    access.choose_passphrase(engine, PASSPHRASE)
    page.goto(url)
    yield _row(page, "Sign-in")
    token = host_logins.begin(engine, b"s" * 64, datetime.now(UTC))
    page.context.add_cookies([{"name": host_logins.COOKIE, "value": token, "url": url}])
    yield from _of_places(page, url, places.EMPTY, {})
    places.fill_workshop(engine)
    known = places.ids(engine)
    yield from _of_places(page, url, _shown(places.WORKSHOP, parts), known)
    later = places.add_later(engine)
    yield from _of_places(page, url, _shown(places.LATER, parts), later)
    yield from _of_places(page, url, [*places.FAULTS, *places.PRINTED], known, bound=False)
    (link,) = places.ballot_links(engine, [places.session("triangle")])
    for state in ballot_states(page, f"{url}/{link}"):
        yield _row(page, f"Ballot, {state}")


def _shown(listed: Iterable[Place], parts: bool) -> Iterable[Place]:
    return listed if parts else [replace(place, parts=()) for place in listed]


def _of_places(
    page: Page, url: str, shown: Iterable[Place], known: dict[str, str], bound: bool = True
) -> Iterator[Row]:
    for place in shown:
        for state in states(page, url, place, known):
            name = f"{place.name}: {state}" if state else place.name
            yield _row(page, name, bound and not (state or place.deep))


def _row(page: Page, name: str, bound: bool = True) -> Row:
    resize(page, DESKTOP)
    rest(page)
    wide, faults = measure(page), len(violations(page))
    resize(page, PHONE)
    rest(page)
    narrow = measure(page)
    page.emulate_media(color_scheme="dark")
    rest(page, "dark")
    faults += len(violations(page, COLOURS))
    page.emulate_media(color_scheme="light")
    resize(page, DESKTOP)
    return Row(name, wide, narrow, faults, bound)


if __name__ == "__main__":
    sys.exit(main(parts="pages" not in sys.argv))
