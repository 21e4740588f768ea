"""Nothing that a browser receives while a session is open tells which code is which sample.

Every byte that a phone gets is recorded: headers and bodies through the whole ballot, with a script
and without. So is every frame and body of the host's page of the open session. All is searched.
"""

import base64
import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import Browser, Page, Response, WebSocket, expect
from sqlalchemy import Engine

from tasting.panel.session import Session
from tasting.store import access, ballots, mapping, sessions
from tasting.store.database import reading
from tests.browser.conftest import PASSPHRASE, settle, sign_in
from tests.ui.workshop import keep, planned

pytestmark = pytest.mark.browser

SETS = 3
NOW = datetime.now(UTC)


class Tape:
    """All that a page sent and received."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.texts: list[bytes] = []
        self.frames = 0
        self.awaited = 0
        page.on("websocket", self._listen)
        page.on("response", self._keep)

    def _listen(self, socket: WebSocket) -> None:
        socket.on("framereceived", self._frame)
        socket.on("framesent", self._frame)
        self.texts.append(socket.url.encode())

    def _frame(self, payload: str | bytes) -> None:
        self.frames += 1
        self.texts.append(payload.encode() if isinstance(payload, str) else payload)

    def _keep(self, response: Response) -> None:
        self.texts.append(response.url.encode())
        self.texts.append(repr(response.headers).encode())
        if "/static/" not in response.url and response.status in (200, 422):
            self.awaited += 1
            try:
                self.texts.append(response.body())
            finally:
                self.awaited -= 1

    def found(self, words: set[str]) -> set[str]:
        """Which of these words went through, as they are or in base64."""
        self.page.wait_for_timeout(50)  # a page is there before its recording is
        while self.awaited:
            self.page.wait_for_timeout(20)
        whole = b"\n".join(self.texts)
        whole = whole.replace("\N{NO-BREAK SPACE}".encode(), b" ")
        return {word for word in words if any(form in whole for form in forms(word))}


def forms(word: str) -> Iterator[bytes]:
    """A word as it may be written: plain, with Markdown's backslashes, in base64 at any offset."""
    plain = word.encode()
    yield plain
    yield re.sub(rb"([^\w\s])", rb"\\\1", plain)
    if len(plain) > 8:
        for offset in range(3):
            coded = base64.b64encode(b"\0" * offset + plain)
            yield coded[4:-4]


def secrets_of(session: Session) -> set[str]:
    """What tells the key or a result: names and ids of versions, orders with codes, the salt."""
    told = {session.salt, "serving_order", "correct answers", " correct; "}
    for served in session.sets:
        told.add(f"{served.order} {' '.join(served.codes)}")
        for code, letter in zip(served.codes, served.order, strict=True):
            told |= {f"{code}{sign}{letter}" for sign in ("", " ", "=", ": ", '": "', '","')}
        told |= {f'"{served.order}"', f" {served.order} "}
    return told


def names(session: Session) -> set[str]:
    """What the samples are called, and under which ids they are kept."""
    plan = session.plan
    return {plan.a.name, plan.b.name, plan.a.id, plan.b.id}


def loaded(engine: Engine) -> Session:
    """The open session with its key, which only a test may look at."""
    with reading(engine) as connection:
        return mapping.load(connection, "acid")


@pytest.fixture
def evening(engine: Engine) -> dict[str, str]:
    """An open session of three assessors; the tokens of their links."""
    panel = ("P01", "P02", "P03")
    keep(engine, planned("acid", assessors=panel, replicates=SETS, pause_seconds=0))
    sessions.open_session(engine, "acid", NOW - timedelta(hours=1))
    access.choose_passphrase(engine, PASSPHRASE)
    return ballots.links(engine, "acid", access.link_secret(engine, PASSPHRASE))


@contextmanager
def taped(chromium: Browser, width: int, scripted: bool = True) -> Iterator[tuple[Page, Tape]]:
    """A browser of its own, recorded."""
    size = {"width": width, "height": 900}
    context = chromium.new_context(viewport=size, java_script_enabled=scripted)
    page = context.new_page()
    yield page, Tape(page)
    context.close()


def answer_all(page: Page, url: str) -> None:
    """The whole ballot, with a reload in the middle."""
    page.goto(url)
    page.get_by_role("checkbox").check()
    page.get_by_role("button", name="Start tasting").click()
    for number in range(1, SETS + 1):
        expect(page.get_by_text(f"set {number} of {SETS}")).to_be_visible()
        if number == 2:
            page.reload()
        page.locator(".row .choice").nth(number - 1).click()
        page.get_by_role("button", name="Record this and go on").click()
    expect(page.get_by_role("heading", name="Thank you")).to_be_visible()


