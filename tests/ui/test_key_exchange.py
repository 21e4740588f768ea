"""Exchanging keys: all that can be seen or provoked of an open session is the same under each.

One evening is held again and again: the same codes on the same cups, the same choices typed, the
same corrections tried, the same doors knocked at, by a clock of its own, in databases that are
alike but for the serving orders. Each page, file, message and number of database statements goes
into a transcript, and transcripts are compared byte for byte. The seal cannot be the same under two
keys; here it is a constant, as its salt hides what it is made from. The pour sheet is the key.
"""

import os
import re
import shutil
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

import pytest
import streamlit as st
from sqlalchemy import Engine, event
from starlette.responses import PlainTextResponse
from streamlit.testing.v1 import AppTest

from tasting import records
from tasting.errors import TastingError
from tasting.panel import session as panel_session
from tasting.panel.entries import Amendment, Exclusion
from tasting.panel.methods import METHODS, Method
from tasting.panel.serving import ServingSet
from tasting.panel.session import Session
from tasting.store import ballots, host_logins, mapping, paper, sessions
from tasting.store.access import choose_passphrase, link_secret
from tasting.store.database import database, open_database, reading, shared_database
from tasting.store.documents import export_document, write_document
from tasting.store.host_logins import COOKIE
from tasting.ui import access as ui_access
from tasting.ui import pages
from tasting.ui.tastings.running.opened import SECTIONS, section_key
from tasting.web.bounds import SEATS, STRANGERS
from tasting.web.guard import Guard
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


class Evening:
    """One evening under one key, and the transcript of what was seen of it."""

    def __init__(self, template: Path, clock: Clock, running: Session) -> None:
        for left in template.parent.glob("log.sqlite3*"):
            left.unlink()
        shutil.copy(template, template.with_name("log.sqlite3"))
        shared_database.cache_clear()
        for allowance in (SEATS, STRANGERS):
            allowance._left.clear()
        clock.time = BEGAN
        st.cache_data.clear()
        st.cache_resource.clear()
        self.clock, self.session = clock, running
        self.app = AppTest.from_file(str(APP), default_timeout=20)
        self.seen: list[str] = []
        self.statements = 0
        self.engine: Engine = database()
        event.listen(self.engine, "before_cursor_execute", self._count)
        keep(self.engine, closed(planned("before"), 10, 2), running)
        server = Guard(PlainTextResponse(""))
        self.host = Browser(server, cookies={COOKIE: os.environ["EVENING_TOKEN"]})
        secret = link_secret(self.engine, PASSPHRASE)
        self.tokens = ballots.links(self.engine, running.id, secret)
        self.stranger = Browser(server)
        self.phones = {who: BallotPhone(Browser(server)) for who in self.tokens}

    def _count(self, *_: object) -> None:
        self.statements += 1

    def note(self, what: str, seen: object) -> None:
        """Put something on the transcript, with how much it asked of the database so far."""
        self.seen.append(f"{what} [{self.statements}]: {seen}")

    def tried(self, what: str, act: Callable[[], object]) -> None:
        """Do it, and note what comes back or is said against it."""
        try:
            self.note(what, act())
        except TastingError as error:
            self.note(what, f"{type(error).__name__}: {error}")

    def pages(self, *addresses: str) -> None:
        for address in addresses:
            page = visit(self.app, address)
            assert not page.exception, address
            self.note(address, sent(page))

    def session_page(self, *sections: str) -> None:
        """The page of the session at these of its sections."""
        for section in sections:
            self.app.session_state[section_key(self.session.id)] = section
            page = visit(self.app, "tasting", id=self.session.id)
            assert not page.exception, section
            self.note(section, sent(page))

    def printed(self) -> None:
        for kind in ("labels", "cards", "ballots"):
            reply = self.host.get(f"/print/{self.session.id}/{kind}", accept="text/html")
            assert reply.status == 200, kind
            self.note(kind, (reply.headers, reply.text))
        for address in (f"/pour/{self.session.id}", f"/pour/{self.session.id}/labels"):
            reply = self.stranger.get(address)
            self.note(address, (reply.status, reply.headers, reply.text))

    def on_phones(self) -> None:
        for phone in self.phones.values():
            reply = phone.go("/ballot").reply
            self.note("phone", (reply.status, reply.headers, reply.text))

    def begin(self) -> None:
        for who, phone in self.phones.items():
            phone.open(self.tokens[who]).begin()
            self.note("begun", phone.reply.text)

    def answer(self, who: str, place: int) -> None:
        """By phone: the choice that stands there."""
        offered = [*self.phones[who].form("/ballot/answer").options["choice"]]
        self.phones[who].answer(offered[place % len(offered)])
        self.note("answered", self.phones[who].reply.text)

    def facts(self) -> None:
        """What the store hands out."""
        here, engine = self.session.id, self.engine
        self.note("summaries", sessions.summaries(engine))
        self.note("seats", sessions.seats(engine, here))
        self.note("events", sessions.events(engine, here))
        self.note("slips", paper.slips(engine, here))
        self.note("export", write_document(export_document(engine)))
        for shut in (sessions.closed_session, sessions.planned_session, export_document):
            given = [here] if shut is export_document else here
            self.tried("door", lambda shut=shut, given=given: shut(engine, given))

    def provoke(self, who: str, closing: bool) -> None:
        """Try each choice as a correction, what cannot be, and to close without a reason."""
        closed_early = partial(sessions.close_session, self.engine, self.session.id)
        here, engine = self.session.id, self.engine
        served = self.session.served[who, 1]
        fields = {"assessor": who, "replicate": 1, "reason": "to see what happens"}
        for choice in (*self.session.plan.choices(served.codes), "1000", "A"):
            change = Amendment(**fields, choice=choice, made_at=self.clock())
            self.tried("amend", lambda c=change: paper.amend_typed(engine, here, c))
            if closing:
                self.tried("close", lambda: closed_early(self.clock()))
            self.session_page("Corrections")
        for _ in range(2):
            gone = Exclusion(assessor=who, reason="a cold", made_at=self.clock())
            self.tried("exclude", lambda g=gone: sessions.exclude_assessor(engine, here, g))
        self.tried("again", lambda: ballots.enter_answer(engine, here, who, 1, "1", self.clock()))
        if closing:
            self.tried("close", lambda: closed_early(self.clock()))


