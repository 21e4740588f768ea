"""Text that tries something, through Chromium: nothing of it runs, and no page breaks.

Every field that somebody types holds it, on every page of the host, the ballot, the pourer's door
and sheet, what is printed and the report. A dialog, a request to another machine, an element made
of the text, or a page that is wider than a phone fails. The pages come from the one table.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import Browser, Page
from sqlalchemy import Engine

from tasting.drink.formula import Formula
from tasting.drink.label import Reference
from tasting.panel.session import Session
from tasting.store import access, ballots, sessions
from tasting.store.documents import Document, fill, import_documents
from tasting.store.sessions import plan_session
from tasting.ui import pages
from tests.browser.conftest import PASSPHRASE, settle, sign_in
from tests.ui.workshop import MEASURED, SPRITZ, answered, opened, planned

pytestmark = pytest.mark.browser

MARK = "tasting-attack"
ELSEWHERE = "https://elsewhere.example"
HOSTILE = {
    "script": f"<script id={MARK}>alert(1)</script>",
    "picture": f"<img id={MARK} src=x onerror=alert(1)>",
    "way out of an attribute": f"\"'><b id={MARK} onclick=alert(1)>",
    "markdown": f"[tap]({ELSEWHERE}) ![pixel]({ELSEWHERE}/x.png) :red[**loud**] $x^2$",
    "right to left": "\u202egnp.exe\u202c \u2066left\u2069 \u202b",
    "nothing to see": "z\u200bw\u200c\u200d\ufeff" * 8,
    "one long word": "W" * 110,
    "formula": f'=HYPERLINK("{ELSEWHERE}","tap")',
    "template": "{{ 999 * 999 }} {% raw %} ${alert(1)}",
}
EVERYTHING = " ".join(HOSTILE.values())
WIDTH = 360


def called(name: str, most: int = 110) -> str:
    """A name of its own, as pages list names."""
    return f"{name[0]} {HOSTILE[name]}"[:most].strip()


NAMES = tuple(map(called, HOSTILE))


def drinks() -> tuple[Formula, Reference]:
    """A formula and a reference in which all that is typed is this."""
    versions = tuple(
        one.model_copy(update={"reason": EVERYTHING[:400] if one.parent else ""})
        for one in SPRITZ.versions
    )
    spritz = {**dict(SPRITZ), "name": NAMES[0], "versions": versions}
    return Formula.model_validate(spritz), Reference.model_validate(
        {**dict(MEASURED), "name": NAMES[1]}
    )


def session(id_: str, number: int) -> Session:
    """A planned session in which all that is typed is this; tasted by people called so."""
    plan = {"assessors": NAMES, "allergens": (NAMES[number],), "attribute": NAMES[number][:40]}
    made = planned(id_, "paired", "spritz-1", "R", expected="B", **plan)
    names = {
        side: getattr(made.plan, side).model_copy(update={"name": NAMES[index]})
        for index, side in enumerate("ba")
    }
    given = {"name": NAMES[number], "purpose": EVERYTHING[:300], "invented": NAMES[number]}
    changed = {**dict(made), **given, "plan": made.plan.model_copy(update=names)}
    return Session.model_validate(changed)


def ended(id_: str, number: int) -> Session:
    """The same with remarks, closed early for a reason of the kind."""
    done = answered(opened(session(id_, number)), 5, 2)
    remarks = [one.model_copy(update={"remark": EVERYTHING[:400]}) for one in done.answers]
    with_remarks = Session.model_validate({**dict(done), "answers": tuple(remarks)})
    return with_remarks.closed(datetime(2026, 2, 12, tzinfo=UTC), EVERYTHING[:200])


@pytest.fixture(scope="module")
def overrun(ballot_db: Engine) -> dict[str, str]:
    """All of it in the database, and by way of a document, too; the tokens of the open session."""
    spritz, bottle = drinks()
    fill(ballot_db, Document(formulas=(spritz,), references=(bottle,)))
    ended_ones = tuple(ended(f"closed-{number}", number) for number in range(len(NAMES)))
    import_documents(ballot_db, [Document(invented=NAMES[0], sessions=ended_ones)])
    plan_session(ballot_db, session("open", 2))
    sessions.open_session(ballot_db, "open", datetime.now(UTC) - timedelta(hours=1))
    plan_session(ballot_db, session("next", 3))
    access.choose_passphrase(ballot_db, PASSPHRASE)
    return ballots.links(ballot_db, "open", access.link_secret(ballot_db, PASSPHRASE))


class Watch:
    """What must not happen to a browser."""

    def __init__(self, page: Page, server: str) -> None:
        self.page, self.seen = page, list[str]()
        page.on("dialog", lambda dialog: (self.seen.append(dialog.message), dialog.dismiss()))
        page.on("pageerror", lambda error: self.seen.append(str(error)))
        page.on("request", lambda asked: self._note(asked.url, server))

    def _note(self, url: str, server: str) -> None:
        if not url.startswith((server, server.replace("http", "ws"), "data:", "blob:", "about:")):
            self.seen.append(url)

    def check(self, where: str) -> None:
        """Also: no element or link was made of a text, and the page is no wider than the phone."""
        self.page.wait_for_timeout(100)
        made = self.page.locator(f"#{MARK}, a[href^='{ELSEWHERE}'], img[src^='{ELSEWHERE}']")
        # Streamlit makes a link of a bare address in a table's cell: it leads where it reads.
        found = made.evaluate_all(
            "all => all.filter(one => one.textContent !== one.href?.replace(/\\/$/, ''))"
            ".map(one => one.outerHTML)"
        )
        assert (self.seen, found) == ([], []), where
        assert "998001" not in self.page.content(), where
        wide = self.page.evaluate("document.documentElement.scrollWidth")
        assert wide <= WIDTH, f"{where} is {wide} px wide"


@contextmanager
def watched(chromium: Browser, server: str) -> Iterator[Watch]:
    context = chromium.new_context(viewport={"width": WIDTH, "height": 1600})
    page = context.new_page()
    page.set_default_timeout(60_000)
    yield Watch(page, server)
    context.close()


def test_on_the_hosts_pages(
    ballot_db: Engine, overrun: dict[str, str], one_server: str, chromium: Browser
) -> None:
    with watched(chromium, one_server) as host:
        sign_in(host.page, one_server)
        for known in pages.OF_THE_HOST:
            for asked in ("", "?id=open", "?id=closed-0", "?id=next")[: 4 if TAKES_ID else 1]:
                host.page.goto(f"{one_server}/{known.address}{asked}")
                settle(host.page)
                for fold in host.page.locator("summary").all():
                    fold.evaluate("fold => fold.click()")  # one within another may be inert
                settle(host.page)
                host.check(known.address + asked)


TAKES_ID = hasattr(pages, "TASTING")
# A page that shows what `?id=` names; before that, pages choose by themselves.


def test_on_what_is_printed_and_the_report(
    overrun: dict[str, str], one_server: str, chromium: Browser
) -> None:
    with watched(chromium, one_server) as host:
        sign_in(host.page, one_server)
        kinds = [f"/print/open/{kind}" for kind in ("labels", "cards", "ballots")]
        for address in (*kinds, "/print/closed-0/report", "/print/closed-5/report"):
            assert host.page.goto(one_server + address).status == 200
            host.check(address)


def test_on_the_ballot_and_the_pour_sheet(
    overrun: dict[str, str], one_server: str, chromium: Browser
) -> None:
    for name in NAMES:
        with watched(chromium, one_server) as phone:
            phone.page.goto(f"{one_server}/?seat={overrun[name]}")
            phone.check(f"the ballot of {name}")
            phone.page.get_by_role("checkbox").check()
            phone.page.get_by_role("button", name="Start tasting").click()
            phone.page.wait_for_selector(".choice")
            phone.check(f"the set of {name}")
    with watched(chromium, one_server) as pourer:
        pourer.page.goto(f"{one_server}/pour/open")
        pourer.page.get_by_label("Who are you").fill(HOSTILE["picture"])
        pourer.page.get_by_label("Pourer's code").fill(PASSPHRASE)
        pourer.check("the pourer's door")
        pourer.page.get_by_role("button", name="Show the pour sheet").click()
        pourer.page.get_by_role("heading", name="4. Set the trays").wait_for()
        pourer.check("the pour sheet")


def test_the_watch_would_see_it(one_server: str, chromium: Browser) -> None:
    with watched(chromium, one_server) as page:
        page.page.goto(f"{one_server}/health")
        page.page.set_content(HOSTILE["picture"] + f"<img src='{ELSEWHERE}/x.png'>")
        page.page.wait_for_timeout(200)
        assert "1" in page.seen
        assert f"{ELSEWHERE}/x.png" in page.seen
        with pytest.raises(AssertionError):
            page.check("it")
