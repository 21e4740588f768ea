"""The pour sheet is the key: it has a link of its own, wants a code, and puts readers on record."""

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import Engine

from tasting.store import pourer_passes, sessions
from tasting.store.access import new_pourer_code
from tasting.web import pouring
from tasting.web.guard import Guard
from tests.forms import Reader
from tests.ui import workshop
from tests.ui.conftest import PASSPHRASE
from tests.web.browsing import Browser, Reply

HOME = "http://testserver"
SHEET = "/pour/one"


@pytest.fixture
def session(engine: Engine, known: str) -> None:
    """One that is open, and the host's passphrase."""
    workshop.keep(engine, workshop.opened(workshop.planned("one")))


def ask(browser: Browser, code: str, reader: str = "the helper", origin: str = HOME) -> Reply:
    """Fill in the form, and follow where it leads."""
    given = Reader(browser.get(SHEET).text).form(SHEET).filled(reader=reader, code=code)
    reply = browser.post(SHEET, given, origin=origin)
    return browser.get(reply.headers["location"]) if reply.status == 303 else reply


def is_shown(reply: Reply) -> bool:
    return "Fill the cups, one sample after the other" in reply.text


def shown_to(engine: Engine) -> list[str]:
    """Who the record says has seen the sheet."""
    happened = sessions.events(engine, "one")
    return [event.detail for event in happened if event.what == "pour sheet shown"]


def test_the_old_link_leads_to_the_sheets_own_address(browser: Browser, session: None) -> None:
    assert browser.get("/?pour=one").headers["location"] == SHEET
    assert browser.get("/?pour=//elsewhere.example%0d%0a").headers["location"].startswith("/pour/")


def test_the_door_tells_nothing_of_the_session(browser: Browser, session: None) -> None:
    said = browser.get(SHEET).text

    assert not [name for name in ("Session one", "Spritz", "spritz-1") if name in said]


@pytest.mark.parametrize("code", ["wrong one", "00000000", ""])
def test_a_wrong_code_shows_nothing(
    engine: Engine, browser: Browser, session: None, code: str
) -> None:
    said = ask(browser, code)

    assert said.status == 403
    assert not is_shown(said)
    assert not is_shown(browser.get(SHEET))
    assert shown_to(engine) == []


def test_the_passphrase_shows_the_sheet_and_the_record_says_to_whom(
    engine: Engine, browser: Browser, session: None
) -> None:
    said = ask(browser, PASSPHRASE)

    assert is_shown(said)
    assert said.text.count('class="code"') == 2 * 36, "each cup to fill, and on its tray"
    assert shown_to(engine) == ["to the helper"]


def test_so_does_the_pourers_code_and_each_time_is_on_record(
    engine: Engine, browser: Browser, session: None
) -> None:
    assert is_shown(ask(browser, new_pourer_code(engine, "one"), " Kim\r\n"))
    assert is_shown(browser.get(SHEET))
    assert shown_to(engine) == ["to Kim", "to Kim"]


def test_the_pass_is_for_this_browser_this_session_and_this_door(
    engine: Engine, browser: Browser, server: Guard, session: None
) -> None:
    given = Reader(browser.get(SHEET).text).form(SHEET).filled(reader="Kim", code=PASSPHRASE)
    kept = browser.post(SHEET, given, origin=HOME).headers["set-cookie"]
    sessions.plan_session(engine, workshop.planned("two"))
    sessions.open_session(engine, "two", datetime.now(UTC))

    assert {"HttpOnly", f"Path={SHEET}", "SameSite=strict"} <= set(kept.split("; "))
    assert not is_shown(Browser(server).get(SHEET))
    assert not is_shown(browser.get("/pour/two"))
    assert shown_to(engine) == []


def test_labels_are_there_for_who_holds_a_pass_alone(
    engine: Engine, browser: Browser, session: None
) -> None:
    assert browser.get(f"{SHEET}/labels").headers["location"] == SHEET
    ask(browser, PASSPHRASE)
    said = browser.get(f"{SHEET}/labels")

    assert said.text.count('class="label"') == 36
    assert "Spritz" not in said.text


