"""Exchanging keys: all that can be seen or provoked of an open session is the same under each.

The same evenings are held again and again: the same codes on the same cups, the same choices typed,
the same corrections tried, the same doors knocked at, by a clock of its own, in databases that are
alike but for the serving orders. All methods have their evening in one log, as pages about all
sessions then show all of them at once. Each page, file, message, output of a command and number of
database statements goes into a transcript, and transcripts are compared byte for byte. The seal
cannot be the same under two keys; here it is a constant, as its salt hides what it is made from.
The pour sheet is the key.
"""

import os
import re
import shutil
import sys
from collections.abc import Callable
from contextlib import chdir, redirect_stderr, redirect_stdout
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import partial
from io import StringIO
from pathlib import Path

import pytest
import streamlit as st
from sqlalchemy import Engine, event
from starlette.responses import PlainTextResponse
from streamlit.testing.v1 import AppTest

from tasting import records
from tasting.cli import run
from tasting.errors import TastingError
from tasting.panel import session as panel_session
from tasting.panel.entries import Amendment, Exclusion
from tasting.panel.methods import METHODS, Method
from tasting.panel.serving import ServingSet
from tasting.panel.session import Session
from tasting.store import ballots, host_logins, mapping, paper, sessions
from tasting.store.access import choose_passphrase, link_secret
from tasting.store.database import database, open_database, reading, shared_database
from tasting.store.documents import export_document
from tasting.store.host_logins import COOKIE
from tasting.ui import access as ui_access
from tasting.ui import pages
from tasting.ui.tastings.running.opened import SECTIONS, section_key
from tasting.web.bounds import SEATS, STRANGERS
from tasting.web.guard import Guard
from tests.giving import enter_answer
from tests.ui.conftest import APP, PASSPHRASE, visit
from tests.ui.reading import sent
from tests.ui.workshop import closed, keep, opened, planned
from tests.web.browsing import Browser
from tests.web.phone import BallotPhone

BEGAN = datetime(2026, 5, 1, 18, 0, tzinfo=UTC)
ASSESSORS = tuple(f"Assessor {number}" for number in range(1, 9))
Key = Callable[[ServingSet, Method], str]
"""The serving order of a set, from the set as it was drawn."""


def moved(steps: Callable[[int], int]) -> Key:
    """The key in which the order of each set is so many places further among all orders."""

    def order(served: ServingSet, method: Method) -> str:
        place = method.orders.index(served.order) + steps(ASSESSORS.index(served.assessor))
        return method.orders[place % len(method.orders)]

    return order


def scored(wanted: str) -> Key:
    """The key under which the answers of an evening, as they come, count "+" or do not "-"."""

    def order(served: ServingSet, method: Method) -> str:
        place = ASSESSORS.index(served.assessor)
        option, counts = place % len(method.options), wanted[place : place + 1] == "+"
        return next(one for one in method.orders if method.is_counted(one, option) == counts)

    return order


AS_DRAWN, ALL_OTHER, SOME_OTHER = moved(lambda _: 0), moved(lambda _: 1), moved(lambda n: n % 3)


class Clock:
    """A clock that goes on by a second whenever it is asked."""

    def __init__(self) -> None:
        self.time = BEGAN

    def __call__(self) -> datetime:
        self.time += timedelta(seconds=1)
        return self.time


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """The time of everything in the program."""
    ticking, real = Clock(), records.now
    for name, module in list(sys.modules.items()):
        if name.startswith("tasting") and getattr(module, "now", None) is real:
            monkeypatch.setattr(module, "now", ticking)
    return ticking