def watch(page: Page, server: str) -> None:
    """The page of the open session, each of its sections opened."""
    page.goto(f"{server}/tasting?id=acid")
    settle(page)
    for name in ("Pour", "Paper", "Corrections", "Close", "Links"):
        page.get_by_role("radio", name=name, exact=True).click()
        settle(page)
        closed = page.locator("details:not([open]) > summary")
        for _ in range(closed.count()):
            if closed.count():
                closed.first.click()
                settle(page)
    expect(page.get_by_text(f"of {3 * SETS} answers are in")).to_be_visible()
    settle(page)


def codes_of_others(session: Session, assessor: str) -> set[str]:
    """Sets of codes that another assessor tastes."""
    own = {code for one in session.sets if one.assessor == assessor for code in one.codes}
    others = {code for one in session.sets if one.assessor != assessor for code in one.codes}
    keys = {f"acid-{turn}-{code}" for code in others - own for turn in range(1, SETS + 1)}
    return (
        keys
        | {f'"{code}"' for code in others - own}
        | {" · ".join(one.codes) for one in session.sets if one.assessor != assessor}
    )


def test_no_byte_tells_the_key(
    engine: Engine, evening: dict[str, str], server: str, chromium: Browser
) -> None:
    session = loaded(engine)
    hidden, called = secrets_of(session), names(session)
    for name, scripted in (("P01", True), ("P02", False)):
        with taped(chromium, 360, scripted) as (phone, ballot):
            answer_all(phone, f"{server}/?seat={evening[name]}")
            assert ballot.frames == 0, "a phone opens no WebSocket"
            assert ballot.found({"set 1 of", "Thank you"}), "the search would find something"
            assert ballot.found(hidden | called | codes_of_others(session, name)) == set()
    with taped(chromium, 1280) as (host, run):
        sign_in(host, server)
        watch(host, server)

        assert run.frames > 10
        assert run.found(hidden) == set()
        assert run.found({session.plan.a.name, session.plan.b.name})  # the plan is no secret
        assert run.found({"/print/acid/labels", "/print/acid/cards", "/print/acid/ballots"})
        assert run.found({code for one in session.sets for code in (f">{one.codes[0]}<",)}) == set()

        after = Tape(host)
        sessions.close_session(engine, "acid", datetime.now(UTC), "Two did not come")
        host.goto(f"{server}/tasting?id=acid")
        settle(host)
        expect(host.get_by_text(" correct; ")).to_be_visible()
        assert " correct; " in after.found(hidden)
        assert after.found(called)


def test_a_pour_sheet_is_what_the_search_would_find(
    engine: Engine, evening: dict[str, str], server: str, chromium: Browser
) -> None:
    """The counter-check: on the one page that may show the key, the same search finds it."""
    session = loaded(engine)
    with taped(chromium, 1280) as (pourer, tape):
        pourer.goto(f"{server}/pour/acid")
        pourer.get_by_label("Who are you").fill("Kim")
        pourer.get_by_label("Pourer's code").fill(PASSPHRASE)
        pourer.get_by_role("button", name="Show the pour sheet").click()
        expect(pourer.get_by_role("heading", name="4. Set the trays")).to_be_visible()

        codes = {f">{code}<" for one in session.sets for code in one.codes}
        assert codes | {session.plan.a.name, session.plan.b.name} <= tape.found(
            codes | names(session)
        )
        assert tape.frames == 0
        pourer.get_by_role("link", name="Cup labels").click()
        expect(pourer.get_by_role("heading", name="Cup labels")).to_be_visible()
        pourer.go_back()
        pourer.get_by_role("button", name="Put the sheet away").click()
        expect(pourer.get_by_label("Pourer's code")).to_be_visible()


def test_the_host_stays_signed_in_over_a_reload_until_signing_out(
    evening: dict[str, str], server: str, chromium: Browser
) -> None:
    with taped(chromium, 1280) as (host, tape):
        sign_in(host, server)
        token = next(one["value"] for one in host.context.cookies() if one["httpOnly"])
        assert token not in host.evaluate("document.cookie")
        host.reload()
        settle(host)
        other = host.context.new_page()
        other.goto(f"{server}/tastings")
        expect(other.get_by_role("heading", name="Tastings")).to_be_visible()
        host.get_by_role("button", name="Host").click()
        host.get_by_role("button", name="Sign out").click()
        expect(host.get_by_role("heading", name="Sign in as the host")).to_be_visible()
        other.reload()
        expect(other.get_by_label("Passphrase")).to_be_visible()
        assert not any(token.encode() in text for text in tape.texts if b"://" in text[:8])