Hold = Callable[..., list[str]]


@pytest.fixture
def hold(template: Path, clock: Clock) -> Hold:
    """An evening of this plan under this key, up to the last answer but one."""

    def held(key: Key, method: str, closing: bool = True, **more: object) -> list[str]:
        running = rekeyed(opened(planned("now", method, assessors=ASSESSORS, **more)), key)
        evening = Evening(template, clock, running)
        evening.begin()
        evening.printed()
        for place, who in enumerate(ASSESSORS[:-1]):
            evening.answer(who, place)
            if place >= 3:
                evening.on_phones()
                evening.session_page("Links")
        evening.provoke(ASSESSORS[2], closing)
        evening.facts()
        evening.printed()
        evening.on_phones()
        evening.session_page(*SECTIONS)
        evening.pages(*(page.address for page in pages.OF_THE_HOST))
        evening.engine.dispose()
        return evening.seen

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


@pytest.mark.parametrize("method", METHODS)
def test_a_plan_of_fixed_size_shows_the_same_under_every_key(hold: Hold, method: str) -> None:
    drawn, other = (hold(key, method) for key in (AS_DRAWN, SOME_OTHER))

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


@pytest.mark.parametrize("scores", [UNDECIDED, AT_FIVE, AT_SEVEN])
def test_keys_under_which_a_sequential_test_decides_at_the_same_look_show_the_same(
    hold: Hold, scores: tuple[str, ...]
) -> None:
    """Whichever way it decided, and whatever is amended or excluded."""
    closing = scores is UNDECIDED  # else it would close, and unseal
    first, *others = (hold(scored(score), "triangle", closing, **LOOKS) for score in scores)

    for other in others:
        assert_same(first, other)


def test_of_a_sequential_plan_one_bit_depends_on_the_key(hold: Hold) -> None:
    """At each look, and nothing else; here without a difference between the looks."""
    never, at_five, at_seven = (
        hold(scored(one[0]), "triangle", False, **LOOKS) for one in (UNDECIDED, AT_FIVE, AT_SEVEN)
    )
    told = [[ENOUGH in seen for seen in evening] for evening in (never, at_five, at_seven)]

    assert_same(*(list(map(masked, evening)) for evening in (never, at_five)))
    assert_same(*(list(map(masked, evening)) for evening in (never, at_seven)))
    assert not any(told[0])
    assert sum(told[1]) > sum(told[2]) > 0


def masked(seen: str) -> str:
    """The same whether the test has decided or not."""
    return re.sub(f'{re.escape(ENOUGH)}|{re.escape(GO_ON)}[^"]*', "whether it decided", seen)