@pytest.fixture
def template(address: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A database in which a host has signed in; seal and salt of every session are constants."""
    monkeypatch.setattr(panel_session, "fingerprint", lambda *_: "5" * 64)
    monkeypatch.setattr(panel_session, "new_salt", lambda: "6" * 32)
    engine = open_database(address)
    choose_passphrase(engine, PASSPHRASE)
    token = host_logins.begin(engine, link_secret(engine, PASSPHRASE), datetime.now(UTC))
    engine.dispose()
    monkeypatch.setattr(ui_access, "host_token", lambda: token)
    monkeypatch.setenv("EVENING_TOKEN", token)
    return Path(shutil.move(tmp_path / "log.sqlite3", tmp_path / "template.sqlite3"))


class Log:
    """A database under one key, in which evenings are held; and the transcript of what was seen."""

    def __init__(self, template: Path, clock: Clock, *running: Session) -> None:
        for left in template.parent.glob("log.sqlite3*"):
            left.unlink()
        shutil.copy(template, template.with_name("log.sqlite3"))
        shared_database.cache_clear()
        for allowance in (SEATS, STRANGERS):
            allowance._left.clear()
        clock.time = BEGAN
        st.cache_data.clear()
        st.cache_resource.clear()
        self.clock, self.folder = clock, template.parent
        self.app = AppTest.from_file(str(APP), default_timeout=60)
        self.seen: list[str] = []
        self.statements = 0
        self.engine: Engine = database()
        event.listen(self.engine, "before_cursor_execute", self._count)
        keep(self.engine, closed(planned("before"), 10, 2), *running)
        self.server = Guard(PlainTextResponse(""))
        self.host = Browser(self.server, cookies={COOKIE: os.environ["EVENING_TOKEN"]})
        self.stranger = Browser(self.server)
        self.evenings = [Evening(self, session) for session in running]

    def _count(self, *_: object) -> None:
        self.statements += 1

    def note(self, what: str, seen: object) -> None:
        """Put something on the transcript, with how much it asked of the database."""
        self.seen.append(f"{what} [{self.statements}]: {seen}")
        self.statements = 0

    def tried(self, what: str, act: Callable[[], object]) -> None:
        """Do it, and note what comes back or is said against it."""
        try:
            self.note(what, act())
        except TastingError as error:
            self.note(what, f"{type(error).__name__}: {error}")

    def asked(self, browser: Browser, address: str) -> int:
        """Note what comes back from an address, all of it; its status."""
        reply = browser.get(address, accept="text/html")
        seen = f"{reply.status} {reply.headers} {reply.text}"
        self.note(address, re.sub("expires=[^;]*", "", seen))  # by the clock of the framework
        return reply.status

    def page(self, address: str) -> None:
        page = visit(self.app, address)
        assert not page.exception, address
        self.note(address, sent(page))

    def all_pages(self) -> None:
        """Every page of the host, whatever session it shows by itself."""
        for one in pages.OF_THE_HOST:
            self.page(one.address)

    def commands(self) -> None:
        """What the command line tells and writes."""
        for command in ("export", "export --csv", "check", "data tables", "report now-triangle"):
            said = StringIO()
            name, *given = command.split()
            with chdir(self.folder), redirect_stdout(said), redirect_stderr(said):
                code = run([name, *given])
            self.note(command, (code, said.getvalue()))
        for table in sorted(self.folder.glob("tables/*")):
            self.note(table.name, table.read_text("utf-8"))
        shutil.rmtree(self.folder / "tables")


class Evening:
    """An open session in a log, and all that can be done to it."""

    def __init__(self, log: Log, session: Session) -> None:
        self.log, self.session, self.clock = log, session, log.clock
        self.tokens = ballots.links(log.engine, session.id, link_secret(log.engine, PASSPHRASE))
        self.phones = {who: BallotPhone(Browser(log.server)) for who in self.tokens}

    def page(self, *sections: str) -> None:
        """The host's page of this session, at these of its sections."""
        for section in sections or ("Links",):
            self.log.app.session_state[section_key(self.session.id)] = section
            page = visit(self.log.app, pages.TASTING.address, id=self.session.id)
            assert not page.exception, section
            self.log.note(section, sent(page))

    def printed(self) -> None:
        here = self.session.id
        for kind in ("labels", "cards", "ballots", "batches"):
            assert self.log.asked(self.log.host, f"/print/{here}/{kind}") == 200
        assert self.log.asked(self.log.host, f"/print/{here}/report") == 404
        for address in (f"/pour/{here}", f"/pour/{here}/labels", f"/print/{here}/report"):
            self.log.asked(self.log.stranger, address)

    def on_phones(self) -> None:
        for phone in self.phones.values():
            reply = phone.go("/ballot").reply
            self.log.note("phone", (reply.status, reply.headers, reply.text))

    def begin(self) -> None:
        for who, phone in self.phones.items():
            phone.open(self.tokens[who]).begin()
            self.log.note("begun", phone.reply.text)

    def answer(self, who: str, place: int) -> None:
        """By phone: the choice that stands there."""
        offered = [*self.phones[who].form("/ballot/answer").options["choice"]]
        self.phones[who].answer(offered[place % len(offered)])
        self.log.note("answered", self.phones[who].reply.text)

    def facts(self) -> None:
        """What the store hands out."""
        here, engine, log = self.session.id, self.log.engine, self.log
        log.note("summary", sessions.summary(engine, here))
        log.note("seats", sessions.seats(engine, here))
        log.note("events", sessions.events(engine, here))
        log.note("slips", paper.slips(engine, here))
        for shut in (sessions.closed_session, sessions.planned_session, export_document):
            given = [here] if shut is export_document else here
            log.tried("door", lambda shut=shut, given=given: shut(engine, given))

    def close_early(self, closing: bool) -> None:
        """Try to close without a reason; the clock goes on in any case."""
        at = self.clock()
        if closing:
            early = partial(sessions.close_session, self.log.engine, self.session.id, at)
            self.log.tried(CLOSE, early)

    def provoke(self, who: str, closing: bool, watched: bool) -> None:
        """Try each choice as a correction, what cannot be, and to close without a reason.

        watched: whether the host looks at the page after each of them, or at the end
        """
        here, engine = self.session.id, self.log.engine
        served = self.session.served[who, 1]
        fields = {"assessor": who, "replicate": 1, "reason": "to see what happens"}
        for choice in (*self.session.plan.choices(served.codes), "1000", "A"):
            change = Amendment(**fields, choice=choice, made_at=self.clock())
            self.log.tried("amend", lambda c=change: paper.amend_typed(engine, here, c))
            self.close_early(closing)
            if watched:
                self.page("Corrections")
            self.facts()
        for _ in range(2):
            gone = Exclusion(assessor=who, reason="a cold", made_at=self.clock())
            self.log.tried("exclude", lambda g=gone: sessions.exclude_assessor(engine, here, g))
        again = partial(enter_answer, engine, here, who, 1, "1", self.clock())
        self.log.tried("again", again)
        self.close_early(closing)
        self.page()

    def hold(self, closing: bool, watched: bool) -> None:
        """Up to the last answer but one."""
        self.begin()
        self.printed()
        for place, who in enumerate(ASSESSORS[:-1]):
            self.answer(who, place)
            if place >= 3:
                self.on_phones()
            if place == 5 or (watched and place >= 3):
                self.page()
        self.provoke(ASSESSORS[2], closing, watched)
        self.facts()
        self.printed()
        self.on_phones()
        self.page(*SECTIONS)


CLOSE = "close"
Hold = Callable[..., list[str]]


@pytest.fixture
def hold(template: Path, clock: Clock) -> Hold:
    """Evenings of these methods under this key, in one log; what can be seen of all of them."""

    def held(
        key: Key, *methods: str, closing: bool = True, watched: bool = False, **more: object
    ) -> list[str]:
        running = (
            opened(planned(f"now-{method}", method, assessors=ASSESSORS, **more))
            for method in methods
        )
        log = Log(template, clock, *(rekeyed(session, key) for session in running))
        for evening in log.evenings:
            evening.hold(closing, watched)
        log.all_pages()
        log.commands()
        log.engine.dispose()
        return log.seen

    return held


def rekeyed(session: Session, key: Key) -> Session:
    sets = [
        served.model_copy(update={"order": key(served, session.plan.procedure)})
        for served in session.sets
    ]
    return Session.model_validate({**dict(session), "sets": tuple(sets)})


def assert_same(one: list[str], other: list[str]) -> None:
    """The first thing that differs says more than two long lists."""
    assert len(one) == len(other)
    for here, there in zip(one, other, strict=True):
        assert here == there


def test_plans_of_fixed_size_show_the_same_under_every_key(hold: Hold) -> None:
    drawn, other = (hold(key, *METHODS) for key in (AS_DRAWN, SOME_OTHER))

    assert_same(drawn, other)


def test_the_transcript_would_show_what_depends_on_the_key(
    hold: Hold, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A proof that cannot fail proves nothing: one line that counts what is right, and it does."""
    told = ballots.ballot

    def leaking(engine: Engine, token: str) -> ballots.Ballot:
        shown = told(engine, token)
        with reading(engine) as connection:
            key = mapping.load(connection, shown.session_id)
        return replace(shown, question=f"{shown.question} {key.sets[0].order}")

    monkeypatch.setattr(ballots, "ballot", leaking)
    drawn, other = (hold(key, "triangle") for key in (AS_DRAWN, ALL_OTHER))

    assert drawn != other


LOOKS = {"sequential": True, "p_d": 0.5, "beta": 0.1, "first_look": 5, "look_every": 2}
"""ISO 16820 example: lines -1.624 + 0.5 n and 2.085 + 0.5 n (read in the identical GOST R)."""
UNDECIDED = ("+-+-+-+", "-+-+-+-", "+++---+")
AT_FIVE, AT_SEVEN = ("+++++--", "-----++"), ("-++++++", "+------")
"""By these lines 5 and 0 of 5 decide, and 6 and 1 of 7; one of each pair either way."""
ENOUGH = "Sequential test: enough answers are in. You may close, and need not say why."
GO_ON = "Sequential test: go on"


SEQUENTIAL = ("triangle", "tetrad")
"""Two methods with a chance of 1/3, so these are the lines of both."""


def test_of_a_sequential_plan_one_bit_depends_on_the_key(hold: Hold) -> None:
    """At each look, and nothing else: whichever way it decided, and whatever is amended."""
    never, at_five, at_seven = (
        [
            # Where it has decided it would close, and unseal.
            hold(scored(one), *SEQUENTIAL, closing=scores is UNDECIDED, watched=True, **LOOKS)
            for one in scores
        ]
        for scores in (UNDECIDED, AT_FIVE, AT_SEVEN)
    )
    for first, *others in (never, at_five, at_seven):
        for other in others:
            assert_same(first, other)
    told = [[ENOUGH in seen for seen in one[0]] for one in (never, at_five, at_seven)]
    assert not any(told[0])
    assert sum(told[1]) > sum(told[2]) > 0

    without_closing = [seen for seen in never[0] if not seen.startswith(CLOSE)]
    for other in (at_five[0], at_seven[0]):
        assert_same(*(list(map(masked, evening)) for evening in (without_closing, other)))


def masked(seen: str) -> str:
    """The same whether the test has decided or not."""
    return re.sub(f'{re.escape(ENOUGH)}|{re.escape(GO_ON)}[^"]*', "whether it decided", seen)