def test_a_sheet_that_was_put_away_asks_again(browser: Browser, session: None) -> None:
    away = Reader(ask(browser, PASSPHRASE).text).form(f"{SHEET}/away")
    browser.post(away.action, {}, origin=HOME)

    assert not is_shown(browser.get(SHEET))


def test_a_newer_code_ends_the_one_before_and_its_passes(
    engine: Engine, browser: Browser, session: None
) -> None:
    before = new_pourer_code(engine, "one")
    assert is_shown(ask(browser, before))
    new_pourer_code(engine, "one")

    assert not is_shown(browser.get(SHEET))
    assert not is_shown(ask(browser, before))


@pytest.mark.parametrize("by_code", [True, False])
def test_a_pass_that_was_made_up_or_is_old_opens_nothing(
    engine: Engine, browser: Browser, by_code: bool
) -> None:
    """Before a code or a passphrase was chosen, too: there is nothing to sign with."""
    workshop.keep(engine, workshop.opened(workshop.planned("one")))
    later = datetime.now(UTC) + timedelta(hours=1)
    someone = pourer_passes.Pourer("one", "nobody", by_code)
    for held in (pourer_passes._signed(engine, someone, later), "x", "e30=.00", "{}.", "é.é"):
        browser.cookies[pouring.COOKIE] = held
        assert not is_shown(browser.get(SHEET))
    assert shown_to(engine) == []


def test_a_pass_ends_after_half_an_hour(engine: Engine, session: None) -> None:
    now = datetime.now(UTC)
    held = pourer_passes.admit(engine, "one", "Kim", PASSPHRASE, now)

    assert pourer_passes.pourer_of(engine, "one", held, now + timedelta(minutes=29))
    assert not pourer_passes.pourer_of(engine, "one", held, now + timedelta(minutes=30))
    assert not pourer_passes.pourer_of(engine, "one", f"{held}0", now)


def test_a_reader_has_to_say_who_they_are(engine: Engine, browser: Browser, session: None) -> None:
    assert "who you are" in ask(browser, PASSPHRASE, reader=" ").text
    assert shown_to(engine) == []


@pytest.mark.parametrize("called", ["Assessor 3", "assessor 3 ", "ASSESSOR  3"])
def test_who_tastes_is_not_shown_the_sheet(
    engine: Engine, browser: Browser, session: None, called: str
) -> None:
    """As far as a name can tell; and nothing of the panel is told before the code is right."""
    said = ask(browser, new_pourer_code(engine, "one"), called)

    assert "whoever has seen the sheet must not taste" in said.text
    assert not is_shown(browser.get(SHEET))
    assert shown_to(engine) == []
    assert "assessor of this session" not in ask(browser, "00000000", called).text


def test_who_tastes_alone_pours_too(engine: Engine, browser: Browser, known: str) -> None:
    plan = {"assessors": ("me",), "alone": True}
    workshop.keep(engine, workshop.opened(workshop.planned("one", **plan)))

    assert is_shown(ask(browser, PASSPHRASE, "me"))


def test_a_form_from_another_site_shows_nothing(
    engine: Engine, browser: Browser, session: None
) -> None:
    assert ask(browser, PASSPHRASE, origin="https://elsewhere.example").status == 403
    assert ask(browser, PASSPHRASE, origin="null").status == 403
    assert shown_to(engine) == []


@pytest.mark.parametrize("path", ["/pour/nothing", "/pour/nothing/labels", "/pour/%00", "/pour/é"])
def test_an_unknown_session_says_so(browser: Browser, path: str) -> None:
    said = browser.get(path)

    assert (said.status, "not known" in said.text) == (404, True)


def test_a_session_that_is_not_open_has_nothing_to_pour(engine: Engine, browser: Browser) -> None:
    workshop.keep(engine, workshop.planned("one"))

    assert "nothing to pour" in browser.get(SHEET).text


def test_who_tastes_alone_is_told_of_the_two_stacks(engine: Engine, browser: Browser) -> None:
    plan = {"assessors": ("me",), "alone": True}
    workshop.keep(engine, workshop.opened(workshop.planned("one", **plan)))

    assert "two stacks, A and B" in browser.get(SHEET).text
